package outline

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"staydown/internal/testrun"

	"github.com/paulmach/orb"

	"staydown/hold"
	"staydown/hold/dryrun"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/parse"
	"staydown/parse/drawing"
)

func rectangle(x, y, w, h float64) orb.Ring {
	return orb.Ring{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}, {x, y}}
}

func part(outer orb.Ring, holes ...orb.Ring) drawing.Part {
	p := drawing.Part{Outline: drawing.Outline{Ring: outer, Line: 1}}
	for _, h := range holes {
		p.Holes = append(p.Holes, drawing.Outline{Ring: h, Line: 2})
	}
	return p
}

func disc(x, y, r float64) orb.Ring {
	var out orb.Ring
	for k := range 181 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k%180) / 180)
		out = append(out, orb.Point{x + r*cos, y + r*sin})
	}
	return out
}

// thinJob is a sheet of 2 mm, 300 x 200 mm.
func thinJob(t *testing.T, more ...string) *job.Job {
	t.Helper()
	text := strings.NewReplacer(`"-6 mm"`, `"-2 mm"`, `"6 mm"]`, `"2 mm"]`, `"400 m3/h"`, `"100 m3/h"`).Replace(
		benchJob(300, 200)) + strings.Join(more, "\n")
	j, err := job.Parse("job.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func judged(t *testing.T, j *job.Job, o Options, parts ...drawing.Part) *Result {
	t.Helper()
	runs := 0
	r, err := Judge(&drawing.Drawing{Parts: parts}, j, o, road(t, &runs))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// posted is a program for rectangles as a post writes it: outline by outline, compensated by the control, in one pass,
// begun at the lower left corner.
func posted(rings ...orb.Ring) []byte {
	var b strings.Builder
	b.WriteString("G21 G17 G90 G94 G40\nT1 M6\nS18000 M3\nG0 Z5\n")
	for _, r := range rings {
		x0, y0, x1, y1 := r[0][0], r[0][1], r[2][0], r[2][1]
		// Clockwise with the tool on the left; the entry is tangent to the left side.
		fmt.Fprintf(&b, "G0 X%g Y%g\nG1 Z-2.2 F540\nF2160\nG41 D1 X%g Y%g\n", x0-3, y0-10, x0, y0)
		fmt.Fprintf(&b, "Y%g\nX%g\nY%g\nX%g\nY%g\nG40\nG0 Z5\n", y1, x1, y0, x0, y0+8)
	}
	b.WriteString("M30\n")
	return []byte(b.String())
}

// A program posted from the same outlines gives parts of the same area within the bounds of the sweep, and the same
// answer for each.
func TestJudgeAgreesWithAPostedProgram(t *testing.T) {
	testrun.NotForRaces(t)
	j := thinJob(t)
	j.Doubts = nil // figures known exactly, so that the answers do not lie at the edge of a range
	rings := []orb.Ring{rectangle(12, 12, 160, 176), rectangle(190, 20, 60, 50), rectangle(195, 100, 25, 25)}
	r := judged(t, j, Options{Tool: -1}, part(rings[0]), part(rings[1]), part(rings[2]))
	prog := parse.Read(posted(rings...), j.Reading("posted.nc"))
	runs := 0
	checked, err := road(t, &runs)(prog, j, hold.Options{NoRemedies: true})
	if err != nil {
		t.Fatal(err)
	}
	if len(checked.Pieces) != 4 {
		t.Fatalf("the posted program cuts %d pieces, want 4", len(checked.Pieces))
	}
	seen := map[bool]bool{}
	for i, item := range r.Items[:3] {
		p := &checked.Pieces[i+1]
		// Cells of 0.5 mm: within half a cell along the border, in practice a tenth.
		if around := 2 * (item.SizeMM[0] + item.SizeMM[1]); math.Abs(p.AreaMM2-item.AreaMM2) > 0.05*around {
			t.Errorf("part %d: %.1f mm2 posted, %.1f drawn", i+1, p.AreaMM2, item.AreaMM2)
		}
		trial := item.Trials[OnePass]
		seen[trial.Holds] = true
		if (p.State == result.StateHeld) != trial.Holds {
			t.Errorf("part %d: %s with margin %.2f posted, margin %.2f as an outline", i+1, p.State, p.Least.Margin,
				trial.Margin)
		}
		// The posted one knows which kerfs are open: it has no less hold.
		if trial.Margin > 1.1*p.Least.Margin {
			t.Errorf("part %d: margin %.2f as an outline, more than %.2f posted", i+1, trial.Margin, p.Least.Margin)
		}
	}
	if !seen[true] || !seen[false] {
		t.Error("all parts have the same answer, so the comparison says little")
	}
}

// The program that is written out gives the margins that were told.
func TestProgramGivesTheMarginsTold(t *testing.T) {
	testrun.NotForRaces(t)
	j := thinJob(t)
	r := judged(t, j, Options{Tool: -1}, part(rectangle(20, 20, 60, 50), disc(50, 45, 15)),
		part(rectangle(120, 20, 60, 50)))
	if r.Class != dryrun.WithCare {
		t.Fatalf("%s, want with-care", r.Class)
	}
	runs := 0
	checked, err := road(t, &runs)(parse.Read(r.Program, j.Reading("dry.nc")), j, hold.Options{NoRemedies: true})
	if err != nil {
		t.Fatal(err)
	}
	if checked.Verdict != result.Held {
		t.Errorf("verdict %s", checked.Verdict)
	}
}

func TestClasses(t *testing.T) {
	testrun.NotForRaces(t)
	for _, tc := range []struct {
		name  string
		parts []drawing.Part
		more  string
		part  dryrun.Class
		all   dryrun.Class
	}{
		{"large", []drawing.Part{part(rectangle(20, 20, 200, 150))}, "", dryrun.WouldHold, dryrun.WouldHold},
		{"small", []drawing.Part{part(rectangle(20, 20, 25, 25))}, "", dryrun.WithCare, dryrun.WithCare},
		// Where no care can be taken, what is small does not hold.
		{"small, nothing of use", []drawing.Part{part(rectangle(20, 20, 25, 25))},
			"[limits]\nleast_skin = \"1 mm\"\nleast_pass = \"3 mm\"\n[web]\nheight = \"0.01 mm\"\n",
			dryrun.WouldNotHold,
			dryrun.WouldNotHold},
	} {
		o := Options{Tool: -1}
		if tc.more != "" {
			o.Care.TabHighMM = 1.9
		}
		r := judged(t, thinJob(t, tc.more), o, tc.parts...)
		if r.Items[0].Class != tc.part || r.Class != tc.all {
			t.Errorf("%s: part %s, drawing %s, want %s and %s: %+v", tc.name, r.Items[0].Class, r.Class, tc.part,
				tc.all,
				r.Items[0].Trials)
		}
	}
}

// Copies of a shape share the ways among them, and every one is confirmed in the way that is named.
func TestCopiesShareTheRuns(t *testing.T) {
	testrun.NotForRaces(t)
	j := thinJob(t)
	var parts []drawing.Part
	for k := range 6 {
		parts = append(parts, part(rectangle(20+40*float64(k), 20, 25, 25)))
	}
	runs := 0
	r, err := Judge(&drawing.Drawing{Parts: parts}, j, Options{Tool: -1}, road(t, &runs))
	if err != nil {
		t.Fatal(err)
	}
	if runs > 3 {
		t.Errorf("%d runs for six copies, want one plain, one with care, one to confirm", runs)
	}
	for _, i := range r.Items[:6] {
		if i.Class != dryrun.WithCare || i.Way != r.Items[0].Way || !i.Trials[i.Way].Holds {
			t.Errorf("part %d: %s, %s", i.Part, i.Class, i.Way)
		}
		for _, w := range cares {
			if !i.Trials[w].Tried {
				t.Errorf("part %d: %s was not tried on any copy", i.Part, w)
			}
		}
	}
}

func TestOffcutsAndPartsInHoles(t *testing.T) {
	testrun.NotForRaces(t)
	r := judged(t, thinJob(t), Options{Tool: -1}, part(rectangle(20, 20, 200, 150), rectangle(50, 50, 120, 90),
		disc(35, 35, 2), disc(205, 35, 8)), part(rectangle(80, 65, 60, 60)))
	var names []string
	for _, i := range r.Items {
		names = append(names, fmt.Sprintf("%s %d.%d %.0f %v", i.Kind, i.Part, i.Hole, i.AreaMM2, i.MilledAway))
	}
	want := []string{"offcut 1.1 7200 false", "offcut 1.3 201 true", "part 1.0 18986 false", "part 2.0 3600 false",
		"sheet 0.0 0 false"}
	if strings.Join(names, ";") != strings.Join(want, ";") {
		t.Errorf("items %q, want %q", names, want)
	}
	for _, i := range r.Items {
		if !i.MilledAway && math.IsNaN(i.Trials[OnePass].Margin) {
			t.Errorf("%s %d.%d has no margin", i.Kind, i.Part, i.Hole)
		}
	}
	if len(r.Notes) != 1 || !strings.Contains(r.Notes[0].Message, "hole 2 of part 1 (4 x 4 mm) is too narrow") {
		t.Errorf("notes %v", r.Notes)
	}
}

func TestPlaces(t *testing.T) {
	j := thinJob(t)
	at, moved, err := place([]drawing.Part{part(rectangle(20, 20, 100, 50))}, j)
	if err != nil || moved || len(at) != 1 || at[0] != (orb.Point{}) {
		t.Errorf("on the stock: %v, %v, %v", at, moved, err)
	}
	// 74 m away: to the middle of the blank, and by half a groove's pitch of 20 mm.
	at, moved, err = place([]drawing.Part{part(rectangle(74000, -50, 100, 50))}, j)
	if err != nil || !moved || len(at) != 4 || at[0] != (orb.Point{-73900, 125}) || at[3] != (orb.Point{-73890, 135}) {
		t.Errorf("far away: %v, %v, %v", at, moved, err)
	}
	if _, _, err = place([]drawing.Part{part(rectangle(0, 0, 301, 50))}, j); err == nil ||
		!strings.Contains(err.Error(), "301 x 50 mm and do not fit the blank of 300 x 200 mm") {
		t.Errorf("too large: %v", err)
	}
}

func TestWhatIsAssumedIsSaid(t *testing.T) {
	testrun.NotForRaces(t)
	r := judged(t, thinJob(t), Options{Tool: -1}, part(rectangle(20, 20, 200, 150)))
	all := strings.Join(r.Assumed, "\n")
	for _, want := range []string{"no order, depth or feed", "feed F2160", "spindle speed S18000",
		"thin last pass takes 0.5 mm",
		"skin is 0.15 mm", "where they are drawn"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not among what is assumed:\n%s", want, all)
		}
	}
	r = judged(t, thinJob(t), Options{Tool: 1, FeedMMMin: 900, RPM: 12000, Care: Care{ClosingMM: 0.3, SkinMM: 0.2,
		TabHighMM: 0.5}}, part(rectangle(20, 20, 200, 150)))
	for _, not := range []string{"feed F", "spindle speed", "last pass takes", "skin is", "up to"} {
		if strings.Contains(strings.Join(r.Assumed, "\n"), not) {
			t.Errorf("%q is assumed though it is given", not)
		}
	}
}

// Paths are found side by side, each as if it were the only one.
func TestPathsAreFoundSideBySide(t *testing.T) {
	var items []Item
	for k := range 8 {
		ring := rectangle(0, 0, 30+5*float64(k), 20)
		items = append(items, newItem(PartItem, k+1, drawing.Outline{Ring: ring, Line: 1}, orb.Polygon{ring}))
	}
	g := &judge{choices: &choices{}, workers: 4}
	g.tool.DiameterMM = 6
	for i, path := range g.follow(items) {
		alone := dryrun.Follow(items[i].Outline[0], false, 6)
		if len(path.Loops) != 1 || !slices.Equal(path.Loops[0], alone.Loops[0]) {
			t.Errorf("part %d: %v, alone %v", i+1, path.Loops, alone.Loops)
		}
	}
}
