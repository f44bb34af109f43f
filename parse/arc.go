package parse

import (
	"math"

	"staydown/parse/units"
)

// Bounds for the difference between the radii at both ends of an arc. Up to the published tolerance (NIST RS274NGC
// v3, 3.5.3.2) nothing is said; up to the warn band, ten times as wide, rounding by the post can explain it (posts
// with four decimals of an inch reach 0.00022 in, with two decimals of a millimeter 0.02 mm) and the arc is accepted
// with a note; beyond it the arc is wrong.
const (
	roundMM, roundInch         = 0.002, 0.0002
	roundWarnMM, roundWarnInch = 0.02, 0.002
	// An end nearer to the start than this is the start: a full circle.
	samePlaceMM = 1e-6
)

func (m *modal) roundBands() (exact, warn float64) {
	if m.inch {
		return roundInch * units.InchMM, roundWarnInch * units.InchMM
	}
	return roundMM, roundWarnMM
}

// arc carries out G2 and G3 in the active plane. Its geometry is worked out in work coordinates, before G68 turns it.
func (it *interp) arc(b *block) {
	it.beforeFeed(b)
	m := &it.modal
	it.settleArc(b)
	end, ok := it.target(b, false)
	if !ok {
		return
	}
	iu, iv, n := m.plane.inPlane()
	if it.frame.turned && it.frame.plane != m.plane {
		it.say.unread(b.first,
			"an arc in another plane than that of G68; it is not read, write it without the rotation")
		b.used |= centreWords | bit('R') | bit('P')
		it.jump(end)
		return
	}
	a := arcBlock{it: it, b: b, start: it.frame.toWork(it.at.prog), end: it.frame.toWork(end), iu: iu, iv: iv}
	centre, turn, ok := a.solve()
	if !ok {
		it.jump(end)
		return
	}
	centre[n] = a.start[n]
	it.follow(b, segment{kind: Arc, plane: m.plane, end: end, centre: it.frame.toStock(centre), turn: turn})
}

// settleArc settles the axes of the plane before an arc: its center counts from them.
func (it *interp) settleArc(b *block) {
	if !it.at.open {
		return
	}
	iu, iv, _ := it.modal.plane.inPlane()
	it.settle(iu, true, b.first)
	it.settle(iv, true, b.first)
}

// arcBlock is one arc block on its way to a center and a turn.
type arcBlock struct {
	it         *interp
	b          *block
	start, end axes // work coordinates
	iu, iv     int
}

func (a *arcBlock) solve() (centre axes, turn float64, ok bool) {
	b, say := a.b, &a.it.say
	b.used |= centreWords | bit('R') | bit('P')
	extra := a.outOfPlaneWord()
	if b.got(extra) {
		if b.val[extra-'A'] != 0 {
			say.unread(b.at(extra), "%c on an arc of this plane; the arc is not read, correct the word or the plane",
				extra)
			return centre, 0, false
		}
		say.lenient(lenZeroCentreWord, b.at(extra), "%c0 on an arc of another plane; left out", extra)
	}
	ends := b.got(byte('X'+a.iu)) || b.got(byte('X'+a.iv))
	lu, lv := byte('I'+a.iu), byte('I'+a.iv)
	if b.got('R') {
		if b.has&(bit(lu)|bit(lv)) != 0 {
			if b.got(lu) && b.val[lu-'A'] != 0 || b.got(lv) && b.val[lv-'A'] != 0 || say.strict {
				say.unread(b.at('R'), "R beside %c or %c; the arc is not read, keep one form", lu, lv)
				return centre, 0, false
			}
			say.reading(lenZeroCentreWord, b.at('R'), "R beside a center word of 0; the radius is read")
		}
		if !ends {
			say.unread(b.first, "an arc with R but no end in its plane; it is not read, write the end")
			return centre, 0, false
		}
		centre, turn, ok = a.radiusForm()
	} else {
		if b.has&(bit(lu)|bit(lv)) == 0 {
			say.unread(b.first, "an arc without %c, %c or R; it is not read, write its center", lu, lv)
			return centre, 0, false
		}
		if !ends {
			say.lenient(lenFullCircleNoEnd, b.first, "an arc with a center but no end in its plane; read as a full "+
				"circle")
		}
		centre, turn, ok = a.centreForm(lu, lv)
	}
	if !ok {
		return centre, 0, false
	}
	return centre, turn + a.moreTurns(turn), true
}

// outOfPlaneWord gives the center word of the axis that is normal to the plane.
func (a *arcBlock) outOfPlaneWord() byte { return byte('I' + 3 - a.iu - a.iv) }

// moreTurns gives the whole turns that P adds: P1 is the plain arc (common practice, no source).
func (a *arcBlock) moreTurns(turn float64) float64 {
	p, given := a.b.take('P')
	if !given {
		return 0
	}
	say := &a.it.say
	if say.strict {
		say.unread(a.b.at('P'), "P on an arc is not in the published standard; write its turns one by one")
	}
	n, whole := closeInt(p)
	if !whole || n < 0 || n > maxTurns {
		say.unread(a.b.at('P'), "P%s is not a number of turns; read as one", formatNumber(p))
		return 0
	}
	return math.Copysign(2*math.Pi*float64(max(n-1, 0)), turn)
}

