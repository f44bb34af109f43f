package parse

import (
	"fmt"
	"math"
)

// peckBackOffMM is how far above the last depth a peck's rapid down stops, and how far G73 lifts (0.010 in, from
// memory of the published interpreter).
const peckBackOffMM = 0.254

// cycle is the state of a series of canned cycles. Heights are work coordinates along the plane's normal.
type cycle struct {
	active  bool
	initial float64 // height when the series began
	r, z    float64
	haveR   bool
	haveZ   bool
	peck    float64 // Q
	pause   float64 // P, s
	shift   axes    // I J K of G87, mm; along the normal the height of the bore's upper end
	haveIJK [3]bool
}

// hole is one canned cycle at one place.
type hole struct {
	it     *interp
	b      *block
	code   int
	normal int
	clear  float64 // height to go back to
	cycle
}

// runCycle carries out a canned cycle, L times (NIST RS274NGC v3, 3.5.16). If the tool is below R it goes up to R
// once; then for each hole: rapid in the plane, rapid to R, the cycle itself, and back to where G98 or G99 says.
func (it *interp) runCycle(b *block) {
	m, c := &it.modal, &it.cycle
	col := b.first
	_, _, n := m.plane.inPlane()
	taken := uint32(axisWords | centreWords | bit('R') | bit('L') | bit('P') | bit('Q'))
	refuse := func(col int, format string, args ...any) {
		it.say.unread(col, format, args...)
		b.used |= taken
		b.has &^= bit(byte('X' + n))
		if b.hasAxis() {
			it.skipTo(b)
		}
	}
	switch {
	case m.side != 0:
		refuse(col, "a canned cycle while cutter radius compensation is on; it is not read, cancel it with G40 before")
		return
	case m.feedMode == inverseTime:
		refuse(col, "a canned cycle under G93; it is not read, drill under G94")
		return
	case it.frame.turned && it.frame.plane != m.plane:
		refuse(col, "a canned cycle in another plane than that of G68; it is not read, write it without the rotation")
		return
	}
	it.beforeCycle(b, n)
	if !c.active {
		*c = cycle{active: true, peck: c.peck, pause: c.pause, initial: it.at.prog[n] - it.frame.shift(n)}
	}
	repeats, ok := it.cycleWords(b, n)
	if !ok {
		refuse(col, "%s without all of its words; it is not read", codeName(m.motion))
		return
	}
	if fault := it.cycleFault(n); fault != "" {
		refuse(col, "%s", fault)
		return
	}
	b.used |= axisWords
	it.beforeFeed(b)
	h := hole{it: it, b: b, code: m.motion, normal: n, clear: c.r, cycle: *c}
	if !m.retractToR && c.initial > c.r {
		h.clear = c.initial
	}
	it.checkSpindle(b)
	h.drill(repeats)
}

// drill carries out the cycle at the place of the block, and as often again at the increments of G91.
func (h *hole) drill(repeats int) {
	it, b := h.it, h.b
	iu, iv, n := it.modal.plane.inPlane()
	depth := b.has & bit(byte('X'+n))
	b.has &^= depth
	defer func() { b.has |= depth }()
	for k := 0; k < repeats && !it.ended; k++ {
		if k == 0 && it.at.prog[n]-it.frame.shift(n) < h.cycle.r {
			h.to(Rapid, h.cycle.r)
		}
		end, ok := it.at.prog, true
		if b.has&(bit(byte('X'+iu))|bit(byte('X'+iv))) != 0 {
			if end, ok = it.target(b, true); !ok {
				return
			}
		}
		it.emit(b, Move{Kind: Rapid, End: end.point()})
		it.arrive(end)
		h.to(Rapid, h.cycle.r)
		h.run()
	}
}

