package parse

// execute carries out a block in the published order (NIST RS274NGC v3, table 8), whatever the order of its words:
// feed mode, F, S, T, tool change, spindle, coolant, dwell, plane, units, compensation, length offset, work system,
// path mode, distance, return mode, home and offsets, motion, stop. A subprogram call comes last (common practice,
// no source).
//
// One departure: G20 and G21 also govern the F of their own block, as posts expect (common practice, no source).
func (it *interp) execute(b *block) {
	it.beforeMotion(b)
	it.motion(b)
	if b.corner != 0 {
		it.say.unread(b.cornerCol, "a word behind a comma without a straight move; it is left out")
	}
	if b.groups&(1<<groupCall) != 0 {
		b.used |= bit('P') | bit('L') | bit('Q') | bit('H') // taken below
		if b.is(groupCall) == 98 {
			it.callArguments(b)
		}
	}
	it.strayWords(b)
	it.afterMotion(b)
}

// beforeMotion carries out what comes before the motion.
func (it *interp) beforeMotion(b *block) {
	m := &it.modal
	if b.groups&^(1<<groupMotion|1<<groupDistance) != 0 {
		it.modes(b)
	}
	if b.got('F') && !b.dwellsByF() {
		it.setFeed(b)
	}
	if v, ok := b.take('S'); ok {
		if v < 0 {
			it.say.unread(b.at('S'), "a negative spindle speed; left out, use M4 to turn the other way")
		} else {
			m.speed, m.speedSet = v, true
		}
	}
	if b.got('T') {
		it.selectTool(b)
	}
	if b.groups>>groupStop != 0 {
		it.machineCodes(b)
	}
	switch b.is(groupDistance) {
	case g90:
		m.incremental = false
	case g91:
		m.incremental = true
	}
	if b.groups&(1<<groupDistance) != 0 && !b.mixed {
		b.incremental = b.bare
		if m.incremental {
			b.incremental = b.has
		}
	}
}

// afterMotion carries out stops and calls.
func (it *interp) afterMotion(b *block) {
	if b.groups&(1<<groupStop) != 0 {
		it.stop(b.code[groupStop])
	}
	if b.groups&(1<<groupCall) != 0 && !it.ended {
		if b.is(groupCall) == g65 {
			it.macroCall(b)
		} else {
			it.call(b)
		}
	}
}

// modes sets the modes that stand before the motion.
func (it *interp) modes(b *block) {
	m := &it.modal
	switch n := b.is(groupUnits); n {
	case g20, g21, g70, g71:
		it.setUnits(b, n)
	}
	switch n := b.is(groupFeedMode); n {
	case g93, g94, g95:
		mode := [...]feedMode{inverseTime, perMinute, perRevolution}[(n-g93)/10]
		if mode != m.feedMode {
			m.feedMode, m.feed = mode, 0
		}
	}
	if n := b.is(groupPlane); n != noCode {
		it.setPlane(b, Plane((n-g17)/10))
	}
	switch b.is(groupCentre) {
	case g90p1:
		m.centreAbsolute = true
	case g91p1:
		m.centreAbsolute = false
	}
	if b.groups&(1<<groupComp) != 0 {
		it.setComp(b)
	}
	if b.groups&(1<<groupLength) != 0 {
		it.setLength(b)
	}
	if b.groups&(1<<groupSystem) != 0 {
		it.setSystem(b)
	}
	if b.groups&(1<<groupPath) != 0 {
		it.setPath(b)
	}
	switch b.is(groupReturn) {
	case g98:
		m.retractToR = false
	case g99:
		m.retractToR = true
	}
	if b.groups&(1<<groupScale|1<<groupMirror) != 0 {
		it.refuseScale(b)
	}
	if n := b.is(groupSpeed); n != noCode {
		it.say.lenient(lenTurning, b.codeCol(groupSpeed), "%s belongs to turning; left out, S is read as turns per "+
			"minute", codeName(n))
	}
	it.setPolar(b)
	if b.is(groupQuiet) != noCode {
		it.quiet(b)
	}
}

// refuseScale refuses scaling and mirroring.
func (it *interp) refuseScale(b *block) {
	if b.is(groupScale) == g51 {
		it.say.unread(b.codeCol(groupScale), "G51 (scaling) is not understood; the program is read at its own size, "+
			"post it scaled")
		b.used |= axisWords | centreWords | bit('P')
		b.has &^= axisWords | centreWords
	}
	if b.is(groupMirror) == g51p1 {
		it.say.unread(b.codeCol(groupMirror), "G51.1 (mirroring) is not understood; the program is read as it "+
			"stands, post it mirrored")
		b.used |= axisWords
		b.has &^= axisWords
	}
}

