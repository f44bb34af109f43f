package dryrun

import (
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

const plate = `
[stock]
corner   = ["0 mm", "0 mm", "-6 mm"]
size     = ["200 mm", "150 mm", "6 mm"]
material = "aluminium-wrought"
[layer]
material  = "porous-card"
cut_limit = "0.4 mm"
[[zone]]
name = "A"
area = [["0 mm", "0 mm"], ["200 mm", "150 mm"]]
[pump]
kind = "rotary-vane"
flow = "100 m3/h"
[[tool]]
number   = 1
shape    = "flat"
diameter = "6 mm"
[[tool]]
number   = 2
shape    = "drill"
diameter = "5 mm"
`

func mustJob(t *testing.T, text string) *job.Job {
	t.Helper()
	j, err := job.Parse("job.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return j
}

var slow = Cut{Tool: 1, FeedMMMin: 1200, RPM: 18000}

// swept writes contours and sweeps them.
func swept(t *testing.T, j *job.Job, cut Cut, contours ...Contour) (*parse.Program, *sweep.Record) {
	t.Helper()
	text, prog, err := Write("dry.nc", contours, cut, j)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range prog.Notes {
		t.Errorf("%s: %s", n.Pos, n.Message)
	}
	tools := map[int]sweep.Tool{1: j.Tools[1].Tool}
	rec, err := sweep.Run(&prog.Moves, tools, j.Stock.Stock, sweep.Options{CellMM: 0.25})
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return prog, rec
}

func TestWriteCutsWhatTheOutlinesSay(t *testing.T) {
	square, hole := rectangle(40.1, 39.93, 60, 60), disc(70.13, 70.07, 20)
	contours := []Contour{{Path: Follow(hole, true, 6)}, {Path: Follow(square, false, 6)}}
	moved := plate + "[[origin]]\nsystem = \"G55\"\nat = [\"100 mm\", \"-50 mm\", \"3 mm\"]\n"
	bare := strings.Replace(plate, "[layer]\nmaterial  = \"porous-card\"\ncut_limit = \"0.4 mm\"\n", "", 1)
	for _, text := range []string{plate, moved, bare} {
		for _, care := range []Care{{}, {ClosingMM: 0.5}} {
			for i := range contours {
				contours[i].Care = care
			}
			_, rec := swept(t, mustJob(t, text), slow, contours...)
			if len(rec.Pieces) != 3 {
				t.Fatalf("%d pieces, want sheet, offcut and part", len(rec.Pieces))
			}
			// The offcut is a disc of 20 mm less the kerf; the part a square of 60 mm less the hole.
			for i, want := range []float64{math.Pi * 14 * 14, 3600 - math.Pi*400} {
				// A cell's center decides: within half a cell along the border.
				if got := rec.Pieces[i+1].AreaMM2; math.Abs(got-want) > 0.004*want {
					t.Errorf("piece %d has %.1f mm2, want %.1f", i+2, got, want)
				}
			}
		}
	}
}

// However small the leak is of what is cut after a part in some program, here all other kerfs are open first.
func TestWriteOpensAllKerfsFirst(t *testing.T) {
	var contours []Contour
	for x := range 3 {
		contours = append(contours, Contour{Path: Follow(rectangle(10+60*float64(x), 20, 40, 40), false, 6)})
	}
	prog, rec := swept(t, mustJob(t, plate), slow, contours...)
	if len(rec.Pieces) != 4 {
		t.Fatalf("%d pieces, want 4", len(rec.Pieces))
	}
	cut := 0.0
	freed := float64(rec.Pieces[1].Freed)
	for i := range int(math.Ceil(freed)) {
		if m := prog.Moves.At(i); m.Kind == parse.Feed && m.End.Z < -6 && m.Start.Z < -6 {
			cut += m.LengthMM * math.Min(1, freed-float64(i))
		}
	}
	// Each path is 160 + 6 pi mm long; all but 18 mm of each, and then 18 mm of the first but for the tool's diameter,
	// come before it is free.
	if want := 3*(160+6*math.Pi-18) + 18 - 6; math.Abs(cut-want) > 1 {
		t.Errorf("%.1f mm are cut through before the first part is free, want %.1f", cut, want)
	}
}

func TestWriteClearsHoles(t *testing.T) {
	for _, ring := range []orb.Ring{disc(70, 70, 8.9), rectangle(50, 60, 60, 17)} {
		_, rec := swept(t, mustJob(t, plate), slow, Contour{Path: Clear(ring, 6)},
			Contour{Path: Follow(rectangle(20, 20,
				100, 100), false, 6)})
		if len(rec.Pieces) != 2 || math.Abs(rec.Pieces[1].AreaMM2-1e4+planar.Area(ring)) > 12 {
			t.Errorf("%d pieces, want sheet and part; the part has %.1f mm2, want %.1f", len(rec.Pieces),
				rec.Pieces[1].AreaMM2, 1e4-planar.Area(ring))
		}
	}
}

func TestWriteLeavesSkinAndTabs(t *testing.T) {
	ring := rectangle(40, 40, 60, 60)
	for _, tc := range []struct {
		name    string
		care    Care
		section float64
	}{
		{"four tabs of 6 by 1.5 mm", Care{Tabs: 4, TabWideMM: 6, TabHighMM: 1.5}, 36}, // design: wherever they sit
		// The shortest line in the kerf is that round the part.
		{"four tabs under a thin last pass", Care{Tabs: 4, TabWideMM: 6, TabHighMM: 1.5, ClosingMM: 0.5}, 36},
		{"skin of 0.2 mm", Care{SkinMM: 0.2}, 0.2 * 240},
		{"skin of 0.2 mm under a thin pass", Care{SkinMM: 0.2, ClosingMM: 0.5}, 0.2 * 240},
	} {
		_, rec := swept(t, mustJob(t, plate), slow, Contour{Path: Follow(ring, false, 6), Care: tc.care})
		if len(rec.Hanging) != 1 {
			t.Fatalf("%s: %d pieces hang, want 1", tc.name, len(rec.Hanging))
		}
		if got := rec.Pieces[rec.Hanging[0]].WebMM2; math.Abs(got-tc.section) > 0.03*tc.section {
			t.Errorf("%s: section %.2f mm2, want %.2f", tc.name, got, tc.section)
		}
	}
}

func TestWriteGoesDownInPasses(t *testing.T) {
	for _, tc := range []struct {
		name   string
		pass   float64
		care   Care
		floors []float64
	}{
		{"one pass", 0, Care{}, []float64{-6.2}},
		{"passes of 2 mm", 2, Care{}, []float64{-2.067, -4.133, -6.2}},
		{"thin last pass", 0, Care{ClosingMM: 0.5}, []float64{-5.5, -6.2}},
		{"thin last pass after passes of 3 mm", 3, Care{ClosingMM: 0.5}, []float64{-2.75, -5.5, -6.2}},
		{"skin", 0, Care{SkinMM: 0.3}, []float64{-5.7}},
		{"skin under a thin last pass", 0, Care{SkinMM: 0.3, ClosingMM: 0.5}, []float64{-5.2, -5.7}},
	} {
		tc.care.PassMM = tc.pass
		_, prog, err := Write("dry.nc", []Contour{{Path: Follow(rectangle(40, 40, 60, 60), false, 6), Care: tc.care}},
			slow, mustJob(t, plate))
		if err != nil {
			t.Fatal(err)
		}
		var floors []float64
		for i := range prog.Moves.Len() {
			if m := prog.Moves.At(i); m.Kind == parse.Feed && m.Start.Z != m.End.Z {
				floors = append(floors, m.End.Z)
			}
		}
		if len(floors) != len(tc.floors) {
			t.Fatalf("%s: passes at %v, want %v", tc.name, floors, tc.floors)
		}
		for i := range floors {
			if math.Abs(floors[i]-tc.floors[i]) > 0.001 {
				t.Errorf("%s: passes at %v, want %v", tc.name, floors, tc.floors)
			}
		}
	}
}

func TestWriteRefuses(t *testing.T) {
	square := []Contour{{Path: Follow(rectangle(40, 40, 60, 60), false, 6)}}
	with := func(care Care) []Contour { return []Contour{{Path: square[0].Path, Care: care}} }
	for _, tc := range []struct {
		name     string
		contours []Contour
		cut      Cut
		want     string
	}{
		{"unknown tool", square, Cut{Tool: 7, FeedMMMin: 1200, RPM: 18000}, "no tool 7"},
		{"drill", square, Cut{Tool: 2, FeedMMMin: 1200, RPM: 18000}, "tool 2 is not flat"},
		{"no feed", square, Cut{Tool: 1, RPM: 18000}, "must both be above 0"},
		{"skin as thick as the stock", with(Care{SkinMM: 6}), slow, "a skin of 6 mm"},
		{"last pass as thick as the stock", with(Care{ClosingMM: 6}), slow, "a last pass of 6 mm"},
		{"tabs as high as the stock", with(Care{Tabs: 2, TabWideMM: 6, TabHighMM: 6}), slow, "do not go with"},
		{"too many tabs", with(Care{Tabs: 40, TabWideMM: 6, TabHighMM: 1}), slow, "have no room"},
	} {
		_, _, err := Write("dry.nc", tc.contours, tc.cut, mustJob(t, plate))
		if err == nil || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%s: error %v, want %q", tc.name, err, tc.want)
		}
	}
}
