package parse

import (
	"bytes"
	"math"
)

// sysKnown tells whether the place of the active work system is known.
func (it *interp) sysKnown() bool {
	_, ok := it.sys.place[it.modal.system]
	return ok
}

// warnSystem is called when a move is made in a work system whose place is not known: the first one is taken for
// the coordinates that the stock uses, any other cannot be placed.
func (it *interp) warnSystem(b *block) {
	n := it.modal.system
	it.sys.claim(n)
	if o, ok := it.sys.origin(n); ok {
		it.frame.origin = o
		return
	}
	if it.sys.warned[n] {
		return
	}
	if it.sys.warned == nil {
		it.sys.warned = make(map[int]bool)
	}
	it.sys.warned[n] = true
	it.say.unread(b.first, "the program moves in %s, whose origin is not known; its moves are read as if it lay on "+
		"the stock's own zero, give the [[origin]] of all work systems in the job file", systemName(n))
}

// setRotation reads G68 and G69: the plane's coordinates turned counter-clockwise about a center (common practice,
// no source).
func (it *interp) setRotation(b *block) {
	f, m := &it.frame, &it.modal
	col := b.codeCol(groupRotation)
	if m.side != 0 {
		it.say.unread(col, "%s while cutter radius compensation is on; cancel it with G40 before",
			codeName(b.is(groupRotation)))
	}
	if b.is(groupRotation) == g69 {
		f.rotate(m.plane, 0, 0, 0)
		return
	}
	iu, iv, _ := m.plane.inPlane()
	f.turned = false
	for _, i := range [...]int{iu, iv} {
		it.settleIf(i, col)
	}
	centre := f.toWork(it.at.prog)
	for _, i := range [...]int{iu, iv} {
		l := byte('X' + i)
		if !b.got(l) {
			continue
		}
		v := b.val[l-'A'] * m.unitMM()
		if b.incremental&bit(l) != 0 {
			it.say.unread(b.at(l), "the center of G68 in G91 is read differently by controls; read as an absolute "+
				"place, write it in G90")
		}
		centre[i] = v
	}
	b.used |= axisWords
	r, ok := b.take('R')
	switch {
	case !ok:
		it.say.unread(col, "G68 without R; the coordinates are not turned, write the angle")
	case b.incremental&bit('R') != 0:
		it.say.unread(b.at('R'), "the angle of G68 in G91 is read differently by controls; read as an absolute "+
			"angle, write it in G90")
	}
	f.rotate(m.plane, centre[iu], centre[iv], r)
}

// settleIf settles an axis whose place is needed.
func (it *interp) settleIf(i int, col int) {
	if it.at.why[i] != isKnown {
		it.settle(i, true, col)
	}
}

// setTable reads G10: L1 enters a tool into the control's table, L2 sets the origin of a work system in machine
// coordinates, L20 so that the place of the tool reads as given (published extension of RS274/NGC).
func (it *interp) setTable(b *block) {
	col := b.codeCol(groupOneShot)
	v, _ := b.take('L')
	l, whole := closeInt(v)
	if it.modal.side != 0 {
		it.say.unread(col, "G10 while cutter radius compensation is on; cancel it with G40 before")
	}
	switch {
	case whole && l == 2:
		if n, ok := it.systemToSet(b); ok {
			it.setOrigin(b, n)
		}
		return
	case whole && l == 20:
		it.setOriginHere(b)
		return
	case whole && l == 1:
		if r, ok := b.take('R'); ok {
			p, _ := closeInt(b.val['P'-'A'])
			put(&it.comp.radiusMM, p, r*it.modal.unitMM())
		}
	case whole && l >= 10 && l <= 13:
		it.comp.tableSet = it.comp.tableSet || l >= 12
	default:
		it.say.unread(col, "G10 L%s is not understood; only L1, L2, L10 to L13 and L20 are, the block is not read",
			formatNumber(v))
	}
	b.used |= b.has
}

// systemToSet gives the work system that P of G10 names. A faulty one is noted.
func (it *interp) systemToSet(b *block) (n int, ok bool) {
	col := b.codeCol(groupOneShot)
	p, given := b.take('P')
	n, whole := closeInt(p)
	if given && whole && n == 0 && !it.say.strict {
		it.say.reading(lenSystemZero, b.at('P'), "P0 behind G10 L2 or L20; read as the active work system")
		n = it.modal.system
	}
	if !given || !whole || n < 1 || n > 9 && n != it.modal.system {
		it.say.unread(col, "G10 L2 or L20 without P from 1 to 9; the block is not read, write the number of the work "+
			"system")
		b.used |= b.has
		return 0, false
	}
	return n, true
}

