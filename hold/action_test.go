package hold

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/parse"
)

// actionForms are the words of actions that differ from those of remedies, with what a programmer does who reads them.
var actionForms = []struct {
	kind string
	form *regexp.Regexp
	take func(e *editing, f []string)
}{
	{"cover", regexp.MustCompile(
		`^(?:close zone (\w+) \(no stock on it\))?(?: and )?(?:cover the bare [^;]* of zone (\w+))?$`),
		func(e *editing, f []string) {
			if f[0] != "" {
				e.zone(f[0]).Open = false
			}
			if f[1] != "" {
				e.zone(f[1]).Covered = true
			}
		}},
	{"order",
		regexp.MustCompile(`^cut (?:out )?the parts at .* (?:first|last): move lines? (.*) (before|after) line (\d+)$`),
		func(e *editing, f []string) {
			to := e.number(f[2])
			if f[1] == "after" {
				to++
			}
			var ahead, moved, behind []parse.Move
			for _, m := range e.moves {
				switch {
				case e.names(f[0], m.Line):
					moved = append(moved, m)
				case float64(m.Line) < to:
					ahead = append(ahead, m)
				default:
					behind = append(behind, m)
				}
			}
			e.moves = slices.Concat(ahead, moved, behind)
		}},
	{"place", regexp.MustCompile(`^begin and end (?:the cut|each of these cuts) in the middle of a side: (.*)$`),
		func(e *editing, f []string) {
			for _, place := range placeForm.FindAllStringSubmatch(f[0], -1) {
				e.beginAt(orb.Point{e.number(place[1]), e.number(place[2])}, place[3]+" to "+place[4])
			}
		}},
	{"pass", regexp.MustCompile(
		`^closing pass ([\d.]+) mm deep: one more pass down to Z-?[\d.]+ before it \(lines? (.*)\)$`),
		func(e *editing, f []string) { e.passes(f[1], e.number(f[0]), 0, "a last pass of at most") }},
	{"skin", regexp.MustCompile(
		`^end the closing pass at Z(-?[\d.]+)(?:, not Z-?[\d.]+)? \(lines? (.*)\) and break the skin of [\d.]+ mm ` +
			`by hand$`),
		func(e *editing, f []string) {
			for i := range e.moves {
				if m := &e.moves[i]; m.Kind != parse.Rapid && e.names(f[1], m.Line) {
					m.Start.Z, m.End.Z = math.Max(m.Start.Z, e.number(f[0])), math.Max(m.End.Z, e.number(f[0]))
				}
			}
		}},
	{"tabs", regexp.MustCompile(
		`^leave (\d+) tabs, ([\d.]+) mm wide and ([\d.]+) mm high, (?:at .*?|evenly around .*?)(?:, ` +
			`plunging beside them at no more than F([\d.]+))?$`),
		func(e *editing, f []string) {
			plunge := math.Inf(1)
			if f[3] != "" {
				plunge = e.number(f[3])
			}
			for _, runs := range e.a.tooWeak {
				if p := (remedySearch{a: e.a, piece: &e.a.rec.Pieces[runs[0].piece-1]}); p.rim() != nil {
					e.tabs(p.piece.ID, int(e.number(f[0])), e.number(f[1]), e.number(f[2]), plunge)
				}
			}
		}},
}

func (e *editing) zone(name string) *job.Zone {
	e.job.Zones = slices.Clone(e.job.Zones)
	return &e.job.Zones[slices.IndexFunc(e.job.Zones, func(z job.Zone) bool { return z.Name == name })]
}

// beginAt begins every time round in some lines at a place on a straight side.
func (e *editing) beginAt(to orb.Point, lines string) {
	corner, known := parse.Point{}, false
	var out, round []parse.Move
	turn := func() {
		for k, m := range round {
			if m.Kind == parse.Feed && planar.DistanceFromSegment(orb.Point{m.Start.X, m.Start.Y},
				orb.Point{m.End.X, m.End.Y}, to) < 1e-3 {
				last := m
				last.End.X, last.End.Y = to[0], to[1]
				round = append(append(slices.Clone(round[k:]), round[:k]...), last)
				break
			}
		}
		out, round = append(out, round...), nil
	}
	for _, m := range e.moves {
		along := m.Kind != parse.Rapid && !m.Upright()
		switch {
		case !e.names(lines, m.Line):
			out = append(out, m)
			continue
		case along:
			round = append(round, m)
			continue
		}
		turn()
		if !known {
			corner, known = m.End, true
		}
		if math.Hypot(m.End.X-corner.X, m.End.Y-corner.Y) < 1e-3 {
			m.End.X, m.End.Y = to[0], to[1]
		}
		out = append(out, m)
	}
	e.moves = out
}

