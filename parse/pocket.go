package parse

import "math"

// pocket carries out G12 and G13, a circular pocket milled clockwise or counter-clockwise from its middle, where the
// tool stands (common practice, no source): feed to Z, then circles that end with the finished radius. That is I, or K
// where it is given, with circles from I on, each wider by Q. D takes off the tool's radius; L repeats with Z in G91.
//
// Controls go out to a circle and back on half circles of their own; here they lie on the side of plus X. They stay
// inside the finished circle, whichever side it is.
func (it *interp) pocket(b *block) {
	col, m := b.codeCol(groupOneShot), &it.modal
	b.used |= centreWords | bit('Q') | bit('L') | bit('D')
	radius, ok := it.pocketRadii(b)
	switch {
	case !ok:
	case m.side != 0:
		it.say.unread(col, "%s while cutter radius compensation is on; it is not read, cancel it with G40 before",
			codeName(b.is(groupOneShot)))
		ok = false
	case m.plane != PlaneXY || it.frame.turned && it.frame.plane != PlaneXY:
		it.say.unread(col, "%s outside the XY plane; it is not read, write G17", codeName(b.is(groupOneShot)))
		ok = false
	case b.got('X') || b.got('Y'):
		it.say.unread(col, "%s with X or Y; it is not read, go to the middle of the pocket before",
			codeName(b.is(groupOneShot)))
		ok = false
	}
	passes := 1
	if l, given := b.take('L'); given {
		n, whole := closeInt(l)
		if !whole || n < 1 || n > maxRepeats {
			it.say.unread(b.at('L'), "L%s is not a number of repeats; read as one", formatNumber(l))
			n = 1
		}
		passes = n
	}
	if !ok {
		it.skipTo(b)
		return
	}
	it.say.lenient(lenPocket, col, "%s (circular pocket); read with its ways out and back on half circles on the "+
		"side of plus X", codeName(b.is(groupOneShot)))
	it.beforeFeed(b)
	it.settleArc(b)
	for ; passes > 0 && !it.ended; passes-- {
		end, ok := it.target(b, false)
		if !ok {
			return
		}
		it.feedTo(b, Move{Kind: Feed, End: end.point()})
		it.circles(b, radius)
	}
}

// pocketRadii gives the radii of the tool's circles, in rising order.
func (it *interp) pocketRadii(b *block) (radii []float64, ok bool) {
	unit, col := it.modal.unitMM(), b.codeCol(groupOneShot)
	off, ok := it.pocketOffset(b)
	first, haveI := b.take('I')
	last, haveK := b.take('K')
	step, haveQ := b.take('Q')
	if !haveK {
		last = first
	}
	switch {
	case !ok:
		return nil, false
	case !haveI || !(first > 0) || last < first:
		it.say.unread(col, "%s without I, the radius of a circle, or with a smaller K; it is not read, write them",
			codeName(b.is(groupOneShot)))
		return nil, false
	case last > first && (!haveQ || !(step > 0) || (last-first)/step > maxPecks):
		it.say.unread(col, "%s with K and no fitting Q; it is not read, write by how much each circle is wider",
			codeName(b.is(groupOneShot)))
		return nil, false
	}
	for r := first; r < last; r += step {
		radii = append(radii, r*unit-off)
	}
	radii = append(radii, last*unit-off)
	if radii[0] <= samePlaceMM {
		it.say.unread(col, "the tool's radius of %s is not smaller than that of the first circle; the pocket is not "+
			"read, use a smaller tool", it.modal.length(off))
		return nil, false
	}
	return radii, true
}

// pocketOffset gives the radius of the tool that D names, or an earlier D; the tool in the spindle when there is none.
func (it *interp) pocketOffset(b *block) (mm float64, ok bool) {
	d, given := b.take('D')
	n, whole := closeInt(d)
	switch {
	case given && (!whole || n < 0):
		it.say.unread(b.at('D'), "D%s is not a tool's number; the pocket is not read, write a whole number from 0 on",
			formatNumber(d))
		return 0, false
	case !given && it.comp.haveD:
		n = it.comp.lastD
	case !given:
		n = it.modal.tool
	}
	if r, set := it.comp.radiusMM[n]; set {
		return r, true
	}
	tool, known := it.opt.Tools[n]
	if n != 0 && !known {
		it.say.unread(b.codeCol(groupOneShot), "%s with D%d, of which no diameter is known; the pocket is not read, "+
			"give the tool", codeName(b.is(groupOneShot)), n)
	}
	return math.Abs(tool.DiameterMM) / 2, n == 0 || known
}

// circles goes from the middle out to each circle, once round it, and back to the middle.
func (it *interp) circles(b *block, radii []float64) {
	middle := it.at.prog
	sense := 1.0
	if b.is(groupOneShot) == g12 {
		sense = -1
	}
	// beside gives the point at a distance from the middle, on the side of plus X of the turned coordinates.
	beside := func(r float64) axes {
		w := it.frame.toWork(middle)
		w[0] += r
		return it.frame.toStock(w)
	}
	at := 0.0
	for _, r := range radii {
		it.feedTo(b, Move{Kind: Arc, End: beside(r).point(), Centre: beside((at + r) / 2).point(),
			TurnRad: sense * math.Pi})
		it.feedTo(b, Move{Kind: Arc, End: beside(r).point(), Centre: middle.point(), TurnRad: sense * 2 * math.Pi})
		at = r
	}
	it.feedTo(b, Move{Kind: Arc, End: middle.point(), Centre: beside(at / 2).point(), TurnRad: sense * math.Pi})
}

// feedTo makes a move and takes the programmed place along.
func (it *interp) feedTo(b *block, mv Move) {
	end := mv.End.axes()
	it.emit(b, mv)
	it.arrive(end)
}
