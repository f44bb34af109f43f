package hold

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/contact"
	"staydown/hold/internal/progcheck"
	"staydown/hold/internal/steploads"
	"staydown/hold/internal/toolpath"
	"staydown/hold/wording"
	"staydown/parse"
)

// maxPlacesNamed is how many cuts somebody begins elsewhere by hand.
const maxPlacesNamed = 12

// closedCut is a cut that goes straight down at a place, round and back to it, perhaps several times, and up.
type closedCut struct {
	toolpath.Cut
	at    parse.Point
	loops [][2]int // moves of each time round, both ends included
}

// closedCut is the cut that frees the piece, if it is one; ok is false where it has a lead-in, ramps down, or does not
// end where it begins.
func (p remedySearch) closedCut(cuts []toolpath.Cut) (c closedCut, ok bool) {
	i := toolpath.CutAt(cuts, p.piece.Freed)
	if i < 0 || p.rim() == nil || p.a.switchesIn(cuts[i]) {
		return c, false
	}
	moves, first := &p.a.prog.Moves, -1
	c.Cut, c.at = cuts[i], moves.At(cuts[i].First).Start
	for k := c.First; k <= c.Last; k++ {
		m := moves.At(k)
		switch {
		case m.Sub != 0 || m.Kind == parse.Dwell || m.Kind == parse.Arc && m.Plane != parse.PlaneXY:
			return c, false
		case toolpath.RapidAbove(&m, p.a.rec.Stock.TopMM()) && len(c.loops) == 0:
			c.at = m.End
		case first < 0 && m.Upright() && sameXY(m.Start, c.at):
		case m.Upright() || m.Kind == parse.Rapid || math.Abs(m.End.Z-m.Start.Z) > progcheck.DepthToleranceMM ||
			first >= 0 && m.FeedMMMin != moves.At(first).FeedMMMin:
			return c, false
		default:
			if first < 0 {
				first = k
			}
			if sameXY(m.End, c.at) {
				c.loops, first = append(c.loops, [2]int{first, k}), -1
			}
		}
	}
	return c, first < 0 && len(c.loops) > 0
}

// switchesIn tells whether a tool, a stop, coolant or an output stands in the lines of a cut.
func (a *Analysis) switchesIn(c toolpath.Cut) bool {
	in := func(line int) bool { return c.Lines.First <= line && line <= c.Lines.Last }
	p := a.prog
	return slices.ContainsFunc(p.ToolCalls, func(t parse.ToolCall) bool { return in(t.Line) }) ||
		slices.ContainsFunc(p.Stops, func(s parse.Stop) bool { return in(s.Line) }) ||
		slices.ContainsFunc(p.Coolant, func(c parse.CoolantChange) bool { return in(c.Line) }) ||
		slices.ContainsFunc(p.Outputs, func(o parse.OutputChange) bool { return c.First <= o.Move && o.Move <= c.Last })
}

func sameXY(p, q parse.Point) bool { return math.Hypot(p.X-q.X, p.Y-q.Y) < progcheck.DepthToleranceMM }

// closingPlace finds the middle of a side where the piece stands the last of its cut best, on the step of lengths of
// the program; ok is false when it does not hold there.
func (p remedySearch) closingPlace(c closedCut) (at orb.Point, ok bool) {
	moves, step := &p.a.prog.Moves, p.a.writing().zStepMM()
	last := c.loops[len(c.loops)-1]
	t := p.a.epochState(p.worst.epoch, p.a.ownChuck(p.worst.epoch), change{})
	t.unchanged = p.unchanged.at(p.worst.epoch)
	supports, err := t.supports(p.id(), 0)
	if err != nil {
		return at, false
	}
	best := p.roomy(p.id())
	for k := last[0]; k <= last[1]; k++ {
		m := moves.At(k)
		if m.Kind != parse.Feed || m.LengthMM < p.a.job.Tools[int(m.Tool)].DiameterMM {
			continue
		}
		middle := m.At(0.5)
		spots, err := p.spotsAt(k, 0.5)
		if err != nil || len(spots) == 0 {
			continue
		}
		out, _, _, _ := (&check{loads: spots, supports: supports}).worst(math.Inf(1))
		if out.Err == nil && out.Margin >= best {
			best, ok = out.Margin, true
			at = orb.Point{math.Round(middle.X/step) * step, math.Round(middle.Y/step) * step}
		}
	}
	return at, ok
}

// spotsAt is the load of a move at a share of its way; none where it cuts nothing there.
func (p remedySearch) spotsAt(move int, share float64) ([]contact.Load, error) {
	steps := &p.a.rec.Steps
	for k := sort.Search(steps.Len(), func(k int) bool { return int(steps.At(k).Move) >= move }); k < steps.Len(); k++ {
		s := steps.At(k)
		if int(s.Move) != move {
			break
		}
		if float64(s.From) > share || share > float64(s.To) {
			continue
		}
		load, err := p.a.loads.Load(s, steploads.Change{})
		if err != nil {
			return nil, err
		}
		m := p.a.prog.Moves.At(move)
		return p.a.loads.Put(load, s, toolpath.Along(&m, share), nil), nil
	}
	return nil, nil
}

