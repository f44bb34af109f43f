package job

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"staydown/parse"
)

// use is what a program does with one tool.
type use struct {
	number           int
	line             int // of the first call; 0 when the tool is in the spindle from the start
	lengthMM         float64
	feedLow, feedTop float64 // mm/min
	rpmLow, rpmTop   float64
	box              extent // of the tip
	sideways         bool   // it cuts along the table, not only down
}

// level is a height at which a program feeds along the table.
type level struct{ zMM, lengthMM float64 }

// uses is what a program does with its tools.
type uses struct {
	byTool map[int]*use
	all    extent  // of the tip when it feeds
	levels []level // the deepest first
	feedMM float64
}

// levelStepMM is how far apart heights have to be to be told apart.
const levelStepMM = 0.01

// usesOf reads them from the moves of a program.
func usesOf(p *parse.Program) uses {
	out := uses{byTool: map[int]*use{}, all: none()}
	levels := map[float64]float64{}
	for i := range p.Moves.Len() {
		m := p.Moves.At(i)
		if m.Kind != parse.Feed && m.Kind != parse.Arc {
			continue
		}
		out.all.addMove(&m)
		u := out.byTool[int(m.Tool)]
		if u == nil {
			u = &use{number: int(m.Tool), box: none(), feedLow: math.Inf(1), rpmLow: math.Inf(1)}
			out.byTool[int(m.Tool)] = u
		}
		u.add(&m)
		out.feedMM += m.LengthMM
		if m.Start.Z == m.End.Z && m.LengthMM > sameMM && anyPlaceMM.has(m.End.Z) {
			levels[math.Round(m.End.Z/levelStepMM)*levelStepMM] += m.LengthMM
		}
	}
	for z, length := range levels {
		out.levels = append(out.levels, level{z, length})
	}
	slices.SortFunc(out.levels, func(a, b level) int {
		if a.zMM < b.zMM {
			return -1
		}
		return 1
	})
	for _, c := range p.ToolCalls {
		if u := out.byTool[c.Tool]; u == nil && c.Tool > 0 {
			out.byTool[c.Tool] = &use{number: c.Tool, line: c.Line, box: none()}
		} else if u != nil && u.line == 0 {
			u.line = c.Line
		}
	}
	return out
}

// numbers gives the tools in rising order.
func (u *uses) numbers() []int {
	var out []int
	for n := range u.byTool {
		if n >= 0 {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return out
}

// onTable tells whether Z 0 seems to be the table: the program feeds along heights well above it and goes down to about
// 0.
func (u *uses) onTable() bool {
	above := 0.0
	for _, l := range u.levels {
		if l.zMM > levelMM {
			above += l.lengthMM
		}
	}
	return u.all.known() && math.Abs(u.all.low.Z) <= levelMM && above > u.feedMM/20
}

// levelsInWords names the deepest heights with the way fed along each.
func (u *uses) levelsInWords(write func(float64) string) string {
	const most = 3
	var parts []string
	for i, l := range u.levels {
		if i == most {
			break
		}
		parts = append(parts, fmt.Sprintf("Z %s along %s", write(l.zMM), write(l.lengthMM)))
	}
	return strings.Join(parts, ", ")
}

func (u *use) add(m *parse.Move) {
	u.box.addMove(m)
	u.lengthMM += m.LengthMM
	if m.FeedMMMin > 0 {
		u.feedLow, u.feedTop = min(u.feedLow, m.FeedMMMin), max(u.feedTop, m.FeedMMMin)
	}
	if m.RPM > 0 {
		u.rpmLow, u.rpmTop = min(u.rpmLow, m.RPM), max(u.rpmTop, m.RPM)
	}
	if m.Kind == parse.Arc || math.Hypot(m.End.X-m.Start.X, m.End.Y-m.Start.Y) > sameMM {
		u.sideways = true
	}
}

// story tells what the program does with the tool.
func (u *use) story(write func(float64) string) string {
	var b strings.Builder
	switch {
	case u.line > 0:
		fmt.Fprintf(&b, "called on line %d", u.line)
	default:
		b.WriteString("in the spindle from the start")
	}
	if u.lengthMM <= 0 || !u.box.known() {
		return b.String() + "; does not cut"
	}
	fmt.Fprintf(&b, "; feeds along %s", write(u.lengthMM))
	if u.feedTop > 0 {
		fmt.Fprintf(&b, " at %s/min", fromTo(u.feedLow, u.feedTop, write))
	}
	if u.rpmTop > 0 {
		fmt.Fprintf(&b, ", %s rpm", fromTo(u.rpmLow, u.rpmTop, trimmed))
	} else {
		b.WriteString(", no spindle speed seen")
	}
	fmt.Fprintf(&b, ", down to Z %s", write(u.box.low.Z))
	return b.String()
}

func fromTo(low, high float64, write func(float64) string) string {
	if high-low <= 1e-9*high {
		return write(high)
	}
	short, _, _ := strings.Cut(write(low), " ")
	return short + " to " + write(high)
}
