package parse

import "math"

// motion carries out what takes the axis words of a block: a one-shot code, a cycle, or a move.
func (it *interp) motion(b *block) {
	shot, code := b.is(groupOneShot), b.is(groupMotion)
	if shot != noCode && shot != g4 || isCycle(it.modal.motion) || b.is(groupRotation) != noCode {
		it.leaveComp()
	}
	if !it.oneTaker(b) {
		it.setMotion(b, code)
		return
	}
	if code != noCode {
		it.setMotion(b, code)
	}
	if b.is(groupRotation) != noCode {
		it.setRotation(b)
		if b.is(groupRotation) == g68 {
			return
		}
	}
	if !it.oneShot(b) {
		it.move(b)
	}
}

// oneTaker sees to a motion code beside another code that takes the axis words as well. It is false when the block
// cannot be read because of that.
func (it *interp) oneTaker(b *block) bool {
	shot, code := b.is(groupOneShot), b.is(groupMotion)
	takes := shot == g10 || shot == g12 || shot == g13 || shot == g28 || shot == g30 || shot == g92 || shot == g52 ||
		b.is(groupRotation) == g68 || shot == g4 && !b.got('P') && b.got('X')
	if !takes || code == noCode || code == g80 || !b.hasAxis() {
		return true
	}
	if code == g0 && !it.say.strict {
		it.say.reading(lenHomeWithRapid, b.codeCol(groupMotion), "G0 beside a code that takes the axis words; they "+
			"belong to that code, G0 holds for the next block")
		return true
	}
	it.say.unread(b.codeCol(groupMotion), "%s beside a code that takes the axis words as well; give them blocks of "+
		"their own", codeName(code))
	b.used |= axisWords | centreWords | bit('R')
	return false
}

// setMotion makes code the motion from this block on.
func (it *interp) setMotion(b *block, code int) {
	if code != g0 && code != g1 {
		it.leaveComp()
	}
	if !isCycle(code) || b.cancel || code != it.modal.motion {
		it.cycle.active = false
	}
	if code == g0 || code == g1 || code == g2 || code == g3 {
		it.modal.beforeCycle = code
	}
	it.modal.motion = code
}

// oneShot carries out the block's one-shot code. It is true when that leaves no axis words for a move.
func (it *interp) oneShot(b *block) bool {
	switch shot := b.is(groupOneShot); shot {
	case g4:
		it.dwell(b)
		return b.used&bit('X') != 0
	case g10:
		it.setTable(b)
		return true
	case g12, g13:
		it.pocket(b)
		return true
	case g28, g30:
		it.home(b, shot)
		return true
	case g52, g92, g92p1, g92p2, g92p3:
		return it.setOffset(b, shot)
	}
	return false
}

// move carries out the motion that holds, if the block has words for it.
func (it *interp) move(b *block) {
	m := &it.modal
	code, axis := b.is(groupMotion), b.hasAxis()
	switch {
	case b.is(groupOneShot) == g53:
		it.machineMove(b)
	case m.motion == g2 || m.motion == g3:
		if axis || b.has&centreWords != 0 || b.got('R') {
			it.arc(b)
		} else if code != noCode {
			it.modeOnly(b, code)
		}
	case isCycle(m.motion):
		if axis {
			it.runCycle(b)
		} else if code != noCode {
			it.say.unread(b.codeCol(groupMotion), "%s without X, Y or Z; write the place of the hole", codeName(code))
		}
	case m.motion == g38p2:
		if code == noCode && !axis {
			return
		}
		it.probe(b)
	case !axis:
		if code != noCode && code != g80 {
			it.modeOnly(b, code)
		}
	case m.motion == g80 && m.beforeCycle != noCode:
		if it.goBackBehindCycle(b) {
			it.straight(b, m.motion == g0)
			return
		}
		it.say.unread(b.first, "axis words behind G80 without a motion code; write G0 or G1")
		b.used |= axisWords
		it.skipTo(b)
	case m.motion == g80 || m.motion == noCode:
		it.say.lenient(lenNoMotionCode, b.first, "axis words before any motion code; read as G1, write G0 or G1")
		m.motion = g1
		it.straight(b, false)
	default:
		it.straight(b, m.motion == g0)
	}
}

// goBackBehindCycle makes G0 or G1 the motion again that held before the cycles that G80 has ended (common practice, no
// source). It is false when neither did.
func (it *interp) goBackBehindCycle(b *block) bool {
	m := &it.modal
	if m.motion != g80 || m.beforeCycle != g0 && m.beforeCycle != g1 {
		return false
	}
	m.motion = m.beforeCycle
	it.say.lenient(lenBehindCancel, b.first,
		"axis words behind G80 without a motion code; read as %s, which held before the cycle, as on most "+
			"controls", codeName(m.motion))
	return true
}

func (it *interp) modeOnly(b *block, code int) {
	it.say.lenient(lenModeOnly, b.codeCol(groupMotion), "%s without axis words; it holds from the next block on",
		codeName(code))
}

// beforeMove says once that a program moves before its units are known. They decide everything, and nothing in the
// program tells them.
func (it *interp) beforeMove(b *block) {
	m := &it.modal
	it.moved = true
	if !m.unitsGiven {
		m.unitsGiven = true
		it.say.add(NoUnits, it.say.line, b.first,
			"no G20 or G21 before the first move; read in mm, write G21 or G20, or [machine] units in the job "+
				"file", nil)
		it.assume("units: mm")
	}
}