// closeElsewhere begins and ends closed cuts in the middle of the side where the piece stands the last of them best.
func (s *actionSearch) closeElsewhere() *measure {
	a := s.a
	cuts := toolpath.Cuts(&a.prog.Moves, a.rec.Stock.TopMM())
	_, cures := s.each(func(p remedySearch) float64 {
		if c, ok := p.closedCut(cuts); ok {
			if _, ok = p.closingPlace(c); ok {
				return 1
			}
		}
		return 0
	})
	pieces, runs := s.weakPieces(cures)
	if len(pieces) > maxPlacesNamed {
		return nil
	}
	var moved []movedPlace
	for n := range pieces {
		p, ok := a.remedySearch(runs[n])
		if !ok {
			continue
		}
		c, ok := p.closedCut(cuts)
		if !ok || slices.ContainsFunc(moved, func(m movedPlace) bool { return m.First == c.First }) {
			continue
		}
		if to, ok := p.closingPlace(c); ok {
			moved = append(moved, movedPlace{c, to})
		}
	}
	slices.SortFunc(moved, func(x, y movedPlace) int { return x.First - y.First })
	prog, ranges := a.withPlacesMoved(moved)
	if prog == nil {
		return nil
	}
	var words []string
	for _, m := range moved {
		words = append(words, fmt.Sprintf("at X%s Y%s (%s)", a.writing().z(m.to[0]), a.writing().z(m.to[1]),
			wording.AllLines(m.Lines)))
	}
	cut := "the cut"
	if len(moved) > 1 {
		cut = "each of these cuts"
	}
	return &measure{
		what:  fmt.Sprintf("begin and end %s in the middle of a side: %s", cut, strings.Join(words, ", ")),
		cures: cures, retypes: true,
		apply: func(d *draft) { d.retype(prog, ranges) },
	}
}

// movedPlace is a closed cut that is to begin and end elsewhere.
type movedPlace struct {
	closedCut
	to orb.Point
}

// withPlacesMoved types the lines of the cuts anew and reads the program again. It is nil unless all of it then cuts as
// it should: where places are shifted, turned, incremental or offset by the cutter's radius, plain words do not.
func (a *Analysis) withPlacesMoved(all []movedPlace) (prog *parse.Program, ranges [][2]int) {
	if len(all) == 0 {
		return nil, nil
	}
	var by []parse.Retyped
	var want []parse.Move
	next := 0
	for i, m := range a.prog.Moves.All() {
		if next < len(all) && i > all[next].Last {
			next++
		}
		if next == len(all) || i < all[next].First {
			want = append(want, m)
			continue
		}
		if i > all[next].First {
			continue
		}
		moves, ok := all[next].moves(&a.prog.Moves)
		if !ok {
			return nil, nil
		}
		want = append(want, moves...)
		lines := all[next].Lines
		ranges = append(ranges, [2]int{lines.First, lines.Last})
		by = append(by, typed(moves, a.prog.Units.Length().Size))
	}
	prog = a.prog.WithLinesReplaced(ranges, by)
	if prog == nil || !a.cutAsMoves(prog, want) {
		return nil, nil
	}
	return prog, ranges
}

// moves are those of the cut begun at its new place.
func (c *movedPlace) moves(of *parse.Moves) (out []parse.Move, ok bool) {
	to := func(p parse.Point) parse.Point { return parse.Point{X: c.to[0], Y: c.to[1], Z: p.Z} }
	next := 0
	for k := c.First; k <= c.Last; k++ {
		m := of.At(k)
		if next < len(c.loops) && k == c.loops[next][0] {
			loop, found := c.round(of, c.loops[next])
			if !found {
				return nil, false
			}
			out, k = append(out, loop...), c.loops[next][1]
			next++
			continue
		}
		if sameXY(m.Start, c.at) {
			m.Start = to(m.Start)
		}
		if sameXY(m.End, c.at) {
			m.End = to(m.End)
		}
		out = append(out, m)
	}
	return out, true
}

// round is one time round, from the new place and back to it.
func (c *movedPlace) round(of *parse.Moves, loop [2]int) (out []parse.Move, ok bool) {
	for k := loop[0]; k <= loop[1]; k++ {
		m := of.At(k)
		from, end := orb.Point{m.Start.X, m.Start.Y}, orb.Point{m.End.X, m.End.Y}
		if m.Kind != parse.Feed || planar.DistanceFromSegment(from, end, c.to) > progcheck.DepthToleranceMM {
			continue
		}
		place := parse.Point{X: c.to[0], Y: c.to[1], Z: m.Start.Z}
		first, last := m, m
		first.Start, last.End = place, place
		out = append(out, first)
		for i := k + 1; i <= loop[1]; i++ {
			out = append(out, of.At(i))
		}
		for i := loop[0]; i < k; i++ {
			out = append(out, of.At(i))
		}
		return append(out, last), true
	}
	return nil, false
}

// typed writes moves as lines of a program, with the numbers of the lines that they come from.
func typed(moves []parse.Move, unitMM float64) (out parse.Retyped) {
	if first := moves[0]; first.Kind != parse.Rapid {
		first.Kind, first.End = parse.Rapid, first.Start
		moves = slices.Insert(slices.Clone(moves), 0, first)
	}
	for _, m := range moves {
		words := fmt.Sprintf(" X%.8f Y%.8f", m.End.X/unitMM, m.End.Y/unitMM)
		if m.Start.Z != m.End.Z {
			words += fmt.Sprintf(" Z%.8f", m.End.Z/unitMM)
		}
		code := "G0"
		switch m.Kind {
		case parse.Feed:
			code, words = "G1", words+fmt.Sprintf(" F%.8f", m.FeedMMMin/unitMM)
		case parse.Arc:
			code = "G3"
			if m.TurnRad < 0 {
				code = "G2"
			}
			words += fmt.Sprintf(" I%.8f J%.8f F%.8f", (m.Centre.X-m.Start.X)/unitMM, (m.Centre.Y-m.Start.Y)/unitMM,
				m.FeedMMMin/unitMM)
		}
		out.Lines, out.Numbers = append(out.Lines, code+words), append(out.Numbers, int(m.Line))
	}
	return out
}