func (it *interp) setUnits(b *block, n int) {
	m := &it.modal
	if n == g70 || n == g71 {
		if b.got('P') && b.got('Q') {
			it.say.unread(b.codeCol(groupUnits), "%s with P and Q is a finishing cycle of turning; it is not read",
				codeName(n))
			b.used |= bit('P') | bit('Q')
			return
		}
		it.say.lenient(lenOldUnits, b.codeCol(groupUnits), "%s, the old spelling; read as %s", codeName(n),
			codeName(n-g70+g20))
		n += g20 - g70
	}
	inch := n == g20
	if m.side != 0 && inch != m.inch {
		it.say.unread(b.codeCol(groupUnits), "units change while cutter radius compensation is on; cancel it with "+
			"G40 before")
	}
	m.inch, m.unitsGiven = inch, true
	if !m.unitsNamed {
		it.p.Units, m.unitsNamed = m.units(), true
	}
}

func (it *interp) setPlane(b *block, p Plane) {
	if it.modal.side != 0 && p != PlaneXY {
		it.say.unread(b.codeCol(groupPlane), "the plane changes while cutter radius compensation is on; cancel it "+
			"with G40 before")
	}
	it.modal.plane = p
}

// setLength reads G43, G44 and G49. Moves are those of the tool tip, so that a length offset changes nothing as
// long as it is that of the tool in use.
func (it *interp) setLength(b *block) {
	m := &it.modal
	col := b.codeCol(groupLength)
	if b.is(groupLength) == g49 {
		m.lengthOn = false
		return
	}
	h, given := b.take('H')
	n, whole := closeInt(h)
	switch {
	case b.is(groupLength) >= g43p1 && b.is(groupLength) != g44:
		it.say.lenient(lenLengthVariant, col, "%s; read as G43: places are those of the tool tip",
			codeName(b.is(groupLength)))
		b.used |= axisWords | centreWords
		if b.is(groupLength) == g43p1 {
			b.has &^= axisWords | centreWords
		}
		n = m.tool
	case !given:
		it.say.lenient(lenLengthWithoutH, col, "G43 without H; read as the length of the tool in use")
		n = m.tool
	case !whole || n < 0:
		it.say.unread(b.at('H'), "H%s is not a tool's number; write a whole number from 0 on", formatNumber(h))
		return
	case n != 0 && m.tool != 0 && n != m.tool:
		it.say.reading(lenLengthOtherTool, b.at('H'), "H%d with tool %d; the tip is taken to be where the program says",
			n, m.tool)
	}
	m.lengthOn, m.lengthUsed, m.lengthH = true, true, n
}

func (it *interp) setPath(b *block) {
	m := &it.modal
	m.exact, m.toleranceMM = b.is(groupPath), 0
	if m.exact != g64 {
		return
	}
	p, ok := b.take('P')
	b.take('Q')
	switch {
	case !ok:
		it.assume("path: G64 without P is taken to deviate by nothing")
	case p < 0:
		it.say.unread(b.at('P'), "a negative tolerance behind G64; left out")
	default:
		m.toleranceMM = p * m.unitMM()
	}
}

func (it *interp) setSystem(b *block) {
	m := &it.modal
	col := b.codeCol(groupSystem)
	n := 0
	switch c := b.is(groupSystem); {
	case c == g54p1 || c == g154 || c == g54 && b.takesExtendedSystem():
		if c == g54 {
			it.say.lenient(lenSystemP, col, "G54 with P; read as G54.1")
		}
		p, _ := b.take('P')
		k, whole := closeInt(p)
		if !whole || k < 1 || k > maxExtendedSystem {
			it.say.unread(col, "G54.1 without the number of a system; write P and a whole number")
			return
		}
		n = 100 + k
	case c > g59:
		n = 6 + c - g59
	default:
		n = (c-g54)/10 + 1
	}
	if m.side != 0 && n != m.system {
		it.say.unread(col, "the work system changes while cutter radius compensation is on; cancel it with G40 before")
	}
	m.system = n
	it.frame.origin, _ = it.sys.origin(n)
}

func (it *interp) selectTool(b *block) {
	v, _ := b.take('T')
	n, whole := closeInt(v)
	if !whole && v > 0 && !it.say.strict {
		n, whole = int(v), true
		it.say.reading(lenToolOffset, b.at('T'), "T%s; read as tool %d with the number of an offset behind the point",
			formatNumber(v), n)
	}
	if !whole || n < 0 {
		it.say.unread(b.at('T'), "T%s is not a tool's number; write a whole number from 0 on", formatNumber(v))
		return
	}
	m := &it.modal
	if b.is(groupTool) == 6 && b.at('T') > b.codeCol(groupTool) {
		it.toolBehindChange(b, n)
	}
	m.selected, m.toolGiven = n, true
}

// toolBehindChange sees to T behind M6 in one block. The published order takes T first (NIST RS274NGC v3, table 8);
// controls that bring the next tool into place meanwhile load the one selected before (common practice, no source).
func (it *interp) toolBehindChange(b *block, n int) {
	m := &it.modal
	if !m.toolGiven || m.selected == n || m.selected == m.tool {
		it.say.reading(lenToolBehindChange, b.at('T'), "T%d behind M6 in one block; read as the tool that is loaded", n)
		return
	}
	it.say.unread(b.at('T'),
		"T%d behind M6 in one block, with T%d selected before: controls load one or the other; read as T%d, "+
			"write T and M6 in one order throughout", n, m.selected, n)
}

