package hold

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"staydown/hold/airflow"
	"staydown/hold/internal/toolpath"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse"
	"staydown/sweep"
)

const (
	maxMovedRanges = 40 // ranges of lines that somebody moves by hand
	maxPlaces      = 8  // lines before which moved cuts are tried
)

// reordering is the program with some lines moved before another.
type reordering struct {
	lines  [][2]int
	before int
	prog   *parse.Program
}

func (r *reordering) apply(d *draft) { d.retype(r.prog, r.lines) }

// rangesInWords names the lines that are moved.
func (r *reordering) rangesInWords() string {
	var all []wording.LineRange
	for _, l := range r.lines {
		all = append(all, wording.LineRange{First: l[0], Last: l[1]})
	}
	return wording.AllLines(all...)
}

// newReordering moves the lines of cuts before a line. The text with its lines moved is read anew, and ok is false
// unless every cut is made there as in the program: what a line leaves to the next one (feed, codes, height, tool,
// incremental words, loops) is then right wherever lines now meet.
func (a *Analysis) newReordering(cuts []toolpath.Cut, moved []int, before int) (r *reordering, ok bool) {
	var lines [][2]int
	for n, i := range moved {
		l := cuts[i].Lines
		if n > 0 && moved[n-1] == i-1 {
			lines[len(lines)-1][1] = l.Last
			continue
		}
		lines = append(lines, [2]int{l.First, l.Last})
	}
	if len(lines) == 0 || len(lines) > maxMovedRanges {
		return nil, false
	}
	for ahead := range unplaced(&cuts[moved[0]]) {
		r = &reordering{lines: slices.Clone(lines), before: before}
		r.lines[0][0] -= ahead
		r.prog = a.prog.WithLinesMoved(r.lines, before)
		if r.prog != nil && a.cutsAlike(r) {
			return r, true
		}
	}
	return nil, false
}

// unplaced is how many lines, from its first one on backwards, may be the one that brings the tool to the cut: as long
// as its place is not known that line is no move.
func unplaced(c *toolpath.Cut) int {
	const most = 4
	if c.Led {
		return 1
	}
	return min(most, c.Lines.First)
}

// cutsAlike tells whether the reordered program makes the same moves in the stock, those of the moved lines first of
// what followed the line that they are put before. Rapids above the stock, and the height from which the tool goes
// down, may differ.
func (a *Analysis) cutsAlike(r *reordering) bool {
	var ahead, moved, behind []parse.Move
	for _, m := range a.prog.Moves.All() {
		line, to := int(m.Line), &behind
		switch {
		case slices.ContainsFunc(r.lines, func(l [2]int) bool { return l[0] <= line && line <= l[1] }):
			to = &moved
		case line < r.before:
			to = &ahead
		}
		*to = append(*to, m)
	}
	return a.cutAsMoves(r.prog, slices.Concat(ahead, moved, behind))
}

// cutAsMoves tells whether a program makes these moves and no others, rapids above the stock aside.
func (a *Analysis) cutAsMoves(prog *parse.Program, want []parse.Move) bool {
	k := 0
	above := func(m parse.Move) bool { return toolpath.RapidAbove(&m, a.rec.Stock.TopMM()) }
	for _, m := range prog.Moves.All() {
		if above(m) {
			continue
		}
		for k < len(want) && above(want[k]) {
			k++
		}
		if k == len(want) || !a.cutsAs(&m, &want[k]) {
			return false
		}
		k++
	}
	return !slices.ContainsFunc(want[k:], func(m parse.Move) bool { return !above(m) })
}

// placeRoundingMM is how far the places of two readings of one word may differ.
const placeRoundingMM = 1e-6

// cutsAs tells whether two moves cut the same, of the same line.
func (a *Analysis) cutsAs(m, n *parse.Move) bool {
	near := func(a, b float64) bool { return math.Abs(a-b) < placeRoundingMM }
	at := func(p, q parse.Point) bool {
		return near(p.X, q.X) && near(p.Y, q.Y) && (near(p.Z, q.Z) || math.Min(p.Z, q.Z) >= a.rec.Stock.TopMM())
	}
	return m.Kind == n.Kind && m.Plane == n.Plane && m.Spindle == n.Spindle && m.Line == n.Line && m.Sub == 0 &&
		n.Sub == 0 && m.Tool == n.Tool && m.RPM == n.RPM && near(m.FeedMMMin, n.FeedMMMin) &&
		near(m.TurnRad, n.TurnRad) &&
		at(m.Start, n.Start) && at(m.End, n.End) && near(m.Centre.X, n.Centre.X) && near(m.Centre.Y, n.Centre.Y)
}

// sameTool tells whether all moves from one cut to another are made with one tool at one speed.
func (a *Analysis) sameTool(from, to toolpath.Cut) bool {
	moves := &a.prog.Moves
	first := moves.At(from.First)
	for i := from.First; i <= to.Last; i++ {
		if m := moves.At(i); m.Tool != first.Tool || m.Spindle != first.Spindle || m.RPM != first.RPM {
			return false
		}
	}
	return true
}

