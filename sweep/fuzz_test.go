package sweep

import (
	"math"
	"testing"

	"staydown/internal/testrun"
	"staydown/parse"
	"staydown/sweep/internal/testprog"
)

func FuzzRun(f *testing.F) {
	testrun.NotForRaces(f)
	f.Add([]byte("\x01\x00\x10\x10\x10\x10\x00\x90\x01\x00\x70\x10\x10\x60\x00\x90"))
	f.Add([]byte("\x02\x01\x10\x10\x10\x10\x00\x90\x20\x20\x20\x20\x00\x00\x00\x70\x06\x03abcdefghijklmn"))
	f.Add([]byte("\xff\x02\x10\x10\x10\x10\x00\x90\x00\x00\x00\x00\x00\x00\xf8\x7f"))
	f.Add([]byte("\x41\x02\x10\x10\x10\x10\x00\x90zzzzyyyyxxxxwwwwvvvvuuuu\x0a\x04aaaabbbbccccdddd"))
	tools := testprog.AllShapes()
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := Run(parse.NewMoves(testprog.FromBytes(data)...), tools, testprog.Plate(50, 40, 6),
			Options{CellMM: 0.5})
		if err != nil {
			return
		}
		if !(r.RemovedMM3 >= 0 && r.RemovedMM3 <= r.StockMM3) {
			t.Fatalf("removed %g of %g", r.RemovedMM3, r.StockMM3)
		}
		sum := 0.0
		for _, p := range r.Pieces {
			sum += p.FinalAreaMM2
			if p.Parent >= p.ID || p.Freed < 0 || math.IsNaN(p.AreaMM2) {
				t.Fatalf("%+v", p)
			}
		}
		for _, h := range r.Hanging {
			sum -= r.Pieces[h].FinalAreaMM2
		}
		if sum > 50*40+1e-6 {
			t.Fatalf("pieces of %g mm2 out of 2000", sum)
		}
		for _, s := range r.Steps.All() {
			if s.From > s.To || s.VolumeMM3 < 0 || s.RightRad > s.LeftRad {
				t.Fatalf("%+v", s)
			}
			for _, id := range r.Touched(s) {
				if id < 1 || int(id) > len(r.Pieces) {
					t.Fatalf("%+v", s)
				}
			}
		}
	})
}