// nameTool carries out M61 Q: the tool in the spindle has number Q (published extension of RS274/NGC).
func (it *interp) nameTool(b *block) {
	q, given := b.take('Q')
	n, whole := closeInt(q)
	if !given || !whole || n < 0 {
		it.say.unread(b.codeCol(groupTool), "M61 without the number of a tool; write Q and a whole number")
		return
	}
	it.modal.changed, it.modal.selected, it.modal.toolGiven = true, n, true
	it.load(n)
}

// machineCodes carries out the M codes that come before the motion.
func (it *interp) machineCodes(b *block) {
	m := &it.modal
	switch b.is(groupTool) {
	case 61:
		it.nameTool(b)
	case 6:
		if m.side != 0 {
			it.say.unread(b.codeCol(groupTool), "a tool change while cutter radius compensation is on; cancel it "+
				"with G40 before")
		}
		if !m.toolGiven && !m.changed {
			it.say.unread(b.codeCol(groupTool), "M6 without a T before it; the tool is not known, write T and its "+
				"number")
		}
		m.changed = true
		m.spindle = SpindleStopped
		it.load(m.selected)
	}
	switch b.is(groupSpindle) {
	case 3, 13:
		m.spindle, m.started = SpindleClockwise, true
	case 4, 14:
		m.spindle, m.started = SpindleCounterclockwise, true
	case 5:
		m.spindle = SpindleStopped
	}
	switch b.is(groupMachine) {
	case 19:
		it.say.reading(lenOrient, b.codeCol(groupMachine), "M19 (spindle orientation); read as a stopped spindle")
		m.spindle = SpindleStopped
		b.used |= bit('P') | bit('R')
	case 50, 51, 52, 53, 66:
		it.override(b, b.is(groupMachine))
	}
	it.machineMs(b)
	if n := b.is(groupSpindle); n == 13 || n == 14 {
		it.say.lenient(lenCoolantVariant, b.codeCol(groupSpindle), "M%d; read as M%d with M8", n, n-10)
		it.setCoolant(m.mist, true)
	}
	switch n := b.is(groupCoolant); n {
	case 88:
		it.say.lenient(lenCoolantVariant, b.codeCol(groupCoolant), "M88 (coolant through the tool); read as M8")
		it.setCoolant(m.mist, true)
	case 89:
		it.say.lenient(lenCoolantVariant, b.codeCol(groupCoolant), "M89 ends coolant through the tool; left out")
	case 7:
		it.setCoolant(true, m.flood)
	case 8:
		it.setCoolant(m.mist, true)
	case mistAndFlood:
		it.setCoolant(true, true)
	case 9:
		it.setCoolant(false, false)
	}
}

// load brings a tool into the spindle.
func (it *interp) load(n int) {
	m := &it.modal
	if m.loaded && n == m.tool {
		return
	}
	m.tool, m.loaded = n, true
	it.p.ToolCalls = append(it.p.ToolCalls, ToolCall{Tool: n, Line: it.say.cause, Move: it.p.Moves.Len()})
}

// stop carries out M0, M1, M2, M30 and M60.
func (it *interp) stop(c code) {
	name := "M" + formatNumber(float64(c.n))
	it.p.Stops = append(it.p.Stops, Stop{Code: name, Line: it.say.cause, Move: it.p.Moves.Len()})
	if c.n == 2 || c.n == 30 {
		it.setCoolant(false, false)
		it.ended, it.endMet = true, true
	}
}

// strayWords notes numbers that no code of the block takes.
func (it *interp) strayWords(b *block) {
	left := b.has &^ b.used
	if left == 0 {
		return
	}
	for l := byte('A'); l <= 'Z'; l++ {
		if left&bit(l) == 0 {
			continue
		}
		v := b.val[l-'A']
		switch l {
		case 'A', 'B', 'C':
			if v == 0 {
				it.say.reading(lenRotaryZero, b.at(l), "%c0; a rotary axis that stays at 0 is left out", l)
			} else {
				it.say.unread(b.at(l), "%c%s turns a rotary axis, which is not understood; the rest of the block is "+
					"read", l, formatNumber(v))
			}
		case 'D', 'H':
			it.say.lenient(lenStrayOffset, b.at(l), "%c without the code that takes it; kept for a later one", l)
			if n, whole := closeInt(v); l == 'D' && whole && n >= 0 {
				it.comp.lastD, it.comp.haveD = n, true
			}
		case 'P':
			it.say.lenient(lenStrayWord, b.at(l), "P that no code of the block takes; left out")
		default:
			if (l == 'I' || l == 'J' || l == 'K') && v == 0 {
				it.say.lenient(lenZeroCentreWord, b.at(l), "%c0 that no code of the block takes; left out", l)
				continue
			}
			it.say.unread(b.at(l), "%c%s is taken by no code of the block; correct the block", l, formatNumber(v))
		}
	}
}