// weakPieces lists the freed pieces with findings of the shapes that a measure cures.
func (s *actionSearch) weakPieces(cures []bool) (out []*sweep.Piece, runs [][]*stretch) {
	for _, of := range s.a.tooWeak {
		p := &s.a.rec.Pieces[of[0].piece-1]
		shape := s.a.Result.Pieces[p.ID-1].Shape
		i := slices.IndexFunc(s.shapes, func(q remedySearch) bool {
			return s.a.Result.Pieces[q.piece.ID-1].Shape == shape
		})
		if i >= 0 && cures[i] && p.ComesFree() {
			out, runs = append(out, p), append(runs, of)
		}
	}
	return out, runs
}

// cutFirst moves the cuts of pieces that hold with the vacuum at the beginning, before kerfs let air in, to the front.
func (s *actionSearch) cutFirst() *measure {
	a := s.a
	if a.noVacuum || a.otherZones || len(a.air) == 0 {
		return nil
	}
	best := func(int) airflow.Chuck { return a.air[0].state.Chuck }
	_, cures := s.each(func(p remedySearch) float64 {
		if p.rim() == nil || !p.cures(change{}, best) {
			return 0
		}
		return 1
	})
	cuts := toolpath.Cuts(&a.prog.Moves, a.rec.Stock.TopMM())
	var mine []int
	var places []orb.Point
	pieces, _ := s.weakPieces(cures)
	for _, p := range pieces {
		if own := a.cutsOf(p, cuts); own != nil {
			mine, places = append(mine, own...), append(places, orb.Point(p.Centroid))
		}
	}
	slices.Sort(mine)
	mine = slices.Compact(mine)
	tried := 0
	for at, c := range cuts {
		behind := slices.IndexFunc(mine, func(i int) bool { return i > at })
		if behind < 0 || tried >= maxPlaces {
			return nil
		}
		moved := mine[behind:]
		if slices.Contains(mine, at) || !a.sameTool(c, cuts[moved[len(moved)-1]]) {
			continue
		}
		for ahead := range unplaced(&c) {
			tried++
			before := c.Lines.First - ahead
			if r, ok := a.newReordering(cuts, moved, before); ok {
				return &measure{what: fmt.Sprintf("cut the parts at %s first: move %s before line %d",
					result.Places(places, a.units), r.rangesInWords(), before), cures: cures, retypes: true,
					apply: r.apply}
			}
		}
	}
	return nil
}

// cutLast moves what frees pieces that are loaded once they are free, as where holes are cut after the outline, behind
// the last of these cuts.
func (s *actionSearch) cutLast() *measure {
	a := s.a
	_, cures := s.each(func(p remedySearch) float64 {
		if !p.piece.ComesFree() || slices.ContainsFunc(p.runs, func(run *stretch) bool {
			return a.rec.Steps.At(run.first.step).Begin() < p.piece.Freed
		}) {
			return 0
		}
		return 1
	})
	cuts := toolpath.Cuts(&a.prog.Moves, a.rec.Stock.TopMM())
	var moved []int
	var places []orb.Point
	last := -1
	pieces, runs := s.weakPieces(cures)
	for n, p := range pieces {
		freeing := toolpath.CutAt(cuts, p.Freed)
		if freeing < 0 {
			continue
		}
		moved, places = append(moved, freeing), append(places, orb.Point(p.Centroid))
		for _, run := range runs[n] {
			last = max(last, toolpath.CutAt(cuts, a.rec.Steps.At(run.lastStep).End()))
		}
	}
	slices.Sort(moved)
	moved = slices.Compact(moved)
	if last < 0 || slices.Contains(moved, last) || moved[0] > last || !a.sameTool(cuts[moved[0]], cuts[last]) {
		return nil
	}
	moved = slices.DeleteFunc(moved, func(i int) bool { return i > last })
	line := cuts[last].Lines.Last
	r, ok := a.newReordering(cuts, moved, line+1)
	if !ok {
		return nil
	}
	return &measure{what: fmt.Sprintf("cut out the parts at %s last: move %s after line %d",
		result.Places(places, a.units), r.rangesInWords(), line), cures: cures, retypes: true, apply: r.apply}
}

// cutsOf gives the cuts that lie within the outline of a freed piece and its kerf; nil when what frees it is none of
// them: a cut that other pieces share.
func (a *Analysis) cutsOf(p *sweep.Piece, cuts []toolpath.Cut) (own []int) {
	freeing := toolpath.CutAt(cuts, p.Freed)
	if freeing < 0 {
		return nil
	}
	tool := a.job.Tools[int(a.prog.Moves.At(cuts[freeing].First).Tool)]
	room := p.Outline.Bound().Pad(tool.DiameterMM)
	for i, c := range cuts {
		if room.Contains(c.Bound.Min) && room.Contains(c.Bound.Max) {
			own = append(own, i)
		}
	}
	if !slices.Contains(own, freeing) {
		return nil
	}
	return own
}
