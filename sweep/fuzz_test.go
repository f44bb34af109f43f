package sweep

import (
	"encoding/binary"
	"math"
	"math/rand"
	"testing"

	"staydown/parse"
)

// fuzzMoves reads moves from bytes: kind, tool and plane, then six coordinates as 16-bit steps of a hundredth, now and
// then as raw floats.
func fuzzMoves(data []byte) []parse.Move {
	var moves []parse.Move
	at := parse.Point{X: 10, Y: 10, Z: 5}
	word := func(scale float64) float64 {
		if len(data) < 2 {
			return 0
		}
		v := int16(binary.LittleEndian.Uint16(data))
		data = data[2:]
		return float64(v) * scale
	}
	for len(data) > 2 && len(moves) < 60 {
		op, tl := data[0], data[1]
		data = data[2:]
		m := parse.Move{Kind: parse.Kind(op % 4), Plane: parse.Plane(op >> 2 % 3), Tool: int32(tl%6) + 1,
			Line: int32(len(moves) + 1), Start: at}
		m.End = parse.Point{X: word(0.002), Y: word(0.002), Z: word(0.0003)}
		if m.Kind == parse.Arc {
			m.Centre = parse.Point{X: word(0.002), Y: word(0.002), Z: word(0.0003)}
			m.TurnRad = word(0.001)
		}
		if op == 255 && len(data) >= 8 {
			m.End.X = math.Float64frombits(binary.LittleEndian.Uint64(data))
			data = data[8:]
		}
		if m.Kind == parse.Dwell {
			m.End = at
		}
		if op&64 != 0 {
			m.Start = m.Centre // a jump: moves need not hang together
		}
		at = m.End
		moves = append(moves, m)
	}
	return moves
}

// fuzzTools has one of each shape.
func fuzzTools() map[int]Tool {
	return map[int]Tool{
		1: {Number: 1, Shape: Flat, DiameterMM: 6, ReachMM: 4}, 2: {Number: 2, Shape: Ball, DiameterMM: 4},
		3: {Number: 3, Shape: Bull, DiameterMM: 8, CornerMM: 2},
		4: {Number: 4, Shape: Vee, DiameterMM: 10, AngleRad: 1}, 5: {Number: 5, Shape: Drill, DiameterMM: 5,
			AngleRad: 2}, 6: {Number: 6, Shape: Flat, DiameterMM: 1.5},
	}
}

// The sweep that looks for nothing but cuts through the stock, used on the local grids, gives the same moments as the
// full one, cell by cell, for any moves.
func TestTheQuickSweepAgreesWithTheFullOne(t *testing.T) {
	compared := 0
	for seed := range int64(40) {
		rnd := rand.New(rand.NewSource(seed))
		data := make([]byte, rnd.Intn(600))
		rnd.Read(data)
		moves := fuzzMoves(data)
		s, err := prepare(movesOf(moves), fuzzTools(), plate(50, 40, 6), options{CellMM: 0.5})
		if err != nil {
			continue
		}
		run := func(only bool) *cells {
			c := newCells(s.grid, s.stock, newClock(movesOf(moves), s.grid.CellMM/ticksPerCell))
			c.lay(s.grid, s.stock, new(shed))
			d := newDriver(s, c, nil)
			d.only, d.asked = only, span{0, tickNever}
			for _, k := range d.kernels {
				k.only = only
			}
			d.drive()
			return c
		}
		full, quick := run(false), run(true)
		for y := 0; y < s.grid.NY; y++ {
			for x := 0; x < s.grid.NX; x++ {
				p, q := full.cutTick(x, y), quick.cutTick(x, y)
				if p != q {
					t.Fatalf("seed %d: cell %d, %d at %v and %v", seed, x, y, full.clock.progress(p),
						quick.clock.progress(q))
				}
				if p >= firstTick && p != tickNever {
					compared++
				}
			}
		}
	}
	if compared < 10000 {
		t.Errorf("only %d cells were cut through", compared)
	}
}

func FuzzRun(f *testing.F) {
	f.Add([]byte("\x01\x00\x10\x10\x10\x10\x00\x90\x01\x00\x70\x10\x10\x60\x00\x90"))
	f.Add([]byte("\x02\x01\x10\x10\x10\x10\x00\x90\x20\x20\x20\x20\x00\x00\x00\x70\x06\x03abcdefghijklmn"))
	f.Add([]byte("\xff\x02\x10\x10\x10\x10\x00\x90\x00\x00\x00\x00\x00\x00\xf8\x7f"))
	f.Add([]byte("\x41\x02\x10\x10\x10\x10\x00\x90zzzzyyyyxxxxwwwwvvvvuuuu\x0a\x04aaaabbbbccccdddd"))
	tools := fuzzTools()
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := Run(movesOf(fuzzMoves(data)), tools, plate(50, 40, 6), Options{CellMM: 0.5})
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
		for _, s := range r.Steps {
			if s.From > s.To || s.VolumeMM3 < 0 || s.RightRad > s.LeftRad {
				t.Fatalf("%+v", s)
			}
			for _, id := range r.Touched(&s) {
				if id < 1 || int(id) > len(r.Pieces) {
					t.Fatalf("%+v", s)
				}
			}
		}
	})
}
