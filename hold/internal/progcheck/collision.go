package progcheck

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"github.com/paulmach/orb"

	"staydown/hold/internal/toolpath"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/parse"
)

// hit is where a tool first meets an obstacle on a move.
type hit struct {
	at    parse.Point
	ledge ledge
	from  string // in words
}

// Collisions reports where the tool or its holder meets an obstacle, one finding for each run of neighboring
// moves with one tool. Rapids count as straight.
func (c *Checks) Collisions() []result.Finding {
	obstacles := c.obstacles()
	if len(obstacles) == 0 {
		return nil
	}
	top := slices.MaxFunc(obstacles, func(o, p obstacle) int { return cmp.Compare(o.topMM, p.topMM) }).topMM
	tools := map[int32][]ledge{}
	last := make([]int, len(obstacles))    // move behind the last hit of each
	finding := make([]int, len(obstacles)) // its finding
	var out []result.Finding
	for i, m := range c.Prog.Moves.All() {
		low := m.LowestZ()
		if m.Kind == parse.Dwell || low >= top {
			continue
		}
		shape, known := tools[m.Tool]
		if !known {
			shape = ledges(c.Job.Tools[int(m.Tool)])
			tools[m.Tool] = shape
		}
		wide := toolpath.Bound(&m).Pad(arcSagMM + shape[len(shape)-1].radiusMM)
		for k := range obstacles {
			o := &obstacles[k]
			if low >= o.topMM || o.clear(&wide) {
				continue
			}
			h, met := firstHit(&m, o, shape)
			if !met {
				continue
			}
			if n := finding[k]; last[k] == i && i > 0 && out[n].Tool == int(m.Tool) {
				out[n].LastLine, out[n].LastTimeS = int(m.Line), c.Clock.StartS(i+1)
			} else {
				finding[k] = len(out)
				out = append(out, c.collision(i, o, h))
			}
			last[k] = i + 1
		}
	}
	return out
}

// arcSagMM is how far the chords that stand for an arc may stray from it. A tool on an arc counts as so much wider, and
// out of the XY plane as so much deeper, than it is.
const arcSagMM = 0.01

// firstHit finds where a tool first meets an obstacle on a move. It is exact for straight moves and ledges; see
// arcSagMM.
func firstHit(m *parse.Move, o *obstacle, shape []ledge) (hit, bool) {
	n, wide, deep := 1, 0.0, 0.0
	if m.Kind == parse.Arc {
		n, wide = m.Chords(arcSagMM), arcSagMM
		if m.Plane != parse.PlaneXY {
			deep = arcSagMM
		}
	}
	p := m.At(0)
	p.Z -= deep
	for i := range n {
		q := m.At(float64(i+1) / float64(n))
		q.Z -= deep
		if h, met := o.hitBetween(p, q, shape, wide); met {
			return h, true
		}
		p = q
	}
	return hit{}, false
}

// hitBetween finds where a tool that goes straight from p to q first meets the obstacle.
func (o *obstacle) hitBetween(p, q parse.Point, shape []ledge, wideMM float64) (first hit, met bool) {
	least := math.Inf(1)
	for _, l := range shape {
		from, to, ok := belowZ(p.Z, q.Z, o.topMM-l.aboveMM-touchMM)
		if !ok {
			continue
		}
		reach := l.radiusMM + wideMM
		meets := func(t float64) bool { return o.meets(flat(p, q, from), flat(p, q, t), reach) }
		if !meets(to) {
			continue
		}
		at := from
		if !meets(from) {
			// What a longer way meets a shorter one may not: the first place is where that changes.
			at += (to - from) * float64(sort.Search(firstPlaces,
				func(k int) bool { return meets(from + (to-from)*float64(k)/firstPlaces) })) / firstPlaces
		}
		if at >= least {
			continue
		}
		least, met = at, true
		first = hit{at: along3(p, q, at), ledge: l, from: "from the side"}
		if at == from && q.Z < p.Z {
			first.from = "from above"
		}
	}
	return first, met
}

// firstPlaces is the number of places on a stretch among which that of the first touch is told.
const firstPlaces = 1 << 20

// belowZ gives the part of a straight way from height a to b that lies below a height.
func belowZ(a, b, z float64) (from, to float64, ok bool) {
	switch {
	case a < z && b < z:
		return 0, 1, true
	case a >= z && b >= z:
		return 0, 0, false
	case a < z:
		return 0, (z - a) / (b - a), true
	}
	return (z - a) / (b - a), 1, true
}

func along3(p, q parse.Point, t float64) parse.Point {
	return parse.Point{X: p.X + t*(q.X-p.X), Y: p.Y + t*(q.Y-p.Y), Z: p.Z + t*(q.Z-p.Z)}
}

// flat is a place on a straight way seen from above.
func flat(p, q parse.Point, t float64) orb.Point {
	at := along3(p, q, t)
	return orb.Point{at.X, at.Y}
}

// collision makes the finding of a move's first hit.
func (c *Checks) collision(move int, o *obstacle, h hit) result.Finding {
	m := c.Prog.Moves.At(move)
	tool, clearZ := fmt.Sprintf("tool %d", m.Tool), o.topMM
	if h.ledge.holder {
		clearZ -= h.ledge.aboveMM
		tool = fmt.Sprintf("the holder of tool %d (%s wide from %s above the tip)", m.Tool,
			c.Units.Length().Text(2*h.ledge.radiusMM), c.Units.Length().Text(h.ledge.aboveMM))
	}
	does := fmt.Sprintf("meets %s %s", o.what, h.from)
	if o.beyond {
		does = "goes beyond the edge of the table below the top of the stock"
	}
	kind := ""
	if m.Kind == parse.Rapid {
		kind = " at rapid"
	}
	f := result.NewFinding(result.RuleCollision, result.LevelError, int(m.Line), c.Clock.StartS(move),
		fmt.Sprintf("%s %s%s: tip at %s, clear of it "+
			"from %s up",
			tool, does, kind, c.Units.Coordinates(h.at.X, h.at.Y, h.at.Z), c.Units.Height(clearZ)))
	f.Tool, f.At, f.HasAt, f.LastTimeS = int(m.Tool), orb.Point{h.at.X, h.at.Y}, true, c.Clock.StartS(move+1)
	return f
}

// ObstacleStatements say what is not looked at where tools pass obstacles.
func (c *Checks) ObstacleStatements() []string {
	if len(c.obstacles()) == 0 {
		return nil
	}
	used := map[int]bool{}
	for _, m := range c.Prog.Moves.All() {
		used[int(m.Tool)] = true
	}
	var without []int
	for n, t := range c.Job.Tools {
		if used[n] && (t.HolderMM == 0 || t.GaugeMM == 0) {
			without = append(without, n)
		}
	}
	out := []string{"for collisions with clamps, fixtures and the edge of the table, shanks are as wide as their " +
		"cutters and rapids are straight"}
	if len(without) > 0 {
		out = append(out, fmt.Sprintf("the holder is not checked against clamps, fixtures and the edge of the table "+
			"for %s (holder, gauge_length)", job.ToolNames(without)))
	}
	return out
}
