package outline

import (
	"math"
	"strings"
	"testing"

	"staydown/hold"
	"staydown/hold/dryrun"
	"staydown/hold/job"
	"staydown/internal/testrun"
	"staydown/parse"
	"staydown/parse/drawing"
)

// A drawing of many parts takes two runs, the first with a few copies in each way, and no part comes out safer than in
// a whole check of the program that is written out.
func TestManyPartsTakeTwoRuns(t *testing.T) {
	testrun.NotForRaces(t)
	text := strings.NewReplacer(`"-6 mm"`, `"-2 mm"`, `"6 mm"]`, `"2 mm"]`).Replace(benchJob(420, 270)) +
		"[grid]\ncell = \"1 mm\"\n"
	j, err := job.Parse("job.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	const columns, rows = 13, 8
	var parts []drawing.Part
	for k := range columns * rows {
		parts = append(parts, part(rectangle(15+31*float64(k%columns), 12+31*float64(k/columns), 20, 16)))
	}
	runs := 0
	r, err := Judge(&drawing.Drawing{Parts: parts}, j, Options{Tool: -1}, road(t, &runs))
	if err != nil {
		t.Fatal(err)
	}
	if runs != 2 {
		t.Errorf("%d runs, want 2", runs)
	}
	way := r.Items[0].Way
	if way == OnePass {
		t.Fatal("the parts need no care, so the test says little")
	}
	checked, err := road(t, &runs)(parse.Read(r.Program, j.Reading("dry.nc")), j, hold.Options{NoRemedies: true})
	if err != nil {
		t.Fatal(err)
	}
	g := &judge{items: r.Items}
	for k, own := range g.match(checked)[:columns*rows] {
		i := r.Items[k]
		if i.Class != dryrun.WithCare || i.Way != way {
			t.Errorf("part %d: %s, %s", i.Part, i.Class, i.Way)
		}
		if told := i.Trials[way]; told.Margin > own.Margin*(1+1e-9) || told.Low > own.Low*(1+1e-9) {
			t.Errorf("part %d: margin %.4f, low end %.4f; in a whole check %.4f, %.4f", i.Part, told.Margin, told.Low,
				own.Margin, own.Low)
		}
		for _, w := range append([]Way{OnePass}, cares...) {
			if !i.Trials[w].Tried || math.IsNaN(i.Trials[w].Margin) {
				t.Errorf("part %d: %s was tried on no copy", i.Part, w)
			}
		}
	}
}

// Of 104 copies two try each way, of 39 one, of 19 none; of a drawing of few parts none. What leaks grows by the kerfs
// that skin and tabs leave closed: by four contours of 104.
func TestWaysOfTheFirstRun(t *testing.T) {
	c := &choices{thickMM: 6, care: Care{ClosingMM: 0.5, SkinMM: 0.15, Tabs: 4, TabWideMM: 6, TabHighMM: 1.5}}
	c.tool.DiameterMM = 6
	path := dryrun.Follow(rectangle(0, 0, 60, 60), false, 6)
	for _, tc := range []struct{ copies, others, want int }{{104, 0, 6}, {39, 80, 3}, {19, 100, 0}, {100, 0, 0}} {
		g := &judge{choices: c}
		for k := range tc.copies + tc.others {
			first := 0
			if k >= tc.copies {
				first = k // alone of its shape
			}
			g.alike, g.paths = append(g.alike, first), append(g.paths, path)
		}
		g.items = make([]Item, len(g.paths)+1)
		how := g.firstWays()
		count := [ways]int{}
		for _, w := range how {
			count[w]++
		}
		each := tc.want / 3
		if count[ThinPass] != each || count[Skin] != each || count[Tabs] != each {
			t.Errorf("%d copies: %v in each way, want %d", tc.copies, count, each)
		}
		if tc.copies == 104 {
			if got, want := g.unopened(how), 104.0/100; math.Abs(got-want) > 1e-9 {
				t.Errorf("leaks are taken %.4f times, want %.4f", got, want)
			}
		}
	}
}
