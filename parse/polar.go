package parse

import "math"

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
