package hold

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/parse/units"
)

// A remedy is taken here as a person at the machine would take it: from its sentence alone, with the program and the
// job file at hand.

// editing is a program and a job that remedies are applied to.
type editing struct {
	t     testing.TB
	a     *Analysis // of both as they were
	moves []parse.Move
	job   job.Job
}

func newEditing(t testing.TB, a *Analysis) *editing {
	j := *a.job
	j.Tools = map[int]job.Tool{}
	for n, tool := range a.job.Tools {
		j.Tools[n] = tool
	}
	if j.Layer != nil {
		layer := *j.Layer
		j.Layer = &layer
	}
	e := &editing{t: t, a: a, job: j}
	for _, m := range a.prog.Moves.All() {
		e.moves = append(e.moves, m)
	}
	return e
}

func (e *editing) unitMM() float64 {
	if e.a.prog.Units == units.Inch {
		return 25.4 // exact by definition
	}
	return 1
}

// remedyForms are the sentences of remedies, each with what it means.
var remedyForms = []struct {
	kind string
	form *regexp.Regexp
	take func(e *editing, f []string)
}{
	{"feed", regexp.MustCompile(`^feed at most F(\d+) \(now F[\d.]+\) in lines? (.*)$`), func(e *editing, f []string) {
		for i := range e.moves {
			if m := &e.moves[i]; m.Kind != parse.Rapid && e.names(f[1], m.Line) {
				m.FeedMMMin = math.Min(m.FeedMMMin, e.number(f[0])*e.unitMM())
			}
		}
	}},
	{"pass",
		regexp.MustCompile(
			`^(a last pass of at most|this pass at most|passes of at most) ([\d.]+) (?:mm|in)(?: deep)? \(now ` +
				`([\d.]+) (?:mm|in)\) in lines? (.*)$`),
		func(e *editing, f []string) {
			e.passes(f[3], e.number(f[1])*e.unitMM(), e.number(f[2])*e.unitMM(), f[0])
		}},
	{"skin",
		regexp.MustCompile(
			`^leave a skin of ([\d.]+) (?:mm|in) under piece \d+: end its cut at Z(-?[\d.]+) \([\d.]+ (?:mm|in) ` +
				`higher\) in lines? (.*), and break it by hand$`),
		func(e *editing, f []string) {
			for i := range e.moves {
				if m := &e.moves[i]; e.names(f[2], m.Line) {
					m.Start.Z, m.End.Z = math.Max(m.Start.Z, e.number(f[1])*e.unitMM()),
						math.Max(m.End.Z, e.number(f[1])*e.unitMM())
				}
			}
		}},
	{"tabs",
		regexp.MustCompile(
			`^leave (\d+) tabs, ([\d.]+) (?:mm|in) wide and ([\d.]+) (?:mm|in) high, evenly around piece (\d+)(?:, ` +
				`and plunge beside them at no more than F([\d.]+))?$`), func(e *editing, f []string) {
			plunge := math.Inf(1)
			if f[4] != "" {
				plunge = e.number(f[4]) * e.unitMM()
			}
			e.tabs(int(e.number(f[3])), int(e.number(f[0])), e.number(f[1])*e.unitMM(), e.number(f[2])*e.unitMM(),
				plunge)
		}},
	{"order",
		regexp.MustCompile(
			`^cut piece \d+ \(lines? (\d+) to (\d+)\) before line (\d+), which keeps a vacuum of [\d.]+ kPa$`),
		func(e *editing, f []string) {
			var own, rest []parse.Move
			at := -1
			for _, m := range e.moves {
				if int(m.Line) >= int(e.number(f[0])) && int(m.Line) <= int(e.number(f[1])) {
					own = append(own, m)
					continue
				}
				if at < 0 && int(m.Line) >= int(e.number(f[2])) {
					at = len(rest)
				}
				rest = append(rest, m)
			}
			e.moves = slices.Insert(rest, at, own...)
		}},
	{"anchoring", regexp.MustCompile(`^also screw or clamp the sheet$`),
		func(e *editing, f []string) { e.job.Stock.Anchored = true }},
	{"tool", regexp.MustCompile(`^a down-cut tool in place of tool (\d+)$`), func(e *editing, f []string) {
		tool := e.job.Tools[int(e.number(f[0]))]
		tool.HelixRad = -tool.HelixRad
		e.job.Tools[tool.Number] = tool
	}},
	{"adhesive", regexp.MustCompile(`^a layer with an adhesive face of at least ([\d.]+) (kPa|psi) shear strength$`),
		func(e *editing, f []string) {
			e.job.Layer.TackPa = e.number(f[0]) * map[string]float64{"kPa": 1000, "psi": 6894.757}[f[1]] // NIST SP 811
		}},
	{"pump", regexp.MustCompile(`^a (?:[a-z-]+) pump of at least ([\d.]+) m3/h \(now [\d.]+\)$`),
		func(e *editing, f []string) {
			grown := e.number(f[0]) / e.job.Pump.FlowM3h
			e.job.Pump.FlowM3h *= grown
			e.job.Pump.Curve = slices.Clone(e.job.Pump.Curve)
			for i := range e.job.Pump.Curve {
				e.job.Pump.Curve[i].FlowM3h *= grown
			}
			if e.job.Pump.LeakAssumed { // the job file then takes it as a share of the flow
				e.job.Pump.LeakM3h *= grown
			}
		}},
	{"vacuum",
		regexp.MustCompile(
			`^a vacuum of at least ([\d.]+) kPa in lines? (?:.*) \(now [\d.]+ kPa\), from another kind of pump$`),
		func(e *editing, f []string) {
			e.job.Pump = job.Pump{Kind: job.RotaryVane, FlowM3h: 1e6, UltimatePa: math.Min(e.job.Pump.UltimatePa,
				e.job.AmbientPa-1000*e.number(f[0]))}
		}},
}

