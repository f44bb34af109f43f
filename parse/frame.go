package parse

import (
	"math"
	"strconv"
	"strings"
)

// axes are X, Y, Z in an array; millimeters.
type axes [3]float64

const axisLetters = "XYZ"

func (p Point) axes() axes  { return axes{p.X, p.Y, p.Z} }
func (a axes) point() Point { return Point{a[0], a[1], a[2]} }

// inPlane gives the two axes of a plane, in the order in which the angle grows, and its normal.
func (p Plane) inPlane() (u, v, n int) {
	switch p {
	case PlaneZX:
		return 2, 0, 1
	case PlaneYZ:
		return 1, 2, 0
	}
	return 0, 1, 2
}

// frame places the numbers of a program in the coordinates that the stock uses:
//
//	place = origin of the work system + G92 offset + G52 shift + (number, turned about the G68 center)
type frame struct {
	origin axes // of the active work system
	g92    axes
	g92Off bool // cleared by G92.2, kept in the parameters
	g52    axes

	turned   bool
	plane    Plane
	centre   [2]float64 // of the rotation, in work coordinates
	sin, cos float64
	degrees  float64
}

func (f *frame) shift(i int) float64 {
	s := f.origin[i] + f.g52[i]
	if !f.g92Off {
		s += f.g92[i]
	}
	return s
}

// toStock gives the place of work coordinates.
func (f *frame) toStock(w axes) axes {
	w = f.turn(w, f.sin)
	for i := range w {
		w[i] += f.shift(i)
	}
	return w
}

// toWork gives the work coordinates of a place.
func (f *frame) toWork(s axes) axes {
	for i := range s {
		s[i] -= f.shift(i)
	}
	return f.turn(s, -f.sin)
}

func (f *frame) turn(w axes, sin float64) axes {
	if !f.turned {
		return w
	}
	iu, iv, _ := f.plane.inPlane()
	u, v := w[iu]-f.centre[0], w[iv]-f.centre[1]
	w[iu] = f.centre[0] + float64(u*f.cos) - float64(v*sin)
	w[iv] = f.centre[1] + float64(u*sin) + float64(v*f.cos)
	return w
}

func (f *frame) rotate(plane Plane, cu, cv, degrees float64) {
	f.turned, f.plane, f.centre, f.degrees = degrees != 0, plane, [2]float64{cu, cv}, degrees
	f.sin, f.cos = math.Sincos(degrees * math.Pi / 180)
	// Whole quarter turns stay exact.
	switch math.Mod(degrees, 360) {
	case 90, -270:
		f.sin, f.cos = 1, 0
	case 180, -180:
		f.sin, f.cos = 0, -1
	case 270, -90:
		f.sin, f.cos = -1, 0
	}
}

// maybe is a value of three axes of which each may be unknown.
type maybe struct {
	v     axes
	known [3]bool
}

func known(p Point) maybe { return maybe{p.axes(), [3]bool{true, true, true}} }

// systems are the work systems. 1 to 9 are G54 to G59.3, 100+n is G54.1 Pn.
type systems struct {
	given  bool          // Options.Origins says where they are
	place  map[int]axes  // in the coordinates that the stock uses
	base   int           // the system that is taken for those coordinates when nothing is given; 0: not yet
	set    map[int]maybe // origins in machine coordinates, by G10 L2
	zero   maybe         // of the machine, in the coordinates that the stock uses
	warned map[int]bool
	last   int          // the system of the last feed move; 0: none yet
	fed    map[int]bool // systems in which a feed move was made
}

// feedIn notes a feed move in a system.
func (s *systems) feedIn(n int) {
	if n != s.last {
		s.last, s.fed[n] = n, true
	}
}

func systemName(n int) string {
	switch {
	case n > 100:
		return "G54.1 P" + strconv.Itoa(n-100)
	case n > 6:
		return "G59." + strconv.Itoa(n-6)
	}
	return "G" + strconv.Itoa(53+n)
}

// systemNumber is the inverse of systemName.
func systemNumber(name string) (n int, ok bool) {
	if p, extended := strings.CutPrefix(name, "G54.1 P"); extended {
		n, err := strconv.Atoi(p)
		return 100 + n, err == nil && n >= 1 && n <= maxExtendedSystem
	}
	for n := 1; n <= 9; n++ {
		if name == systemName(n) {
			return n, true
		}
	}
	return 0, false
}

func newSystems(opt Options) systems {
	s := systems{place: make(map[int]axes), fed: make(map[int]bool)}
	for name, p := range opt.Origins {
		if n, ok := systemNumber(name); ok {
			s.place[n] = p.axes()
			s.given = true
		}
	}
	if opt.MachineZero != nil {
		s.zero = known(*opt.MachineZero)
	}
	return s
}