// follow does what an action says.
func (e *editing) follow(what string) (kinds string) {
	e.t.Helper()
	var all []string
next:
	for _, part := range strings.Split(what, "; and ") {
		for _, form := range actionForms {
			if f := form.form.FindStringSubmatch(part); f != nil {
				form.take(e, f[1:])
				all = append(all, form.kind)
				continue next
			}
		}
		all = append(all, e.apply(part))
	}
	return strings.Join(all, " and ")
}

// aNest draws a program of a few rectangles and its plate.
func aNest(r *rand.Rand, large bool) (program string, p plate) {
	p = aPlate().sized(370, 220)
	p.cellMM = float64(testrun.Draws(2, 1))
	p.margin = 1 + 0.3*r.Float64()
	if r.IntN(2) == 0 {
		p.through, p.pumpM3h = "2e-13 m2", 15
		p.more = "[[zone]]\nname = \"B\"\narea = [[\"370 mm\",\"0 mm\"],[\"570 mm\",\"220 mm\"]]\n"
	}
	depths := []string{"Z-6.2"}
	if r.IntN(2) == 0 {
		depths = []string{"Z-4.5", "Z-6.2"}
	}
	feed := 600 + 200*r.IntN(12)
	least, span, parts, pitch := 15, 14, 2+r.IntN(3), 110.0 // sides in steps of 5 mm
	if large {                                              // parts that hold when they are cut more slowly
		feed, least, span, parts, pitch = 2000+500*r.IntN(3), 110, 10, 2, 180
	}
	var b strings.Builder
	b.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\n")
	for k := range parts {
		w, h := float64(least+5*r.IntN(span)), float64(least+5*r.IntN(span))
		x, y := 17+float64(k%3)*pitch, 17+float64(k/3)*pitch
		fmt.Fprintf(&b, "G0 X%g Y%g\n", x, y)
		for _, z := range depths {
			fmt.Fprintf(&b, "G1 %s F300\nX%g F%d\nY%g\nX%g\nY%g\n", z, x+w+6, feed, y+h+6, x, y)
		}
		b.WriteString("G0 Z5\n")
	}
	b.WriteString("M30\n")
	return b.String(), p
}

// Whoever follows an action finds what it promises: the verdict, the least margin, and how many pieces stay loose. Tabs
// may be put elsewhere along the rim, so of them only cures are asked to hold.
func TestEveryActionHoldsWhenItIsTaken(t *testing.T) {
	if testing.Short() {
		t.Skip("a long run of whole programs")
	}
	taken := map[string]int{}
	r := rand.New(rand.NewPCG(17, 1))
	for n := range testrun.Draws(7, 60) {
		program, p := aNest(r, n%3 == 2)
		jobFile := p.toml()
		if n%2 == 0 {
			jobFile = strings.NewReplacer("[[\"0 mm\",\"0 mm\"],[\"370 mm\"", "[[\"0 mm\",\"0 mm\"],[\"420 mm\"",
				"[[\"370 mm\",\"0 mm\"]", "[[\"420 mm\",\"0 mm\"]").Replace(jobFile)
		}
		a := roadInFull(t, program, jobFile)
		a.AddActions(nil)
		if (a.Result.Verdict == result.Held) != (len(a.Result.Actions) == 0) && a.Result.Verdict == result.Held {
			t.Errorf("nest %d holds and has actions", n)
		}
		for _, action := range a.Result.Actions {
			what := action.What
			if at := strings.Index(what, ": the least vacuum"); at > 0 {
				what = what[:at]
			}
			e := newEditing(t, a)
			kind := e.follow(what)
			taken[kind]++
			got := roadWith(t, e.program(), &e.job).Result
			least, _ := got.LeastPiece()
			loose := 0
			for _, q := range got.Pieces {
				if q.State == result.StateLoose {
					loose++
				}
			}
			off := math.Abs(least.Least.Margin-action.LeastMargin.Likely) > 0.03*action.LeastMargin.Likely
			if strings.Contains(kind, "tabs") {
				off = false
				if len(action.LeftLoose) > 0 {
					continue
				}
			}
			if got.Verdict != action.Verdict || loose != len(action.LeftLoose) || off {
				t.Errorf("nest %d, %q: %v, least margin %.3f, %d loose; promised %v, %.3f, %d\n%s", n, action.What,
					got.Verdict, least.Least.Margin, loose, action.Verdict, action.LeastMargin.Likely,
					len(action.LeftLoose), program)
			}
		}
	}
	t.Log(taken)
	for _, kind := range []string{"cover", "pass", "feed", "skin", "tabs"} {
		if taken[kind] == 0 {
			t.Errorf("no action of kind %q was tried", kind)
		}
	}
}
