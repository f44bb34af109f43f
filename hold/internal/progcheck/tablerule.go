package progcheck

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/internal/toolpath"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse"
	"staydown/sweep"
)

// noteRules maps the kinds of the parser's notes to rules.
var noteRules = [...]string{
	parse.Reading: result.RuleReading, parse.Unread: result.RuleUnread, parse.CutShort: result.RuleCutShort,
	parse.NoUnits: result.RuleUnits, parse.BehindEnd: result.RuleAfterEnd,
}

// Notes turns the parser's notes into findings.
func (c *Checks) Notes() []result.Finding {
	var out []result.Finding
	first := map[int]int{} // line of a note to its first move, from 1
	for _, n := range c.Prog.Notes {
		first[n.Pos.Line] = 0
	}
	for i := range c.Prog.Moves.Len() {
		line := int(c.Prog.Moves.At(i).Line)
		if at, noted := first[line]; noted && at == 0 {
			first[line] = i + 1
		}
	}
	for _, n := range c.Prog.Notes {
		rule, _ := result.RuleByID(noteRules[n.Kind])
		var at float64
		if i := first[n.Pos.Line]; i > 0 {
			at = c.Clock.StartS(i - 1)
		}
		message := n.Message
		if n.Kind == parse.NoUnits {
			message += c.unitsHint()
		}
		out = append(out, c.placed(rule.ID, rule.Level, n.Pos, at, message))
	}
	return out
}

// placed makes a finding at a place in the program text; the message names a subprogram file.
func (c *Checks) placed(rule string, level result.Level, pos parse.Pos, timeS float64,
	message string) result.Finding {
	if pos.File != "" && pos.File != c.Prog.Name {
		f := result.NewFinding(rule, level, 0, timeS, fmt.Sprintf("%s: %s", pos, message))
		f.Within = pos
		return f
	}
	f := result.NewFinding(rule, level, pos.Line, timeS, message)
	f.Column = pos.Col
	return f
}

// Unplaced reports rapids in X or Y to an unknown machine position that start below the top of stock, clamps
// and fixtures. Their path is unknown and may go through the stock, so they count as unread.
func (c *Checks) Unplaced() []result.Finding {
	top, of := c.Rec.Stock.TopMM(), "the stock"
	for _, o := range c.obstacles() {
		if o.topMM > top {
			top, of = o.topMM, o.what
		}
	}
	var out []result.Finding
	for _, u := range c.Prog.Unplaced {
		if u.FromZ >= top {
			continue
		}
		out = append(out, c.placed(result.RuleUnread, result.LevelError, u.Pos, c.Clock.StartS(u.Move), fmt.Sprintf(
			"a rapid in X or Y to an unknown machine position starts at %s, below the top of %s at "+
				"%s, and may go through it; retract Z first, or give [machine] zero",
			c.Units.Height(u.FromZ), of, c.Units.Height(top))))
	}
	return out
}

// AskedMargin says what a margin above 1 is asked of, which was once the likely margin.
func (c *Checks) AskedMargin() []result.Finding {
	if c.Job.Limits.Margin <= 1 {
		return nil
	}
	return []result.Finding{result.NewFinding(result.RuleReading, result.LevelNote, 0, 0,
		fmt.Sprintf("margin %s is asked of the low end of each range and no longer of the likely margin; 1.00 asks "+
			"that each piece holds 19 times of 20",
			wording.Margin(c.Job.Limits.Margin)))}
}

// flagged reports steps with a flag, one finding for each run of consecutive blocks with one tool.
func (c *Checks) flagged(flag sweep.StepFlags, say func(first, last *sweep.Step) result.Finding) []result.Finding {
	var out []result.Finding
	var first, last *sweep.Step
	flush := func() {
		if first != nil {
			f := say(first, last)
			f.LastLine = int(c.Prog.Moves.At(int(last.Move)).Line)
			f.LastTimeS = c.Clock.TimeS(last.End())
			out = append(out, f)
		}
		first, last = nil, nil
	}
	for i := range c.Rec.Steps.Len() {
		s := c.Rec.Steps.At(i)
		if s.Flags&flag == 0 {
			continue
		}
		if last != nil && (s.Move > last.Move+1 || c.Prog.Moves.At(int(s.Move)).Tool != c.Prog.Moves.At(
			int(first.Move)).Tool) {
			flush()
		}
		if first == nil {
			first = s
		}
		last = s
	}
	flush()
	return out
}