// apply takes a remedy and gives its kind.
func (e *editing) apply(sentence string) string {
	e.t.Helper()
	for _, r := range remedyForms {
		if f := r.form.FindStringSubmatch(sentence); f != nil {
			r.take(e, f[1:])
			return r.kind
		}
	}
	e.t.Fatalf("nobody could follow %q", sentence)
	return ""
}

func (e *editing) number(s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		e.t.Fatal(err)
	}
	return x
}

// names tells whether "3, 5 to 7 and 9" names a line.
func (e *editing) names(ranges string, line int32) bool {
	for _, r := range strings.Split(strings.ReplaceAll(ranges, " and ", ", "), ", ") {
		first, last, several := strings.Cut(r, " to ")
		if !several {
			last = first
		}
		if float64(line) >= e.number(first) && float64(line) <= e.number(last) {
			return true
		}
	}
	return false
}

// passes cuts the named blocks several times, ever deeper: first so that the last time takes no more than a depth.
func (e *editing) passes(ranges string, atMost, now float64, which string) {
	var out []parse.Move
	for i := 0; i < len(e.moves); {
		end := i
		for end < len(e.moves) && e.moves[end].Kind != parse.Rapid && e.names(ranges, e.moves[end].Line) {
			end++
		}
		if end == i {
			out = append(out, e.moves[i])
			i++
			continue
		}
		// from where the tool goes down
		for i > 0 && len(out) > 0 && e.moves[i-1].Kind != parse.Rapid && out[len(out)-1] == e.moves[i-1] {
			i, out = i-1, out[:len(out)-1]
		}
		run := e.moves[i:end]
		low := math.Inf(1)
		for _, m := range run {
			low = math.Min(low, m.End.Z)
		}
		floors := []float64{e.a.rec.Stock.BottomMM + atMost}
		if which != "a last pass of at most" {
			floors = nil
			n := int(math.Ceil(now/atMost - 1e-9))
			for k := n - 1; k > 0; k-- {
				floors = append(floors, low+now*float64(k)/float64(n))
			}
		}
		start := run[0].Start
		for _, floor := range floors {
			for _, m := range run {
				m.Start.Z, m.End.Z = math.Max(m.Start.Z, floor), math.Max(m.End.Z, floor)
				out = append(out, m)
			}
			up := parse.Point{X: out[len(out)-1].End.X, Y: out[len(out)-1].End.Y, Z: 5 + e.a.rec.Stock.Blanks[0].TopMM}
			over := parse.Point{X: start.X, Y: start.Y, Z: up.Z}
			for _, to := range []parse.Point{up, over, start} {
				out = append(out, parse.Move{Kind: parse.Rapid, End: to, Tool: run[0].Tool, RPM: run[0].RPM,
					Spindle: run[0].Spindle})
			}
		}
		out = append(out, run...)
		i = end
	}
	e.moves = out
}

