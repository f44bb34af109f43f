package parse

import (
	"fmt"
	"math"
	"sort"
)

// unknown tells why a coordinate of the tool tip is not known.
type unknown uint8

const (
	isKnown unknown = iota
	atStart         // the program has not said yet where the tool is
	atHome          // the tool is at a place of the machine whose coordinates are not known
)

// place is where the tool tip is, in the coordinates that the stock uses. An unknown coordinate is NaN in the moves
// until it is settled.
type place struct {
	tip     axes // of the tool
	prog    axes // programmed; differs from tip under cutter radius compensation only
	why     [3]unknown
	open    bool    // some axis is unknown
	pending []int32 // moves with an unknown coordinate
	high    float64 // greatest Z so far
}

func startPlace(opt Options) place {
	p := place{high: math.Inf(-1)}
	if opt.start != nil {
		p.tip, p.prog = opt.start.axes(), opt.start.axes()
		p.high = p.tip[2]
		return p
	}
	p.open = true
	for i := range p.tip {
		p.why[i] = atStart
		p.tip[i], p.prog[i] = math.NaN(), math.NaN()
	}
	return p
}

// lose marks an axis as unknown.
func (p *place) lose(i int, why unknown) {
	p.why[i], p.open = why, true
	p.tip[i], p.prog[i] = math.NaN(), math.NaN()
}

// find sets an axis whose coordinate has become known.
func (p *place) find(i int, v float64) {
	p.tip[i], p.prog[i], p.why[i] = v, v, isKnown
	p.open = p.why != [3]unknown{}
}

// rise keeps the greatest Z.
func (p *place) rise(z float64) {
	if z > p.high {
		p.high = z
	}
}

// words is the place of the tip for a person, in the units of the modal state.
func (p *place) words(m *modal) string {
	s := ""
	for i, v := range p.tip {
		if p.why[i] != isKnown {
			s += fmt.Sprintf(" %c?", axisLetters[i])
			continue
		}
		s += fmt.Sprintf(" %c%.4f", axisLetters[i], v/m.unitMM())
	}
	return " at" + s + " " + m.units().Length().Name
}

// settle makes every axis known that a feed move, an arc or an increment starts from, and gives the moves made
// before the same coordinate.
//
// At the start of a program X and Y are taken to be 0; Z too if an increment (relative) starts from it, else it is
// left open: the moves before the first Z are then as high as the program ever goes, or at Z0 if it never says.
func (it *interp) settle(i int, relative bool, col int) {
	if it.at.why[i] == isKnown || (i == 2 && !relative) {
		return
	}
	if it.at.why[i] == atHome {
		if i == 2 {
			it.say.unread(col, "an increment of Z from a machine place that is not known; read as from the "+
				"program's greatest Z so far, give Z in G90")
			if math.IsInf(it.at.high, -1) {
				it.at.high = 0
			}
			it.patch(i, it.at.high)
			it.at.find(i, it.at.high)
			return
		}
		if !relative {
			return
		}
		it.say.unread(col, "an increment of %c from a machine place that is not known; read as from 0, give %c in G90",
			axisLetters[i], axisLetters[i])
	} else {
		it.assume("start: the tool is taken to begin at %c0", axisLetters[i])
	}
	it.patch(i, 0)
	it.at.find(i, 0)
}

// patch gives coordinate i of all pending moves the value v.
func (it *interp) patch(i int, v float64) {
	for _, k := range it.at.pending {
		m := it.p.Moves.At(int(k))
		for _, pt := range [...]*Point{&m.Start, &m.End, &m.Centre} {
			c := [...]*float64{&pt.X, &pt.Y, &pt.Z}[i]
			if math.IsNaN(*c) {
				*c = v
			}
		}
		it.p.Moves.set(int(k), &m)
	}
}

// settleAll closes what is still open when the program has been read.
func (it *interp) settleAll() {
	if len(it.at.pending) == 0 {
		return
	}
	high := it.at.high
	switch {
	case math.IsInf(high, -1):
		high = 0
		it.assume("start: Z is never given; all moves are taken to be at Z0")
	default:
		it.assume("start: before the first Z word, and after a move to an unknown machine position, the tool is "+
			"assumed to be at the program's highest Z (%s)", it.modal.length(high))
	}
	it.patch(0, 0)
	it.patch(1, 0)
	it.patch(2, high)
	for _, k := range it.at.pending {
		m := it.p.Moves.At(int(k))
		it.measure(&m)
		it.p.Moves.set(int(k), &m)
	}
	it.dropStill()
}

// dropStill takes out the moves that have turned out to be none, now that both their ends are known.
func (it *interp) dropStill() {
	p := it.p
	var gone []int32
	for _, k := range it.at.pending {
		if m := p.Moves.At(int(k)); m.LengthMM == 0 && m.Kind != Dwell {
			gone = append(gone, k)
		}
	}
	if len(gone) == 0 {
		return
	}
	before := func(i int) int { return sort.Search(len(gone), func(k int) bool { return int(gone[k]) >= i }) }
	for i := range p.ToolCalls {
		p.ToolCalls[i].Move -= before(p.ToolCalls[i].Move)
	}
	for i := range p.Coolant {
		p.Coolant[i].Move -= before(p.Coolant[i].Move)
	}
	for i := range p.Unplaced {
		p.Unplaced[i].Move -= before(p.Unplaced[i].Move)
	}
	for i := range p.Outputs {
		p.Outputs[i].Move -= before(p.Outputs[i].Move)
	}
	for i := range p.Stops {
		p.Stops[i].Move -= before(p.Stops[i].Move)
	}
	kept, next := Moves{rapid: it.rapid}, 0
	for i, m := range p.Moves.All() {
		if next < len(gone) && i == int(gone[next]) {
			next++
			continue
		}
		kept.add(&m)
	}
	p.Moves = kept
}