func (a *arcBlock) sense() float64 {
	if a.it.modal.motion == g2 {
		return -1
	}
	return 1
}

func (a *arcBlock) centreForm(lu, lv byte) (centre axes, turn float64, ok bool) {
	m, b, say := &a.it.modal, a.b, &a.it.say
	for _, l := range [...]byte{lu, lv} {
		if m.centreAbsolute && !b.got(l) {
			say.unread(b.first,
				"an arc with an absolute center (G90.1) without %c; it is not read, write both center words", l)
			return centre, 0, false
		}
	}
	centre = a.center(m.centreAbsolute)
	r, re := a.radii(centre)
	exact, warn := m.roundBands()
	switch off := math.Abs(r - re); {
	case (r == 0 || re == 0 || off > warn) && a.roundIf(!m.centreAbsolute):
		a.it.arcFaults.add(a, roundOtherwise)
		return centre, 0, false
	case r == 0 || re == 0:
		say.unread(b.first, "the center of the arc is its start or end; it is not read, correct I, J or K")
		return centre, 0, false
	case off > warn || off > exact && say.strict:
		a.it.arcFaults.add(a, outOfRound)
		return centre, 0, false
	case off > exact+1e-9:
		say.reading(lenOutOfRound, b.first,
			"start and end radius of the arc differ by %s; read with the center as written", a.roundness())
	}
	su, sv := a.start[a.iu]-centre[a.iu], a.start[a.iv]-centre[a.iv]
	eu, ev := a.end[a.iu]-centre[a.iu], a.end[a.iv]-centre[a.iv]
	return centre, turnBetween(su, sv, eu, ev, a.sense()), true
}

// center gives the place of the center in work coordinates: the center words count from the start of the arc, or from
// zero when they are absolute. A word left out is 0; absolute, it gives no place.
func (a *arcBlock) center(absolute bool) (centre axes) {
	for _, i := range [...]int{a.iu, a.iv} {
		l := byte('I' + i)
		v := a.b.val[l-'A'] * a.it.modal.unitMM()
		switch {
		case absolute && !a.b.got(l):
			v = math.NaN()
		case !a.b.got(l):
			v = a.start[i]
		case !absolute:
			v += a.start[i]
		}
		centre[i] = v
	}
	return centre
}

// radii gives the distances of a center from the start and the end of the arc.
func (a *arcBlock) radii(centre axes) (start, end float64) {
	from := func(p axes) float64 { return math.Hypot(p[a.iu]-centre[a.iu], p[a.iv]-centre[a.iv]) }
	return from(a.start), from(a.end)
}

// turnBetween gives the angle from one arm to the other, in (0, 2 pi] counter-clockwise for sense +1 and in
// [-2 pi, 0) clockwise for -1. Arms to the same place make a full turn.
func turnBetween(su, sv, eu, ev, sense float64) float64 {
	if math.Hypot(eu-su, ev-sv) <= samePlaceMM {
		return sense * 2 * math.Pi
	}
	turn := sense * math.Atan2(float64(su*ev)-float64(sv*eu), float64(su*eu)+float64(sv*ev))
	if turn <= 0 {
		turn += 2 * math.Pi
	}
	return sense * turn
}

// radiusForm finds the center from R: an arc of at most half a turn for R > 0, of more for R < 0.
func (a *arcBlock) radiusForm() (centre axes, turn float64, ok bool) {
	m, b, say := &a.it.modal, a.b, &a.it.say
	r := b.val['R'-'A'] * m.unitMM()
	du, dv := a.end[a.iu]-a.start[a.iu], a.end[a.iv]-a.start[a.iv]
	chord := math.Hypot(du, dv)
	if chord <= samePlaceMM {
		say.unread(b.first, "an arc with R that ends where it starts; it is not read, write a full circle with I and J")
		return centre, 0, false
	}
	exact, warn := m.roundBands()
	half := chord / 2
	h2 := float64(r*r) - float64(half*half)
	if over := half - math.Abs(r); over > 0 {
		switch {
		case over > warn/2 || over > exact/2 && say.strict:
			say.unread(b.first, "the arc's ends are %s apart, more than twice its radius of %s; it is not read, "+
				"correct R or the end",
				m.length(chord), m.length(math.Abs(r)))
			return centre, 0, false
		case over > 1e-9:
			say.lenient(lenChordClamped, b.first, "the arc's ends are %s further apart than twice its radius; read "+
				"as half a circle", m.length(2*over))
		}
		h2 = 0
	}
	h := math.Sqrt(h2)
	// The center lies on the left of the chord for a counter-clockwise arc of less than half a turn.
	side := a.sense()
	if r < 0 {
		side = -side
	}
	centre[a.iu] = a.start[a.iu] + du/2 - side*h*dv/chord
	centre[a.iv] = a.start[a.iv] + dv/2 + side*h*du/chord
	turn = 2 * math.Atan2(half, h)
	if r < 0 {
		turn = 2*math.Pi - turn
	}
	return centre, a.sense() * turn, true
}

// length writes a length for a message, in the units of the program and with its unit, to a hundredth of a micrometer
// or a millionth of an inch.
func (m *modal) length(mm float64) string {
	if m.inch {
		return formatNumber(math.Round(mm/units.InchMM*1e6)/1e6) + " in"
	}
	return formatNumber(math.Round(mm*1e5)/1e5) + " mm"
}
