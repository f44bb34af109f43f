package hold

import (
	"math"
	"strings"
	"testing"

	"staydown/hold/result"
)

// Where the air of a program gets in sums to the leak of the moment of least vacuum, and each way that is there lets
// something in: bare table beside the stock, a kerf, a drilled hole, the stock's and the layer's rim, hoses, and raw
// board; a cut inside a cord is a way of its own.
func TestLeaksByWay(t *testing.T) {
	const program = "G21 G90 G17\nT1 M6\nS18000 M3\nG0 X250 Y250 Z5\nG1 Z-12 F300\nG0 Z5\nG0 X60 Y60\nG1 Z-12 " +
		"F300\nX160 F1800\nG0 Z5\nM30\n"
	table := strings.NewReplacer(`["500 mm","400 mm"]`, `["600 mm","450 mm"]`, `leak = "0 m3/h"`, `leak = "3 m3/h"`,
		"flow = \"50000 m3/h\"", "flow = \"60 m3/h\"",
		`edge = "sealed"`, `edge = "open"`)
	for _, row := range []struct {
		name, job string
		none      func(result.Leaks) []float64 // ways that let nothing in
		some      func(result.Leaks) []float64
	}{
		{"raw board", table.Replace(boardOnBoard(`material = "raw"`)),
			func(l result.Leaks) []float64 { return []float64{l.Gaskets} },
			func(l result.Leaks) []float64 {
				return []float64{l.Bare, l.Kerfs, l.Holes, l.Rim, l.Work, l.LayerRim, l.Hoses}
			}},
		{"acrylic", table.Replace(boardOnBoard(`material = "pmma"`)),
			func(l result.Leaks) []float64 { return []float64{l.Gaskets, l.Work} },
			func(l result.Leaks) []float64 { return []float64{l.Bare, l.Kerfs, l.Holes, l.Rim, l.LayerRim, l.Hoses} }},
		{"cord", strings.Replace(strings.Replace(gasketed("rotary-vane", 400, "20 mbar"), `"200 mm", "150 mm"`,
			`"500 mm", "400 mm"`, 1), `["180 mm","130 mm"]`, `["300 mm","300 mm"]`, 1),
			func(l result.Leaks) []float64 {
				return []float64{l.Bare, l.Kerfs, l.Holes, l.Rim, l.Work, l.LayerRim, l.Hoses}
			}, func(l result.Leaks) []float64 { return []float64{l.Gaskets} }},
	} {
		a := roadInFull(t, program, row.job)
		l := a.Result.LeakM3h
		for i, way := range row.none(l) {
			if way != 0 {
				t.Errorf("%s: way %d lets in %g m3/h: %+v", row.name, i, way, l)
			}
		}
		for i, way := range row.some(l) {
			if !(way > 1e-3) {
				t.Errorf("%s: way %d lets in %g m3/h: %+v", row.name, i, way, l)
			}
		}
		sum := l.Bare + l.Kerfs + l.Holes + l.Rim + l.Work + l.LayerRim + l.Gaskets + l.Hoses
		last := a.air[len(a.air)-1].state
		if math.Abs(sum-last.LeakM3h) > 1e-9*sum || a.Result.Vacuum.LeastKPa != last.VacuumPa()/1000 {
			t.Errorf("%s: ways sum to %g m3/h, the leak is %g", row.name, sum, last.LeakM3h)
		}
	}
}