// setOrigin sets the origin of a work system in machine coordinates from the axis words of G10.
func (it *interp) setOrigin(b *block, n int) {
	if r, ok := b.take('R'); ok && r != 0 {
		it.say.unread(b.at('R'), "a work system turned by G10 is not understood; it is set without the angle")
	}
	var v axes
	var named [3]bool
	for i := range v {
		l := byte('X' + i)
		x, ok := b.take(l)
		if !ok {
			continue
		}
		if b.incremental&bit(l) != 0 {
			it.say.unread(b.at(l),
				"G10 L2 in G91 is read differently by controls; read as an absolute place, write G90")
		}
		v[i], named[i] = x*it.modal.unitMM(), true
	}
	it.setSystemOrigin(b.codeCol(groupOneShot), n, v, named)
}

// setOriginHere carries out G10 L20. Older controls set the systems of G54.1 with it, in machine coordinates (common
// practice, no source): so it is read in programs that use them.
func (it *interp) setOriginHere(b *block) {
	if it.usesExtendedSystems() {
		it.say.lenient(lenExtendedOrigin, b.codeCol(groupOneShot), "G10 L20 in a program that uses G54.1; read as the "+
			"origin of G54.1 in machine coordinates")
		if n, whole := closeInt(b.val['P'-'A']); whole && n >= 1 && n <= maxExtendedSystem {
			b.take('P')
			it.setOrigin(b, 100+n)
			return
		}
	}
	n, ok := it.systemToSet(b)
	if !ok {
		return
	}
	if it.frame.turned {
		it.say.unread(b.codeCol(groupOneShot), "G10 L20 under G68; the block is not read, cancel it with G69 before")
		b.used |= b.has
		return
	}
	if n == it.modal.system {
		it.sys.claim(n)
		it.frame.origin, _ = it.sys.origin(n)
	}
	var o axes
	var named [3]bool
	for i := range o {
		l := byte('X' + i)
		x, ok := b.take(l)
		if !ok {
			continue
		}
		v := x * it.modal.unitMM()
		it.findPlace(b, i, v)
		o[i], named[i] = it.at.prog[i]-v-it.frame.shift(i)+it.frame.origin[i], true
	}
	it.sys.setPlace(n, o, named)
	it.frame.origin, _ = it.sys.origin(it.modal.system)
}

// usesExtendedSystems tells whether G54.1 or G154 stands anywhere in the main program.
func (it *interp) usesExtendedSystems() bool {
	return bytes.Contains(it.main.src, []byte("54.1")) || bytes.Contains(it.main.src, []byte("G154"))
}

// findPlace takes a place that is not known yet from what its coordinate is said to read.
func (it *interp) findPlace(b *block, i int, reads float64) {
	if it.at.why[i] == isKnown {
		return
	}
	if it.at.why[i] == atHome {
		it.say.unread(b.at(byte('X'+i)), "%s at a machine place that is not known; give the machine's zero as "+
			"[machine] zero in the job file",
			codeName(b.is(groupOneShot)))
	}
	v := reads + it.frame.shift(i)
	it.at.find(i, v)
	it.patch(i, v)
	it.assume("start: %c%s where the program's first %s says so", axisLetters[i], formatNumber(v),
		codeName(b.is(groupOneShot)))
}

// setSystemOrigin sets the origin of a work system in machine coordinates. Where the machine's zero is not known, a
// system that was cut in moves by nobody knows how much.
func (it *interp) setSystemOrigin(col, n int, v axes, named [3]bool) {
	if n == it.modal.system {
		it.sys.claim(n)
	}
	if it.sys.setMachine(n, v, named) {
		if it.sys.fed[n] {
			it.say.unread(col, "%s is moved after cuts were made in it, and by how much is not known; its moves are "+
				"read as if it stayed; give the machine's zero as [machine] zero in the job file", systemName(n))
		}
		it.assume("work systems: %s lies where its G10 says, and the others from it", systemName(n))
	}
	it.frame.origin, _ = it.sys.origin(it.modal.system)
}

