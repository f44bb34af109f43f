package parse

import "math"

// comp is the state of cutter radius compensation (NIST RS274NGC v3, appendix B).
//
// The path is offset in XY by the tool's radius. A convex corner is rounded by an arc about it; at a concave corner
// the two offset paths are cut off at their intersection (common practice, no source: the published standard calls
// every concave corner an error). The last offset move is kept within reach, so that it can still be cut off when
// the next one is known.
type comp struct {
	r     float64 // mm; 0: the path stays as programmed
	side  float64 // +1: the tool is on the left of the path, -1 on the right
	lastD int     // D of an earlier block without G41
	haveD bool
	// radiusMM are those that the program enters into the control's tool table (G10 L1), by D
	radiusMM map[int]float64
	tableSet bool // the program has written that table in another way

	entered bool
	last    int        // index of the last move with XY motion; -1: none
	dir     [2]float64 // direction of the programmed path at its end
	curve   float64    // curvature there, 1/mm, positive to the left
	exit    bool       // compensation has ended, but the tool is not yet on the programmed path
}

// forget starts compensation anew with the next move.
func (c *comp) forget() { c.entered, c.last, c.exit = false, -1, false }

// setComp reads G40, G41 and G42.
func (it *interp) setComp(b *block) {
	m, c := &it.modal, &it.comp
	code, col := b.is(groupComp), b.codeCol(groupComp)
	d, given := b.take('D')
	if code == g40 {
		if m.side != 0 && c.r != 0 && it.at.prog != it.at.tip {
			c.forget()
			c.exit = true
			if it.say.strict {
				it.at.prog = it.at.tip
			}
		}
		m.side, c.r = 0, 0
		return
	}
	side := 1
	if code >= g42 {
		side = -1
	}
	if code == g41p2 || code == g42p2 {
		it.say.lenient(lenProjectedComp, col, "%s (compensation in three dimensions); read as %s in the XY plane",
			codeName(code), codeName(code-2))
	}
	if m.plane != PlaneXY || it.frame.turned && it.frame.plane != PlaneXY {
		it.say.unread(col, "cutter radius compensation outside the XY plane; the path is read as programmed, write G17")
		return
	}
	if code == g41p1 || code == g42p1 {
		it.dynamicComp(b, float64(side), d, given)
		return
	}
	n, ok := it.compTool(b, d, given)
	if !ok {
		return
	}
	if m.side != 0 {
		if m.side == side && m.compD == n {
			it.say.lenient(lenCompRepeated, col, "%s while it is on already; it stays on", codeName(code))
			return
		}
		it.say.unread(col, "%s while compensation is on already; read as if G40 came first", codeName(code))
	}
	m.side, m.compD = side, n
	c.forget()
	c.side = float64(side)
	if given {
		col = b.at('D')
	}
	c.r = it.compRadius(b, col, n, given || c.haveD)
}

// compTool gives the number of the tool that D names, or an earlier D; the one in the spindle when there is none.
func (it *interp) compTool(b *block, d float64, given bool) (n int, ok bool) {
	m, c := &it.modal, &it.comp
	n, whole := closeInt(d)
	switch {
	case given && (!whole || n < 0):
		it.say.unread(b.at('D'), "D%s is not a tool's number; the path is read as programmed, write a whole number "+
			"from 0 on", formatNumber(d))
		return 0, false
	case !given && c.haveD:
		n = c.lastD
	case !given:
		n = m.tool
		if !m.changed {
			n = m.selected
		}
	}
	return n, true
}

// dynamicComp carries out G41.1 and G42.1, whose D is the diameter of the tool (published extension of RS274/NGC).
// Without D they turn a tool along its path on some controls.
func (it *interp) dynamicComp(b *block, side, d float64, given bool) {
	col := b.codeCol(groupComp)
	if !given {
		it.say.unread(col, "%s without D; the path is read as programmed, write the diameter of the tool",
			codeName(b.is(groupComp)))
		return
	}
	it.comp.forget()
	it.modal.side, it.modal.compD = int(side), 0
	it.comp.side = math.Copysign(side, side*d)
	it.comp.r = math.Abs(d) * it.modal.unitMM() / 2
	b.take('L')
}

