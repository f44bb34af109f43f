package parse

import "math"

// home carries out G28 and G30: a rapid to the given place, then a rapid home.
//
// The published standard takes all axes home; most controls take only those that are named, and G91 G28 Z0 is
// written for them. The named axes are moved here, and all of them if none is named; a note says so.
func (it *interp) home(b *block, code int) {
	col := b.codeCol(groupOneShot)
	if p, ok := b.take('P'); ok && (code == g28 || p != 2) {
		it.say.unread(b.at('P'), "%s P%s is not understood; read as %s", codeName(code), formatNumber(p),
			codeName(code))
	}
	if it.modal.side != 0 {
		it.say.unread(col, "%s while cutter radius compensation is on; cancel it with G40 before", codeName(code))
		it.comp.forget()
	}
	var goes [3]bool
	for i := range goes {
		goes[i] = b.got(byte('X'+i)) || !b.hasAxis()
	}
	if goes != [3]bool{true, true, true} {
		it.say.reading(lenHomeNamedAxes, col, "%s with some axes named; only these go home, as on most controls "+
			"(the published standard moves all)", codeName(code))
	}
	has := b.has
	for i, w := range it.at.why {
		if w != isKnown { // the way to a point beside an unknown place is unknown as well
			b.used |= b.has & bit(byte('X'+i))
			b.has &^= bit(byte('X' + i))
		}
	}
	if b.hasAxis() {
		end, ok := it.target(b, true)
		if !ok {
			return
		}
		it.emit(b, Move{Kind: Rapid, End: end.point()})
		it.arrive(end)
	}
	b.has = has
	if !it.moved {
		it.beforeMove(b)
	}
	it.toMachine(b, goes, it.homePlace(code))
}

// homePlace gives the home of G28 or G30 in machine coordinates, from parameters 5161 to 5163 or 5181 to 5183.
func (it *interp) homePlace(code int) axes {
	first := 5161
	if code == g30 {
		first = 5181
	}
	var h axes
	for i := range h {
		v, _ := it.par.get(param{n: first + i})
		h[i] = orZero(v) * it.modal.unitMM()
	}
	return h
}

// machineMove carries out a move in machine coordinates (G53).
func (it *interp) machineMove(b *block) {
	m := &it.modal
	col := b.codeCol(groupOneShot)
	if m.motion != g0 && m.motion != g1 && !it.goBackBehindCycle(b) {
		it.say.unread(col, "G53 without G0 or G1 in force; the block is not read, write G0")
		b.used |= axisWords
		return
	}
	if m.side != 0 {
		it.say.unread(col, "G53 while cutter radius compensation is on; cancel it with G40 before")
		it.comp.forget()
	}
	if !b.hasAxis() {
		it.say.unread(col, "G53 without axis words; write X, Y or Z")
		return
	}
	var goes [3]bool
	var v axes
	for i := range v {
		if x, ok := b.take(byte('X' + i)); ok {
			goes[i], v[i] = true, x*m.unitMM()
		}
	}
	if !it.moved {
		it.beforeMove(b)
	}
	it.toMachine(b, goes, v)
}

// toMachine moves some axes to machine coordinates v.
//
// Where the machine's zero is not known, a rapid of Z is taken for a retract above everything, and X and Y keep their
// place in the moves; Program.Unplaced tells from which height such a rapid goes, so that whoever knows the stock can
// tell whether it may meet any.
func (it *interp) toMachine(b *block, goes [3]bool, v axes) {
	kind := Rapid
	if it.modal.motion == g1 && b.is(groupOneShot) == g53 {
		kind = Feed
		it.beforeFeed(b)
	}
	end := it.at.prog
	var lost [3]bool
	for i := range v {
		switch {
		case !goes[i]:
		case it.sys.zero.known[i]:
			end[i] = it.sys.zero.v[i] + v[i]
			if it.at.why[i] != isKnown {
				it.patchFrom(i, end[i])
			}
		default:
			lost[i] = true
		}
	}
	if lost == [3]bool{} {
		it.emit(b, Move{Kind: kind, End: end.point()})
		it.arrive(end)
		return
	}
	if kind == Feed {
		it.say.unread(b.first, "a feed move in machine coordinates whose zero is not known; it is not read, give the "+
			"machine's zero as [machine] zero in the job file")
		it.jump(end)
		return
	}
	it.assume("machine zero: not known; a rapid of Z in machine coordinates is taken to lift the tool above the stock")
	if (lost[0] || lost[1]) && it.at.why[2] == isKnown {
		it.p.Unplaced = append(it.p.Unplaced,
			UnplacedRapid{Move: it.p.Moves.Len(), FromZ: it.at.tip[2], Pos: it.say.at(b.first)})
	}
	if lost[2] {
		end[2] = math.NaN()
		it.at.why[2], it.at.open = atHome, true
	}
	it.emit(b, Move{Kind: Rapid, End: end.point()})
	it.arrive(end)
	for i, l := range lost {
		if l {
			it.at.lose(i, atHome)
		}
	}
}

// patchFrom makes an unknown start of a move to a known machine place known: the move is read as starting there.
func (it *interp) patchFrom(i int, v float64) {
	if i == 2 {
		return
	}
	it.patch(i, v)
	it.at.find(i, v)
}

// probe refuses G38.2: where a probe stops is not in the program.
func (it *interp) probe(b *block) {
	m := &it.modal
	const least = 0.254 // mm, NIST RS274NGC v3, 3.5.9.1
	end, ok := it.target(b, false)
	if !ok {
		return
	}
	d := 0.0
	for i := range end {
		d = math.Hypot(d, end[i]-it.at.prog[i])
	}
	switch {
	case !b.hasAxis():
		it.say.unread(b.first, "G38.2 without axis words; write where to probe to")
	case m.feedMode == inverseTime:
		it.say.unread(b.first, "G38.2 under G93; probe under G94")
	case d < least:
		it.say.unread(b.first, "G38.2 to a place %s away; at least %s are needed", m.length(d), m.length(least))
	default:
		it.say.unread(b.first, "G38.2 stops where it touches, which the program does not say; read as reaching its end")
	}
	it.jump(end)
}
