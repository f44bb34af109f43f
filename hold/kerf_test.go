package hold

import (
	"math"
	"testing"

	"staydown/hold/result"
)

// A straight groove of a flat cutter of radius R over a length L is a capsule of area pi R^2 + 2 R L about its path.
func TestKerfIsACapsuleAboutThePath(t *testing.T) {
	const program = `G21 G90 G17 G94
T1 M6
S18000 M3
G0 X50 Y50 Z5
G1 Z-3 F300
X250 F600
G0 Z5
G0 X50 Y100
G1 Z-6.2 F300
X250 F600
G0 Z5
M30
`
	// Cells of 0.15 mm make 5.3 million, so that squares of 3 x 3 of them are looked at.
	for _, cellMM := range []float64{0.5, 0.15} {
		r := roadInFull(t, program, aPlate().sized(300, 150).on(cellMM)).Result
		checkCapsules(t, r.Kerf, r.Program.DurationS)
	}
}

func checkCapsules(t *testing.T, k result.Kerf, durationS float64) {
	t.Helper()
	if len(k.ThroughS) != k.NX*k.NY || k.NX*k.NY > 1_000_000 {
		t.Fatalf("%d x %d cells and %d values", k.NX, k.NY, len(k.ThroughS))
	}
	type groove struct{ area, momentY, from, to float64 }
	partway, through := groove{}, groove{from: math.Inf(1)}
	cell := k.CellMM * k.CellMM
	for i, at := range k.ThroughS {
		y := k.OriginY + (float64(i/k.NX)+0.5)*k.CellMM
		switch s := float64(at); {
		case math.IsInf(s, 1):
			partway.area += cell
			partway.momentY += cell * y
		case !math.IsNaN(s):
			through.area += cell
			through.momentY += cell * y
			through.from, through.to = math.Min(through.from, s), math.Max(through.to, s)
		}
	}
	want := math.Pi*3*3 + 2*3*200
	edge := (2*math.Pi*3 + 2*200) * k.CellMM / 2 // the bound: half a cell all round
	for name, g := range map[string]groove{"partway": partway, "through": through} {
		if math.Abs(g.area-want) > edge {
			t.Errorf("%s: %.0f mm2 of kerf, want %.0f within %.0f", name, g.area, want, edge)
		}
	}
	if y := partway.momentY / partway.area; math.Abs(y-50) > k.CellMM/2 {
		t.Errorf("the groove partway lies about Y%.2f, want Y50", y)
	}
	if y := through.momentY / through.area; math.Abs(y-100) > k.CellMM/2 {
		t.Errorf("the groove through the plate lies about Y%.2f, want Y100", y)
	}
	// 200 mm at 10 mm/s, from the end of the plunge, which takes the disc under the cutter, to the end of the feed.
	if took := through.to - through.from; math.Abs(took-20) > 0.3 {
		t.Errorf("cutting through takes %.2f s, want 20 s", took)
	}
	if !(through.to < durationS) {
		t.Errorf("cut through at %.2f s of %.2f s", through.to, durationS)
	}
}
