package parse

import "math"

// blend is a corner that ",R" rounds or ",C" cuts off. It is made when the move behind it is known (common practice,
// no source). Under cutter radius compensation the programmed corner is rounded, and the tool follows that.
type blend struct {
	pending bool
	size    float64 // mm: radius, or the distance from the corner on both sides
	cut     bool    // ,C
	start   axes    // programmed start of the straight move that ends in the corner
	move    int     // its index
	entry   bool    // it is the first one under compensation, which does not run beside the programmed path
	line    int
	col     int
}

// cornerWord takes ",R" or ",C" of a straight move from start; move is its index.
func (it *interp) cornerWord(b *block, start axes, move int, entry bool) {
	size := b.corner * it.modal.unitMM()
	switch {
	case it.modal.motion != g1:
		it.say.unread(b.cornerCol, "a word behind a comma on another move than a plain G1; the corner is left sharp")
	case size < 0:
		it.say.unread(b.cornerCol, "a negative size behind a comma; the corner is left sharp")
	case size > 0 && it.p.Moves.Len() > move:
		it.blend = blend{pending: true, size: size, cut: b.cornerCut, start: start, move: it.p.Moves.Len() - 1,
			entry: entry, line: it.say.line, col: b.cornerCol}
	}
}

// noBlend says that a corner could not be rounded or cut off.
func (it *interp) noBlend(why string) {
	it.blend.pending = false
	line := it.say.line
	it.say.line = it.blend.line
	it.say.unread(it.blend.col, "%s; the corner is left sharp, write it as moves of its own", why)
	it.say.line = line
}

// blendInto rounds or cuts off the corner between the last move and a segment that begins there.
func (it *interp) blendInto(b *block, s segment) {
	f := it.blend
	it.blend.pending = false
	iu, iv, n := it.modal.plane.inPlane()
	last := it.p.Moves.At(f.move)
	start, corner := f.start, it.at.prog
	if s.kind != Feed || f.move != it.p.Moves.Len()-1 || start[n] != corner[n] || s.end[n] != corner[n] || f.entry ||
		it.comp.exit {
		it.noBlend("a corner word that is not between two straight feed moves of the plane")
		return
	}
	au, av := corner[iu]-start[iu], corner[iv]-start[iv]
	bu, bv := s.end[iu]-corner[iu], s.end[iv]-corner[iv]
	la, lb := math.Hypot(au, av), math.Hypot(bu, bv)
	turn := math.Atan2(float64(au*bv)-float64(av*bu), float64(au*bu)+float64(av*bv))
	back := f.size
	if !f.cut {
		back = f.size * math.Tan(math.Abs(turn)/2)
	}
	if !(back <= la+samePlaceMM && back <= lb+samePlaceMM && back <= last.LengthMM+samePlaceMM) {
		it.noBlend("a corner word too large for the moves beside it")
		return
	}
	au, av, bu, bv = au/la, av/la, bu/lb, bv/lb
	from, to, tip := corner, corner, it.at.tip
	from[iu], from[iv] = corner[iu]-back*au, corner[iv]-back*av
	to[iu], to[iv] = corner[iu]+back*bu, corner[iv]+back*bv
	tip[iu], tip[iv] = tip[iu]-back*au, tip[iv]-back*av
	last.End = tip.point()
	it.measure(&last)
	it.p.Moves.set(f.move, &last)
	it.at.tip, it.at.prog = tip, from
	seg := segment{kind: Feed, end: to}
	if !f.cut {
		side := math.Copysign(f.size, turn)
		centre := from
		centre[iu], centre[iv] = from[iu]-side*av, from[iv]+side*au
		seg = segment{kind: Arc, plane: it.modal.plane, end: to, centre: centre, turn: turn}
	}
	it.follow(b, seg)
}