// origin gives where a system lies, as far as that is known.
func (s *systems) origin(n int) (o axes, known bool) {
	o, known = s.place[n]
	return o, known
}

// claim takes a system for the coordinates that the stock uses, when nothing says where the systems lie.
func (s *systems) claim(n int) {
	if s.base != 0 || s.given {
		return
	}
	if _, ok := s.place[n]; ok {
		return
	}
	s.base = n
	s.place[n] = axes{}
	s.findZero(n)
	s.resolveOthers()
}

// resolveOthers places the systems that were set before the machine's zero was known.
func (s *systems) resolveOthers() {
	for k := range s.set {
		if _, ok := s.place[k]; !ok {
			s.resolve(k)
		}
	}
}

// findZero infers the machine's zero from a system whose place and machine origin are both known.
func (s *systems) findZero(n int) (found bool) {
	o, placed := s.place[n]
	if !placed {
		return false
	}
	m := s.set[n]
	for i := range o {
		if m.known[i] && !s.zero.known[i] {
			s.zero.v[i], s.zero.known[i] = o[i]-m.v[i], true
			found = true
		}
	}
	return found
}

// resolve places a system from its machine origin, when all three axes are known.
func (s *systems) resolve(n int) {
	o, placed := s.place[n]
	m := s.set[n]
	for i := range o {
		switch {
		case m.known[i] && s.zero.known[i]:
			o[i] = s.zero.v[i] + m.v[i]
		case !placed:
			return
		}
	}
	s.place[n] = o
}

// setMachine records G10 L2: the origin of system n in machine coordinates. Where the machine's zero is not known
// it follows from the first system whose place and machine origin are both known; found tells that this happened.
func (s *systems) setMachine(n int, v axes, named [3]bool) (found bool) {
	if s.set == nil {
		s.set = make(map[int]maybe)
	}
	m := s.set[n]
	for i := range v {
		if named[i] {
			m.v[i], m.known[i] = v[i], true
		}
	}
	s.set[n] = m
	found = s.findZero(n)
	s.resolve(n)
	s.resolveOthers()
	return found
}

// setPlace moves the origin of a system to where it lies in the coordinates that the stock uses, in the axes named. A
// system whose place is not known yet needs all of them.
func (s *systems) setPlace(n int, at axes, named [3]bool) {
	o, placed := s.place[n]
	m := s.set[n]
	for i := range at {
		if !named[i] {
			continue
		}
		o[i] = at[i]
		m.v[i], m.known[i] = at[i]-s.zero.v[i], s.zero.known[i]
	}
	if s.set == nil {
		s.set = make(map[int]maybe)
	}
	s.set[n] = m
	if placed || named == [3]bool{true, true, true} {
		s.place[n] = o
	}
}

// polar keeps the last polar coordinates under G16 (common practice, no source).
type polar struct {
	degrees float64
}

// setPolar reads G15 and G16.
func (it *interp) setPolar(b *block) {
	switch b.is(groupPolar) {
	case g15:
		it.modal.polar = false
	case g16:
		it.modal.polar, it.polar.degrees = true, 0
	}
}

// turnedTarget gives the programmed end of a block when polar coordinates or a rotation are in force.
//
// Under G16 the first axis word of the plane is a radius about the zero of the work system and the second an angle
// in degrees, counter-clockwise from the first axis. A radius must be absolute; an angle may be an increment of the
// last one.
func (it *interp) turnedTarget(b *block) axes {
	m := &it.modal
	unit := m.unitMM()
	w := it.frame.toWork(it.at.prog)
	iu, iv, n := m.plane.inPlane()
	axis := func(i int) {
		l := byte('X' + i)
		if !b.got(l) {
			return
		}
		v := b.val[l-'A'] * unit
		if b.incremental&bit(l) != 0 {
			v += w[i]
		}
		w[i] = v
	}
	if !m.polar {
		axis(0)
		axis(1)
		axis(2)
		return it.frame.toStock(w)
	}
	lu, lv := byte('X'+iu), byte('X'+iv)
	if b.got(lu) || b.got(lv) {
		r := math.Hypot(w[iu], w[iv])
		if b.got(lu) {
			if b.incremental&bit(lu) != 0 {
				it.say.unread(b.at(lu), "a polar radius in G91 is read differently by controls; read as an absolute "+
					"radius, write it in G90")
			}
			r = b.val[lu-'A'] * unit
		}
		if b.got(lv) {
			a := b.val[lv-'A']
			if b.incremental&bit(lv) != 0 {
				a += it.polar.degrees
			}
			it.polar.degrees = math.Mod(a, 360)
		}
		sin, cos := math.Sincos(it.polar.degrees * math.Pi / 180)
		w[iu], w[iv] = r*cos, r*sin
	}
	axis(n)
	return it.frame.toStock(w)
}