// target gives the programmed end of a block in the coordinates that the stock uses, and which axes it names.
func (it *interp) target(b *block, rapid bool) (end axes, ok bool) {
	if !it.moved {
		it.beforeMove(b)
	}
	if !it.sysKnown() {
		it.warnSystem(b)
	}
	if it.at.open {
		it.approach(b, rapid)
	}
	m := &it.modal
	if it.comp.exit && b.has&axisWords != 0 {
		it.afterComp(b)
	}
	end = it.at.prog
	if it.frame.turned || m.polar {
		end = it.turnedTarget(b)
	} else {
		unit := m.unitMM()
		for i := 0; i < 3; i++ {
			l := byte('X' + i)
			if b.has&bit(l) == 0 {
				continue
			}
			v := b.val[l-'A'] * unit
			if b.incremental&bit(l) != 0 {
				end[i] += v
			} else {
				end[i] = v + it.frame.shift(i)
			}
		}
	}
	b.used |= axisWords
	for i, v := range end {
		if math.Abs(v) > maxCoordinateMM {
			it.say.unread(b.first, "%c would go to %s, beyond any machine; the block is not read", axisLetters[i],
				m.length(v))
			return end, false
		}
	}
	return end, true
}

// approach settles the unknown axes that a move starts from. A rapid to an absolute place from an unknown one is
// read as starting there.
func (it *interp) approach(b *block, rapid bool) {
	rotated := it.frame.turned || it.modal.polar
	for i := 0; i < 3; i++ {
		if it.at.why[i] == isKnown {
			continue
		}
		l := byte('X' + i)
		named := b.has&bit(l) != 0
		relative := named && b.incremental&bit(l) != 0
		if relative && b.val[l-'A'] == 0 { // stays where it is, wherever that is
			named, relative = false, false
		}
		switch {
		case relative || rotated && i < 2 || (rotated && it.frame.turned && it.frame.plane != PlaneXY):
			it.settle(i, true, b.first)
		case i < 2 && !rapid:
			it.settle(i, false, b.first)
		}
		if i < 2 && named && !relative && it.at.why[i] != isKnown {
			v := b.val[l-'A']*it.modal.unitMM() + it.frame.shift(i)
			it.patch(i, v)
			it.at.find(i, v)
		}
	}
}

// afterComp sees to the first move in X or Y behind compensation: it ends on the programmed path, in both axes, as on
// most controls (common practice, no source; the published standard leaves an axis that is not named where it is).
func (it *interp) afterComp(b *block) {
	if !b.got('X') && !b.got('Y') {
		return
	}
	if b.incremental&b.has&axisWords != 0 {
		it.say.reading(lenCompIncrementalExit, b.first, "an increment behind G40; it counts from the programmed "+
			"place, not from the tool's")
	}
	for i, l := range [...]byte{'X', 'Y'} {
		if !b.got(l) && it.at.tip[i] != it.at.prog[i] {
			it.say.reading(lenCompExit, b.first, "the first move behind G40 names only one of X and Y; the other "+
				"goes back to the programmed path too, as on most controls")
		}
	}
	it.comp.exit = false
}

// leaveComp makes the place of the tool the programmed one, when something else than a straight move follows G40.
func (it *interp) leaveComp() {
	if it.comp.exit {
		it.at.prog, it.comp.exit = it.at.tip, false
	}
}

// arrive records a move's programmed end.
func (it *interp) arrive(end axes) {
	it.at.prog = end
	if it.at.open {
		for i := range end {
			if it.at.why[i] != isKnown && !math.IsNaN(end[i]) {
				it.at.find(i, end[i])
			}
		}
	}
}

// skipTo takes the tool to the end of a block whose way there could not be read.
func (it *interp) skipTo(b *block) {
	if end, ok := it.target(b, true); ok {
		it.jump(end)
	}
}

func (it *interp) jump(end axes) {
	it.arrive(end)
	it.at.tip = end
	it.at.rise(end[2])
	it.comp.forget()
}

// straight carries out G0 and G1.
func (it *interp) straight(b *block, rapid bool) {
	end, ok := it.target(b, rapid)
	if !ok {
		return
	}
	seg := segment{end: end, kind: Feed}
	if rapid {
		seg.kind = Rapid
	} else {
		it.beforeFeed(b)
	}
	start, made, entry := it.at.prog, it.p.Moves.Len(), it.modal.side != 0 && it.comp.r != 0 && !it.comp.entered
	it.follow(b, seg)
	if b.corner != 0 {
		it.cornerWord(b, start, made, entry)
		b.corner = 0
	}
}

// segment is a programmed path from the programmed place to end.
type segment struct {
	kind   Kind
	plane  Plane
	end    axes
	centre axes
	turn   float64 // rad
}

// follow makes the tool follow a segment, through cutter radius compensation when that is on.
func (it *interp) follow(b *block, s segment) {
	if it.blend.pending {
		if s.kind != Arc && s.end == it.at.prog { // no move: the corner waits for the next one
			return
		}
		it.blendInto(b, s)
	}
	if it.modal.side != 0 && it.comp.r != 0 {
		it.compensate(b, s)
		return
	}
	to := s.end
	if it.comp.exit { // only Z is named behind G40
		to[0], to[1] = it.at.tip[0], it.at.tip[1]
	}
	it.emit(b, Move{Kind: s.kind, Plane: s.plane, End: to.point(), Centre: s.centre.point(), TurnRad: s.turn})
	it.arrive(s.end)
}

// beforeFeed sees to the tool of a program that selects but never changes tools, and to G49.
func (it *interp) beforeFeed(b *block) {
	m := &it.modal
	if !m.changed && m.selected != m.tool {
		it.say.lenient(lenToolWithoutChange, b.first, "T%d without M6; read as the tool in use", m.selected)
		it.load(m.selected)
	}
	if m.lengthUsed && !m.lengthOn {
		it.say.reading(lenFeedUnderG49, b.first,
			"a feed move behind G49; the tip is taken to be where the program says")
	}
}