// AtStep makes a finding at the start of a step.
func (c *Checks) AtStep(rule string, level result.Level, s *sweep.Step, message string) result.Finding {
	m := c.Prog.Moves.At(int(s.Move))
	f := result.NewFinding(rule, level, int(m.Line), c.Clock.TimeS(s.Begin()), message)
	f.Tool = int(m.Tool)
	p := toolpath.Along(&m, float64(s.From))
	f.At, f.HasAt = orb.Point{p.At.X, p.At.Y}, true
	return f
}

// extentsOf are the extents of a rectangle along X and Y.
func extentsOf(b orb.Bound) [][2]float64 {
	return [][2]float64{{b.Min[0], b.Max[0]}, {b.Min[1], b.Max[1]}}
}

// Chuck reports tools that go deeper into the layer than its limit, or through it, one finding for each run of
// consecutive moves with one tool and level, with the greatest depth.
func (c *Checks) Chuck() []result.Finding {
	limit, thickness := 0.0, 0.0
	if c.Job.Layer != nil {
		limit, thickness = c.Job.Layer.CutLimitMM, c.Job.Layer.ThicknessMM
	}
	table, deep := c.tableBound(), c.Units.Depth()
	var out []result.Finding
	deepest, lastMove := 0.0, -2
	for i := range c.Prog.Moves.Len() {
		m := c.Prog.Moves.At(i)
		depth := c.Rec.Stock.BottomMM - m.LowestZ()
		if m.Kind == parse.Dwell || depth <= limit+DepthToleranceMM || !reaches(&m, table) {
			continue
		}
		level, message := result.LevelWarning, fmt.Sprintf("tool %d goes %s into the layer, whose limit is %s",
			m.Tool, deep.Text(depth), deep.Text(limit))
		switch {
		case c.Job.Layer == nil:
			level, message = result.LevelError, fmt.Sprintf("tool %d goes %s below the stock, into the chuck: there "+
				"is no layer", m.Tool, deep.Text(depth))
		case depth > thickness+DepthToleranceMM:
			level, message = result.LevelError, fmt.Sprintf("tool %d goes %s below the stock, through the %s "+
				"layer into the chuck", m.Tool, deep.Text(depth), deep.Text(thickness))
		}
		n := len(out) - 1
		if n < 0 || i > lastMove+1 || level != out[n].Level || int(m.Tool) != out[n].Tool {
			f := result.NewFinding(result.RuleChuck, level, int(m.Line), c.Clock.StartS(i), message)
			f.Tool, f.At, f.HasAt = int(m.Tool), orb.Point{m.End.X, m.End.Y}, true
			out = append(out, f)
			n, deepest = len(out)-1, depth
		}
		if depth > deepest {
			out[n].Message, deepest = message, depth
		}
		out[n].LastLine, out[n].LastTimeS = int(m.Line), c.Clock.StartS(i+1)
		lastMove = i
	}
	return out
}

// tableBound is the rectangle that blanks and zones cover.
func (c *Checks) tableBound() orb.Bound {
	b := c.Rec.Stock.Bound()
	for _, z := range c.Job.Zones {
		b = b.Union(z.Area.Bound())
	}
	return b
}

// reaches tells whether the box round a move meets the rectangle.
func reaches(m *parse.Move, r orb.Bound) bool { return toolpath.Bound(m).Intersects(r) }