// compRadius gives the radius for D; col is the place in the block that asks for it. A negative diameter puts the tool
// on the other side.
func (it *interp) compRadius(b *block, col, d int, given bool) float64 {
	if d == 0 && given {
		return 0
	}
	if it.opt.Tools[it.modal.tool].InPath || it.opt.Tools[d].InPath {
		it.say.reading(lenCompInPath, col, "%s with a path that is the tool center's already; it changes nothing",
			codeName(b.is(groupComp)))
		return 0
	}
	if r, set := it.comp.radiusMM[d]; set {
		return r
	}
	tool, ok := it.opt.Tools[d]
	if it.comp.tableSet {
		it.say.unread(col, "%s behind entries into the control's tool table; read with the diameter of the job "+
			"file, take them out", codeName(b.is(groupComp)))
	}
	if !ok {
		it.say.unread(col, "%s with D%d, of which no diameter is known; the path is read as programmed, give the "+
			"[[tool]] in the job file, with offset = \"in-path\" if the path is that of its center already",
			codeName(b.is(groupComp)), d)
		return 0
	}
	if !(math.Abs(tool.DiameterMM) <= maxCoordinateMM) {
		return 0
	}
	if tool.DiameterMM < 0 {
		it.comp.side = -it.comp.side
	}
	return math.Abs(tool.DiameterMM) / 2
}

// compensate makes the tool follow a segment at the distance of its radius.
func (it *interp) compensate(b *block, s segment) {
	c := &it.comp
	from := it.at.prog
	if s.kind != Arc && from[0] == s.end[0] && from[1] == s.end[1] {
		end := it.at.tip
		end[2] = s.end[2]
		it.emit(b, Move{Kind: s.kind, End: end.point()})
		it.at.prog = s.end
		return
	}
	if s.kind == Arc && s.plane != PlaneXY {
		it.say.unread(b.first, "an arc outside the XY plane under cutter radius compensation; it is not read, "+
			"cancel it with G40 before")
		it.jump(s.end)
		return
	}
	if !c.entered {
		it.enter(b, s)
		return
	}
	t, ok := offsetTrack(from, s, c.side*c.r)
	if !ok {
		it.say.unread(b.first, "the tool's radius of %s is not smaller than that of the inner arc; the arc is not "+
			"read, use a smaller tool", it.modal.length(c.r))
		it.jump(s.end)
		return
	}
	cut := it.corner(b, s, &t, from)
	mv := Move{Kind: s.kind, Plane: s.plane, TurnRad: s.turn}
	mv.End = Point{t.q[0], t.q[1], s.end[2]}
	if s.kind == Arc {
		mv.Centre = Point{t.c[0], t.c[1], s.centre[2]}
		if cut {
			mv.TurnRad -= t.sense * t.angleTo([2]float64{it.at.tip[0], it.at.tip[1]})
		}
	}
	c.last, c.dir, c.curve = it.p.Moves.Len(), t.endDir, t.curve
	it.emit(b, mv)
	if it.p.Moves.Len() == c.last {
		c.last = -1
	}
	it.at.prog = s.end
}

// enter carries out the first move: straight from the tool's center C to the tangent point Q of the circle of the
// tool's radius round the programmed end P, on the compensated side (NIST RS274NGC v3, B.6): CQ^2 = CP^2 - r^2.
func (it *interp) enter(b *block, s segment) {
	c := &it.comp
	if s.kind == Arc {
		it.say.unread(b.first, "the first move under cutter radius compensation is an arc; it is not read, enter "+
			"along a straight move")
		it.jump(s.end)
		return
	}
	it.say.reading(lenCompEntry, b.first, "cutter radius compensation begins with this move; read as the tangent to "+
		"the circle of the tool's radius round its end (published rule; many controls end square to the next move "+
		"instead)")
	dx, dy := s.end[0]-it.at.tip[0], s.end[1]-it.at.tip[1]
	d := math.Hypot(dx, dy)
	if d < c.r {
		it.say.unread(b.first, "the first move under cutter radius compensation is %s long, shorter than the tool's "+
			"radius of %s; it is not read, lengthen it", it.modal.length(d), it.modal.length(c.r))
		it.jump(s.end)
		return
	}
	cq := math.Sqrt(float64(d*d) - float64(c.r*c.r))
	// Direction of CP turned toward the compensated side by asin(r/d).
	sin, cos := c.side*c.r/d, cq/d
	ux, uy := dx/d, dy/d
	c.dir = [2]float64{float64(ux*cos) - float64(uy*sin), float64(ux*sin) + float64(uy*cos)}
	c.entered, c.last, c.curve = true, it.p.Moves.Len(), 0
	end := Point{it.at.tip[0] + cq*c.dir[0], it.at.tip[1] + cq*c.dir[1], s.end[2]}
	it.emit(b, Move{Kind: s.kind, End: end})
	if it.p.Moves.Len() == c.last {
		c.last = -1
	}
	it.at.prog = s.end
}
