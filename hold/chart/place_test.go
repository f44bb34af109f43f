package chart

import (
	"testing"

	"staydown/hold"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/hold/sweepjob"
	"staydown/internal/testrun"
)

// A grooved table. Every figure is an example.
const fineJob = `
[stock]
corner   = ["0 mm", "0 mm", "-4 mm"]
size     = ["240 mm", "160 mm", "4 mm"]
material = "aluminium-wrought"
[layer]
material = "porous-card"
[[zone]]
name   = "A"
area   = [["0 mm", "0 mm"], ["240 mm", "160 mm"]]
groove = { pitch = "20 mm", width = "5 mm" }
[pump]
kind = "rotary-vane"
flow = "100 m3/h"
[[tool]]
number   = 1
diameter = "6 mm"
flutes   = 2
`

// road is the road of check.
func road(d DryRuns) (results []*result.Result, err error) {
	swept, j := d.Swept, d.Job
	opt := sweepjob.Options(swept, j)
	opt.Neck = sweepjob.Neck(swept, j)
	rec, err := sweepjob.Sweeper(swept, j, opt)(j.Stock.BottomMM)
	if err != nil {
		return nil, err
	}
	for _, prog := range d.Programs {
		a, err := hold.Check(prog, rec, j, hold.Options{Workers: 1, NoRemedies: true, Figures: hold.NoFigures,
			NoPictures: true, AllOpen: true})
		if err != nil {
			return nil, err
		}
		results = append(results, a.Result)
	}
	return results, nil
}

// In the place that is found with parts in other places beside it a part holds, cut alone, at most a twentieth better
// than in the place where it holds least.
func TestPlaceFoundWithOthersBeside(t *testing.T) {
	testrun.NotForRaces(t)
	j, err := job.Parse("job.toml", []byte(fineJob))
	if err != nil {
		t.Fatal(err)
	}
	if !testrun.Long {
		j.CellMM = 1 // a fifth of a groove
	}
	o := Options{Tool: -1, FeedsMMMin: []float64{1600}, SizesMM: []float64{20, 63}, DepthsMM: []float64{0.5}}
	tab, err := newTable(j, o)
	if err != nil {
		t.Fatal(err)
	}
	f := newFinder(tab, road, o)
	spread, together := 0.0, 0
	for s := range shapes {
		for size := range tab.sizes {
			k := trialKey{s, size, cut{way: Pass, depth: len(tab.depths) / 2}}
			chosen, ok, err := f.leastFavourable(k)
			if err != nil {
				t.Fatal(err)
			}
			if !ok {
				continue // no room
			}
			together = max(together, len(tab.sideBySide(s, []int{0, 1})[0]))
			var least, most, here float64
			for _, p := range tab.places {
				trials, err := f.runIn(k, p, []int{0})
				if err != nil {
					t.Fatal(err)
				}
				if len(trials) == 0 {
					continue
				}
				m := trials[0].low()
				if least == 0 || m < least {
					least = m
				}
				if most = max(most, m); p == chosen {
					here = m
				}
			}
			spread = max(spread, most/least)
			if here > 1.05*least {
				t.Errorf("%s of %g mm: %.4f in the place chosen, %s, and %.4f in another", s, tab.sizes[size], here,
					chosen, least)
			}
		}
	}
	if together < 4 {
		t.Errorf("at most %d parts are cut together", together)
	}
	if spread < 1.2 {
		t.Errorf("the places differ by a factor of %.2f, so the comparison says little", spread)
	}
}