// cycleFault tells what of a cycle's words is missing or wrong; "" for nothing.
func (it *interp) cycleFault(n int) string {
	m, c := &it.modal, &it.cycle
	switch {
	case !c.haveR:
		return fmt.Sprintf("%s without R; it is not read, write the height to which the rapid goes down",
			codeName(m.motion))
	case !c.haveZ:
		return fmt.Sprintf("%s without %c; it is not read, write the depth", codeName(m.motion), axisLetters[n])
	case c.r < c.z:
		return fmt.Sprintf("R lies below the bottom of the hole; the cycle is not read, correct R or %c",
			axisLetters[n])
	case (m.motion == g83 || m.motion == g73) && !(c.peck > 0):
		return fmt.Sprintf("%s without a Q above 0; it is not read, write the depth of a peck", codeName(m.motion))
	case (m.motion == g83 || m.motion == g73) && (c.r-c.z)/c.peck > maxPecks:
		return fmt.Sprintf("the hole takes more than %d pecks; it is not read, correct Q", maxPecks)
	}
	return ""
}

// beforeCycle makes the height known that a cycle starts from: at the program's start that is R, behind a machine
// place the greatest Z so far.
func (it *interp) beforeCycle(b *block, n int) {
	p := &it.at
	switch {
	case !p.open:
		return
	case p.why[n] == atStart && b.got('R') && b.incremental&bit('R') == 0:
		r := b.val['R'-'A']*it.modal.unitMM() + it.frame.shift(n)
		it.patch(n, r)
		p.find(n, r)
		it.assume("start: a cycle before any %c begins at its R", axisLetters[n])
	case p.why[n] == atHome && n == 2 && !math.IsInf(p.high, -1):
		it.patch(n, p.high)
		p.find(n, p.high)
		it.assume("start: a cycle that begins at a machine place that is not known begins at the program's greatest " +
			"Z so far")
	}
	it.settleIf(n, b.first)
}

// cycleWords takes the words of a cycle and gives the number of repeats.
func (it *interp) cycleWords(b *block, n int) (repeats int, ok bool) {
	m, c := &it.modal, &it.cycle
	unit := m.unitMM()
	if v, ok := b.take('R'); ok {
		c.r, c.haveR = v*unit, true
		if b.incremental&bit('R') != 0 {
			c.r += c.initial
			if m.retractToR {
				it.say.reading(lenCycleIncrementalR, b.at('R'), "R in G91 under G99; read as an increment of the "+
					"height at which the cycles began")
			}
		}
	}
	depth := byte('X' + n)
	if v, ok := b.take(depth); ok {
		c.z, c.haveZ = v*unit, true
		if b.incremental&bit(depth) != 0 {
			c.z += c.r
		}
	}
	if v, ok := b.take('Q'); ok {
		c.peck = v * unit
	}
	if v, ok := b.take('P'); ok {
		switch m.motion {
		case g76, g82, g86, g88, g89:
			if v < 0 {
				it.say.unread(b.at('P'), "a negative dwell; it is left out, write its seconds")
				v = 0
			}
			c.pause = it.dwellSeconds(v, b.at('P'))
		default:
			it.say.lenient(lenStrayWord, b.at('P'), "P that no code of the block takes; left out")
		}
	}
	if m.motion == g87 {
		for i := range c.shift {
			if v, ok := b.take(byte('I' + i)); ok {
				c.shift[i], c.haveIJK[i] = v*unit, true
				if i == n && b.incremental&bit(byte('I'+i)) != 0 {
					c.shift[i] += c.z
				}
			}
		}
		if !c.haveIJK[0] || !c.haveIJK[1] || !c.haveIJK[2] {
			return 0, false
		}
	}
	if m.motion != g87 {
		it.ownCycleWords(b)
	}
	return it.cycleRepeats(b)
}

