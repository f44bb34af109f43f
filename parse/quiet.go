package parse

// quietCodes are codes that change neither the path nor the work (common practice, no source): how smoothly the control
// follows the path, watches, and the ends of modes that are not read at all.
var quietCodes = map[int]string{
	g5: "high-speed path control", g5p1: "look-ahead and smoothing", g8: "look-ahead", g187: "smoothing",
	g22: "limits of travel", g22 + 10: "limits of travel", g25: "watch on the spindle",
	g25 + 10: "watch on the spindle",
	g13p1:    "end of polar interpolation", g40p1: "end of normal direction control", g50p1 +
		1: "end of polygon turning",
	g67: "end of modal macro calls",
}

// quiet carries out a quiet code: what it takes is left out. Those that draw curves when axis words stand beside them
// are not understood.
func (it *interp) quiet(b *block) {
	n := b.is(groupQuiet)
	curve := (n == g5 || n == g5p1) && (b.hasAxis() || b.has&centreWords != 0)
	if curve || n == g5 && !b.got('P') {
		it.say.unread(b.codeCol(groupQuiet), "%s with axis words is a spline, which is not understood; the block is "+
			"not read, post it as lines and arcs", codeName(n))
		b.used |= b.has
		b.has &^= axisWords | centreWords
		return
	}
	it.say.lenient(lenQuietMode, b.codeCol(groupQuiet), "%s (%s); it changes no path and is left out", codeName(n),
		quietCodes[n])
	b.used |= bit('P') | bit('Q') | bit('R') | bit('E')
	if n == g22 {
		b.used |= axisWords | centreWords
		b.has &^= axisWords | centreWords
	}
}

// override carries out M50 to M53 with P, which switch the operator's overrides (published extension of RS274/NGC), and
// M66, which waits for an input.
func (it *interp) override(b *block, n int) {
	col := b.codeCol(groupMachine)
	switch {
	case n == 66:
		it.say.lenient(lenWait, col, "M66 waits for an input; it moves nothing and is left out")
		b.used |= bit('P') | bit('E') | bit('L') | bit('Q')
	case b.got('P'):
		it.say.lenient(lenOverride, col, "M%d with P switches an override; the programmed feed and speed are read", n)
		b.used |= bit('P')
	default:
		b.machine = append(b.machine, word{letter: 'M', value: float64(n), col: int32(col)})
	}
}
