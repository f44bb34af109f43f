package sweep

import (
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"
	"unsafe"

	"staydown/internal/testrun"
	"staydown/parse"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/testprog"
)

// surfacing is the text of a surface finished in so many blocks of 0.1 mm, pass beside pass, on a blank of 40 x 40 mm.
func surfacing(blocks int) []byte {
	var b strings.Builder
	b.WriteString("G21 G90\nT1 M6\nS18000 M3\nG0 X5 Y5\nG1 Z-1 F3000\n")
	const inPass = 300
	for i := range blocks {
		pass, at := i/inPass, i%inPass
		if pass%2 == 1 {
			at = inPass - 1 - at
		}
		x, y := 5+0.1*float64(at), 5+30*float64(i/inPass)/float64(blocks/inPass+1)
		fmt.Fprintf(&b, "G1 X%.3f Y%.3f Z%.3f\n", x, y, -2+math.Sin(x/5)*math.Cos(y/7))
	}
	b.WriteString("G0 Z20\nM30\n")
	return []byte(b.String())
}

// liveBytes is what the heap holds after all garbage is gone.
func liveBytes() int64 {
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}

// A move of a long program is kept as its end, line and table index (32 bytes), a tick, and one step. Whatever else
// stays behind shows: the blank takes less than a byte a move. A program of 20 million such blocks has to be analysed
// below 3 GB.
func TestBytesPerMove(t *testing.T) {
	testrun.NotForRaces(t)
	const moveBytes, tables = 32, 5
	const bound = moveBytes + float64(unsafe.Sizeof(raster.Tick(0))) + float64(unsafe.Sizeof(Step{})) + tables
	src := surfacing(200_000)
	before := liveBytes()
	p := parse.Read(src, parse.Options{Name: "surface.nc"})
	read := float64(liveBytes()-before) / float64(p.Moves.Len())
	opt := Options{CellMM: 0.5, Neck: func(s *Step) Neck {
		return Neck{WidthMM: 1 + float64(s.Move%7), SectionMM2: 10, BendMM2: 10}
	}}
	rec, err := Run(&p.Moves, map[int]Tool{1: {Number: 1, Shape: Ball, DiameterMM: 6}}, testprog.Plate(40, 40, 6), opt)
	if err != nil {
		t.Fatal(err)
	}
	swept := float64(liveBytes()-before) / float64(p.Moves.Len())
	t.Logf("%d moves, %d steps: %.1f bytes a move read, %.1f swept", p.Moves.Len(), rec.Steps.Len(), read, swept)
	if rec.Steps.Len() < p.Moves.Len()*9/10 {
		t.Fatalf("%d moves make only %d steps", p.Moves.Len(), rec.Steps.Len())
	}
	if read > moveBytes+tables {
		t.Errorf("a move takes %.1f bytes when it is read, want at most %d", read, moveBytes+tables)
	}
	if swept > bound {
		t.Errorf("a move takes %.1f bytes with its step, want at most %.0f", swept, bound)
	}
	runtime.KeepAlive(src)
	runtime.KeepAlive(p)
	runtime.KeepAlive(rec)
}