// setOffset reads G52 and the G92 family. It reports whether the block's axis words are taken.
func (it *interp) setOffset(b *block, shot int) (taken bool) {
	f := &it.frame
	col := b.codeCol(groupOneShot)
	if it.modal.side != 0 {
		it.say.unread(col, "%s while cutter radius compensation is on; cancel it with G40 before", codeName(shot))
	}
	switch shot {
	case g92p1:
		f.g92, f.g92Off = axes{}, false
		return false
	case g92p2:
		f.g92Off = true
		return false
	case g92p3:
		f.g92Off = false
		return false
	}
	if !b.hasAxis() {
		it.say.unread(col, "%s without axis words; the block is not read, write X, Y or Z", codeName(shot))
		return true
	}
	unit := it.modal.unitMM()
	if shot == g52 {
		for i := range f.g52 {
			if v, ok := b.take(byte('X' + i)); ok {
				f.g52[i] = v * unit
			}
		}
		return true
	}
	if !it.sysKnown() {
		it.warnSystem(b)
	}
	it.setG92(b, unit)
	return true
}

// setG92 makes the current place read as given. Where that place is not known yet, the numbers given are it.
func (it *interp) setG92(b *block, unit float64) {
	f := &it.frame
	if f.g92Off {
		f.g92, f.g92Off = axes{}, false
	}
	for i := 0; i < 3; i++ {
		l := byte('X' + i)
		if b.got(l) && it.at.why[i] != isKnown {
			f.g92[i] = 0
			it.findPlace(b, i, b.val[l-'A']*unit)
		}
	}
	if f.turned {
		for i := 0; i < 3; i++ {
			it.settleIf(i, b.first)
		}
	}
	want := f.toWork(it.at.prog)
	for i := 0; i < 3; i++ {
		if v, ok := b.take(byte('X' + i)); ok {
			want[i] = v * unit
		}
	}
	turned := f.turn(want, f.sin)
	for i := 0; i < 3; i++ {
		if b.got(byte('X'+i)) || f.turned {
			f.g92[i] = it.at.prog[i] - turned[i] - f.origin[i] - f.g52[i]
		}
	}
}

// dwellsByF tells whether F of a block is the time of its dwell (common practice, no source).
func (b *block) dwellsByF() bool {
	return b.is(groupOneShot) == g4 && b.has&(bit('P')|bit('X')|bit('U')) == 0 && b.got('F')
}

// takesExtendedSystem tells whether P beside G54 is the number of a work system: nothing else in the block takes it.
func (b *block) takesExtendedSystem() bool {
	shot, code := b.is(groupOneShot), b.is(groupMotion)
	return b.got('P') && shot == noCode && b.is(groupCall) == noCode && b.is(groupPath) == noCode &&
		b.is(groupMachine) == noCode && b.is(groupQuiet) == noCode && (code == noCode || code <= g1)
}

// dwell reads G4.
func (it *interp) dwell(b *block) {
	col := b.codeCol(groupOneShot)
	letter := byte('P')
	for _, l := range [...]byte{'X', 'U'} {
		if !b.got('P') && b.got(l) && !it.say.strict {
			it.say.reading(lenDwellLetter, b.at(l), "G4 with %c; read as a dwell in seconds", l)
			letter = l
		}
	}
	if b.dwellsByF() {
		it.say.lenient(lenDwellF, b.at('F'), "G4 with F and no P; F is read as a dwell in seconds and not as a feed")
		letter = 'F'
	}
	s, ok := b.take(letter)
	switch {
	case !ok:
		it.say.unread(col, "G4 without P; the dwell is left out, write its seconds")
		return
	case s < 0:
		it.say.unread(b.at(letter), "a negative dwell; it is left out, write its seconds")
		return
	}
	it.pause(b, it.dwellSeconds(s, b.at(letter)))
}

// Longer dwells are taken for milliseconds: nobody waits five minutes in a cut, many controls count so.
const longDwellS = 300

func (it *interp) dwellSeconds(p float64, col int) float64 {
	if p >= longDwellS && !it.say.strict {
		it.say.reading(lenDwellMilliseconds, col, "a dwell of P%s; read as milliseconds", formatNumber(p))
		p /= 1000
	}
	return math.Min(p, maxDwellS)
}

func (it *interp) pause(b *block, seconds float64) {
	if seconds > 0 {
		it.emit(b, Move{Kind: Dwell, End: it.at.tip.point(), DurationS: seconds})
	}
}