// ownCycleWords takes words that some controls give their cycles (common practice, no source): pecks by a first depth
// I, by how much each is less, J, and a least one, K, are read as pecks of I throughout. Others do not change where the
// hole is, and are left out.
func (it *interp) ownCycleWords(b *block) {
	m := &it.modal
	if (m.motion == g83 || m.motion == g73) && !b.got('Q') && b.got('I') {
		v, _ := b.take('I')
		it.cycle.peck = v * m.unitMM()
		it.say.lenient(lenPeckI, b.at('I'), "I on a pecking cycle without Q; read as the depth of every peck")
	}
	letters := "IJD"
	if b.got('I') || b.got('J') {
		letters = "IJKD"
	}
	for _, l := range []byte(letters) {
		used := b.used&bit(l) != 0
		if _, ok := b.take(l); ok && !used {
			it.say.lenient(lenCycleWord, b.at(l), "%c on a canned cycle, which some controls know; it does not "+
				"change where the hole is and is left out", l)
		}
	}
}

// cycleRepeats reads L, or K in the old style.
func (it *interp) cycleRepeats(b *block) (n int, ok bool) {
	v, given := b.take('L')
	letter := byte('L')
	if it.modal.motion != g87 && b.got('K') && b.used&bit('K') == 0 {
		if given {
			it.say.unread(b.at('K'), "K beside L; keep one number of repeats")
			return 0, false
		}
		it.say.lenient(lenRepeatK, b.at('K'), "K on a canned cycle; read as the number of repeats")
		v, given = b.take('K')
		letter = 'K'
	}
	if !given {
		return 1, true
	}
	n, whole := closeInt(v)
	switch {
	case whole && n == 0 && !it.say.strict:
		it.say.reading(lenRepeatZero, b.at(letter), "%c0 on a canned cycle; its words are kept and nothing is drilled",
			letter)
		return 0, true
	case !whole || n < 1:
		it.say.unread(b.at(letter), "%c%s is not a number of repeats; write a whole number from 1 on", letter,
			formatNumber(v))
		return 0, false
	case n > maxRepeats:
		it.say.unread(b.at(letter), "%c%d repeats are more than %d; split the block", letter, n, maxRepeats)
		return 0, false
	}
	return n, true
}

// to moves the tool along the normal.
func (h *hole) to(kind Kind, height float64) {
	it := h.it
	end := it.at.prog
	end[h.normal] = height + it.frame.shift(h.normal)
	if end == it.at.prog {
		return
	}
	h.move(kind, end)
}

// beside moves the tool in the plane by an offset (work coordinates).
func (h *hole) beside(d axes) {
	it := h.it
	w := it.frame.toWork(it.at.prog)
	for i := range w {
		if i != h.normal {
			w[i] += d[i]
		}
	}
	h.move(Rapid, it.frame.toStock(w))
}

func (h *hole) move(kind Kind, end axes) {
	it := h.it
	if it.cycleMoves++; it.cycleMoves > maxCycleMoves && !it.ended {
		it.say.unread(h.b.first, "canned cycles make more than %d moves; reading stops here", maxCycleMoves)
		it.ended = true
	}
	if it.ended {
		return
	}
	it.emit(h.b, Move{Kind: kind, End: end.point()})
	it.arrive(end)
}

// run carries out what the cycle does from R on.
func (h *hole) run() {
	switch h.code {
	case g81:
		h.to(Feed, h.z)
		h.to(Rapid, h.clear)
	case g82:
		h.to(Feed, h.z)
		h.it.pause(h.b, h.cycle.pause)
		h.to(Rapid, h.clear)
	case g73, g83:
		h.pecks()
	default:
		h.bore()
	}
}

// pecks drills in steps: G83 clears the hole after each, G73 only lifts to break the chip.
func (h *hole) pecks() {
	const rest = 1e-9 // mm; a smaller last peck is none
	for depth := h.r - h.peck; depth > h.z+rest && !h.it.ended; depth -= h.peck {
		h.to(Feed, depth)
		if h.code == g83 {
			h.to(Rapid, h.clear)
		}
		h.to(Rapid, math.Min(depth+peckBackOffMM, h.r))
	}
	h.to(Feed, h.z)
	h.to(Rapid, h.clear)
}
