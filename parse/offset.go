package parse

import "math"

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
		"the stock's own zero, give the origins of all work systems", systemName(n))
}

// setRotation reads G68 and G69: the plane's coordinates turned counter-clockwise about a centre (common practice,
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
			it.say.unread(b.at(l), "the centre of G68 in G91 is read differently by controls; read as an absolute "+
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

// setOrigin reads G10. Only L2, the origin of a work system in machine coordinates, is understood.
func (it *interp) setOrigin(b *block) {
	col := b.codeCol(groupOneShot)
	l, _ := b.take('L')
	p, given := b.take('P')
	if n, whole := closeInt(l); !whole || n != 2 {
		it.say.unread(col, "G10 L%s is not understood; only L2 (origin of a work system) is, the block is not read",
			formatNumber(l))
		b.used |= b.has
		return
	}
	if it.modal.side != 0 {
		it.say.unread(col, "G10 while cutter radius compensation is on; cancel it with G40 before")
	}
	n, whole := closeInt(p)
	if given && whole && n == 0 && !it.say.strict {
		it.say.reading(lenSystemZero, b.at('P'), "G10 L2 P0; read as the active work system")
		n = it.modal.system
	}
	if !given || !whole || n < 1 || n > 9 {
		it.say.unread(col, "G10 L2 without P from 1 to 9; the block is not read, write the number of the work system")
		b.used |= b.has
		return
	}
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
	it.setSystemOrigin(n, v, named)
}

// setSystemOrigin sets the origin of a work system in machine coordinates.
func (it *interp) setSystemOrigin(n int, v axes, named [3]bool) {
	if n == it.modal.system {
		it.sys.claim(n)
	}
	if it.sys.setMachine(n, v, named) {
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
		if !b.got(l) || it.at.why[i] == isKnown {
			continue
		}
		if it.at.why[i] == atHome {
			it.say.unread(b.at(l), "G92 at a machine place that is not known; tell where the machine's zero is")
		}
		f.g92[i] = 0
		v := b.val[l-'A']*unit + f.shift(i)
		it.at.find(i, v)
		it.patch(i, v)
		it.assume("start: %c%s where the program's first G92 says so", axisLetters[i], formatNumber(v))
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