// tabs lifts the tool over tabs that lie evenly round a piece, the first of them somewhere.
func (e *editing) tabs(piece, count int, wideMM, highMM, plungeMMMin float64) {
	ring := orb.LineString(e.a.rec.Pieces[piece-1].Outline[0][0])
	total := planar.Length(ring)
	top := e.a.rec.Stock.BottomMM + highMM
	first := math.Mod(float64(7*piece+3*count), 10) / 10 * total / float64(count)
	inTab := func(m *parse.Move, at parse.Point) bool {
		radius := e.job.Tools[int(m.Tool)].DiameterMM / 2
		along, off := nearest(ring, orb.Point{at.X, at.Y})
		if off > radius+2*e.a.rec.Grid.CellMM {
			return false
		}
		from := math.Mod(along-first+total, total/float64(count))
		return math.Min(from, total/float64(count)-from) <= wideMM/2+radius
	}
	var out []parse.Move
	for _, m := range e.moves {
		if m.Kind == parse.Rapid || m.End.Z >= top && m.Start.Z >= top || m.Start.Z != m.End.Z &&
			m.Start.X == m.End.X && m.Start.Y == m.End.Y && !inTab(&m, m.End) {
			out = append(out, m)
			continue
		}
		out = append(out, e.lifted(m, top, plungeMMMin, inTab)...)
	}
	e.moves = out
}

// lifted splits a move so that it stays above a height wherever it would cut a tab.
func (e *editing) lifted(m parse.Move, top, plungeMMMin float64,
	inTab func(*parse.Move, parse.Point) bool) []parse.Move {
	const stepMM = 0.2
	n := max(1, int(math.Ceil(m.LengthMM/stepMM)))
	var out []parse.Move
	put := func(from, to int, high bool) {
		part := m
		part.Start, part.End = m.At(float64(from)/float64(n)), m.At(float64(to)/float64(n))
		if high {
			part.Start.Z, part.End.Z = math.Max(part.Start.Z, top), math.Max(part.End.Z, top)
		}
		part.TurnRad = m.TurnRad * float64(to-from) / float64(n)
		level := part // the tool goes up or down first
		level.Kind, level.End, level.FeedMMMin = parse.Feed, part.Start, math.Min(part.FeedMMMin, plungeMMMin)
		out = append(out, level, part)
	}
	for from := 0; from < n; {
		high := inTab(&m, m.At((float64(from)+0.5)/float64(n)))
		to := from + 1
		for to < n && inTab(&m, m.At((float64(to)+0.5)/float64(n))) == high {
			to++
		}
		put(from, to, high)
		from = to
	}
	return out
}

// nearest gives the length along a line up to its point nearest to a place, and the distance of the place from it.
func nearest(line orb.LineString, at orb.Point) (along, off float64) {
	off = math.Inf(1)
	walked := 0.0
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		d := planar.Distance(a, b)
		if d == 0 {
			continue
		}
		f := math.Max(0, math.Min(1, ((at[0]-a[0])*(b[0]-a[0])+(at[1]-a[1])*(b[1]-a[1]))/(d*d)))
		if gap := planar.Distance(at, orb.Point{a[0] + f*(b[0]-a[0]), a[1] + f*(b[1]-a[1])}); gap < off {
			along, off = walked+f*d, gap
		}
		walked += d
	}
	return along, off
}

// program writes the moves as a program.
func (e *editing) program() string {
	var b strings.Builder
	b.WriteString("G21 G90 G94 G91.1\n")
	tool, rpm, turn := int32(0), -1.0, parse.SpindleStopped
	for _, m := range e.moves {
		if m.Tool != tool {
			tool = m.Tool
			fmt.Fprintf(&b, "T%d M6\n", tool)
		}
		if m.RPM != rpm || m.Spindle != turn {
			rpm, turn = m.RPM, m.Spindle
			fmt.Fprintf(&b, "S%g %s\n", rpm, [...]string{"M4", "M5", "M3"}[turn+1])
		}
		end := fmt.Sprintf("X%.5f Y%.5f Z%.5f", m.End.X, m.End.Y, m.End.Z)
		switch m.Kind {
		case parse.Rapid:
			fmt.Fprintf(&b, "G0 %s\n", end)
		case parse.Feed:
			fmt.Fprintf(&b, "G1 %s F%g\n", end, m.FeedMMMin)
		case parse.Arc:
			if m.Plane != parse.PlaneXY {
				e.t.Fatal("only arcs in the XY plane are written")
			}
			code := "G3"
			if m.TurnRad < 0 {
				code = "G2"
			}
			fmt.Fprintf(&b, "%s %s I%.5f J%.5f F%g\n", code, end, m.Centre.X-m.Start.X, m.Centre.Y-m.Start.Y,
				m.FeedMMMin)
		}
	}
	b.WriteString("M30\n")
	return b.String()
}