// Outside reports feed moves below the top of the stock with the tool clear of every blank, one finding for
// each run. Within a tool diameter of the stock is a lead-in and not reported.
func (c *Checks) Outside() []result.Finding {
	top := c.Rec.Stock.TopMM()
	bound := c.Rec.Stock.Bound()
	var out []result.Finding
	lastMove := -2
	for i := range c.Prog.Moves.Len() {
		m := c.Prog.Moves.At(i)
		if m.Kind != parse.Feed && m.Kind != parse.Arc || m.LowestZ() >= top {
			continue
		}
		clear := bound.Pad(1.5 * c.Job.Tools[int(m.Tool)].DiameterMM)
		if clear.Contains(orb.Point{m.End.X, m.End.Y}) {
			continue
		}
		if i == lastMove+1 {
			n := len(out) - 1
			out[n].LastLine, out[n].LastTimeS = int(m.Line), c.Clock.StartS(i+1)
		} else {
			f := result.NewFinding(result.RuleOutside, result.LevelNote, int(m.Line), c.Clock.StartS(i),
				fmt.Sprintf("tool %d cuts at %s, outside the stock (%s)", m.Tool, c.Units.Coordinates(m.End.X, m.End.Y),
					c.Units.Length().Extents(extentsOf(bound)...)))
			f.Tool, f.At, f.HasAt, f.LastTimeS = int(m.Tool), orb.Point{m.End.X, m.End.Y}, true, c.Clock.StartS(i+1)
			out = append(out, f)
		}
		lastMove = i
	}
	return out
}

// NoCut reports a program that cuts nothing: no feed moves, or a zero that does not match the job's.
func (c *Checks) NoCut() []result.Finding {
	if c.Rec.RemovedMM3 > 0 {
		return nil
	}
	if c.Prog.CutLengthMM == 0 {
		return []result.Finding{result.NewFinding(result.RuleNoCut, result.LevelError, 0, 0,
			"the program has no feed moves; nothing is cut and nothing could be checked")}
	}
	var low, high parse.Point
	first := 0
	for i := range c.Prog.Moves.Len() {
		m := c.Prog.Moves.At(i)
		if m.Kind != parse.Feed && m.Kind != parse.Arc {
			continue
		}
		if first == 0 {
			first, low, high = int(m.Line), m.Start, m.Start
		}
		for _, p := range []parse.Point{m.Start, m.End} {
			low = parse.Point{X: math.Min(low.X, p.X), Y: math.Min(low.Y, p.Y), Z: math.Min(low.Z, p.Z)}
			high = parse.Point{X: math.Max(high.X, p.X), Y: math.Max(high.Y, p.Y), Z: math.Max(high.Z, p.Z)}
		}
	}
	b := c.Rec.Stock.Bound()
	return []result.Finding{result.NewFinding(result.RuleNoCut, result.LevelError, first, 0, fmt.Sprintf(
		"no feed move meets the stock: they span %s, the stock %s above %s; check corner, size, units and work "+
			"offsets",
		c.Units.Length().Extents([2]float64{low.X, high.X}, [2]float64{low.Y, high.Y}, [2]float64{low.Z, high.Z}),
		c.Units.Length().Extents(extentsOf(b)...), c.Units.Height(c.Rec.Stock.BottomMM)))}
}

// Flagged reports what the sweep flagged on its steps.
func (c *Checks) Flagged() []result.Finding {
	out := c.flagged(sweep.RapidCut, func(first, _ *sweep.Step) result.Finding {
		return c.AtStep(result.RuleRapidCut, result.LevelError, first,
			fmt.Sprintf("tool %d goes through material at rapid, "+
				"down to %s", c.Prog.Moves.At(int(first.Move)).Tool, c.Units.Height(float64(first.LowMM))))
	})
	return append(out, c.flagged(sweep.OverReach, func(first, _ *sweep.Step) result.Finding {
		tool := c.Job.Tools[int(c.Prog.Moves.At(int(first.Move)).Tool)]
		return c.AtStep(result.RuleReach, result.LevelWarning, first, fmt.Sprintf("tool %d cuts %s deep, its flutes "+
			"reach %s: shank or holder rubs", tool.Number,
			c.Units.Depth().Text(float64(first.HighMM)-c.tipAt(first)), c.Units.Depth().Text(tool.ReachMM)))
	})...)
}

// tipAt is the lowest Z of the tool tip over a step.
func (c *Checks) tipAt(s *sweep.Step) float64 {
	m := c.Prog.Moves.At(int(s.Move))
	return math.Min(m.At(float64(s.From)).Z, m.At(float64(s.To)).Z)
}
