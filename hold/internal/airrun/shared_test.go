package airrun

import (
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// freed is the record of a program that cuts a disc out of stock of some height, in two passes of which the last takes
// 1 mm, and what is asked of its air.
func freed(t *testing.T, highMM, radiusMM float64) (Input, *sweep.Record) {
	t.Helper()
	at := func(x, z float64) parse.Point { return parse.Point{X: x, Y: 20, Z: z} }
	x := 30 + radiusMM
	moves := []parse.Move{
		{Kind: parse.Rapid, Start: at(0, highMM+5), End: at(x, highMM+5), LengthMM: x},
	}
	for from, to := highMM+5, 1.0; to > -1; from, to = to, to-1.1 {
		moves = append(moves,
			parse.Move{Kind: parse.Feed, Start: at(x, from), End: at(x, to), LengthMM: from - to, FeedMMMin: 300},
			parse.Move{Kind: parse.Arc, Start: at(x, to), End: at(x, to), Centre: at(30, to), TurnRad: 2 * math.Pi,
				LengthMM: 2 * math.Pi * radiusMM, FeedMMMin: 900})
	}
	for i := range moves {
		moves[i].Line, moves[i].Tool, moves[i].RPM, moves[i].Spindle = int32(i+1), 1, 18000, parse.SpindleClockwise
	}
	area := orb.Bound{Max: orb.Point{60, 40}}.ToPolygon()
	stock := sweep.Stock{Blanks: []sweep.Blank{{Outline: area, TopMM: highMM}}}
	rec, err := sweep.Run(parse.NewMoves(moves...), map[int]sweep.Tool{1: {Number: 1, Shape: sweep.Flat,
		DiameterMM: 6}},
		stock, sweep.Options{CellMM: 0.5, LayerMM: 0.75})
	if err != nil {
		t.Fatal(err)
	}
	in := Input{Epochs: []Epoch{{Until: rec.Pieces[1].Freed, Pieces: []int32{1, 2}, Open: []bool{true}}}}
	in.Job = job.Job{Stock: job.Stock{Stock: stock}, Zones: []job.Zone{{Name: "A", Area: area, Open: true}},
		Layer: &job.Layer{ThicknessMM: 0.75, ThroughM2: 3e-13, AlongM2: 3e-13}}
	return in, rec
}

// The air under tight work is that of all heights of the stock, but not of other cuts; that under work that breathes is
// of one height only.
func TestAirIsSharedByHeightsOfTightStock(t *testing.T) {
	for _, c := range []struct {
		highMM, radiusMM, through float64
		shared                    bool
	}{{12, 9, 0, true}, {12, 8, 0, false}, {12, 9, 1e-12, false}} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			var s Shared
			var runs []*Run
			for _, of := range [][2]float64{{6, 9}, {c.highMM, c.radiusMM}} {
				in, rec := freed(t, of[0], of[1])
				in.Job.Stock.Material.Through.Likely = c.through
				run := s.Run(in, rec)
				if _, err := run.Step(0); err != nil {
					t.Fatal(err)
				}
				runs = append(runs, run)
			}
			if got := runs[0] == runs[1]; got != c.shared {
				t.Errorf("shared: %v, want %v", got, c.shared)
			}
		})
	}
}

// The runs that were used last are kept.
func TestRunsUsedLastAreKept(t *testing.T) {
	var s Shared
	in, rec := freed(t, 6, 9)
	first := s.Run(in, rec)
	for k := range 2 * mostRuns {
		other := in
		other.Epochs = []Epoch{{Until: sweep.Progress(k)}}
		s.Run(other, rec)
		if k%2 == 0 && s.Run(in, rec) != first {
			t.Fatalf("a run that is used again and again is gone after %d others", k+1)
		}
	}
	if len(s.runs) != mostRuns {
		t.Errorf("%d runs are kept, want %d", len(s.runs), mostRuns)
	}
}
