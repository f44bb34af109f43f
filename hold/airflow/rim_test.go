package airflow

import (
	"math"
	"sync"
	"testing"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// The grooves of a zone lie anywhere below its rim, so the plenum ends half a land short of it: 7.5 mm at a pitch of
// 20 mm and grooves of 5 mm, which is 0.4167 of the board's 18 mm. Each mm of rim leaks (2/pi) ln(4/tanh(pi
// 0.4167/2)) - 0.74245 = 0.4927 times 18 mm (closed form at rimLeak, by hand), so four sides of 200 mm leak 7095 mm2.
func TestRimOverGroovesEndsHalfALandShort(t *testing.T) {
	m := mustModel(t, sheettest.New(200, 200, 0, 0.5), Options{CellMM: 2, Tol: 1e-9}, func(j *testJob) {
		j.Layer.ThicknessMM = 18
		j.Zones[0].Groove = &job.Groove{PitchMM: 20, WidthMM: 5}
	})
	if got, want := m.air.LeakMM2[cells.LayerRim], 7095.0; math.Abs(got/want-1) > 0.005 {
		t.Errorf("the rim leaks %.1f mm2, want %.1f", got, want)
	}
}

// A blower with a measured curve that dips has three working points with this leak. The vacuum stops at the weakest,
// which lies between ambient pressure and the dip. At 0.8 of the standard atmosphere the dip, 90 kPa in the curve,
// lies at 72 kPa, and between it and ambient pressure the flow is 10 + 90 (p - 72000)/(81060 - 72000) m3/h: 69.603
// m3/h at 78 kPa. The conductance is the one that lets in so much there: (pa^2 - p^2) G/(2 mu) = p Q. Source: closed
// form.
func TestDipOfACurveAtAltitude(t *testing.T) {
	const pa, p, mu = 0.8 * 101325, 78000.0, 1.813e-5
	q := (10 + 90*(p-72000)/(pa-72000)) / 3600
	pump := job.Pump{Kind: job.SideChannel, FlowM3h: 100, UltimatePa: 10000, Curve: []job.PumpPoint{
		{AbsolutePa: 101325, FlowM3h: 100}, {AbsolutePa: 90000, FlowM3h: 10}, {AbsolutePa: 80000, FlowM3h: 1000},
	}}
	state, err := Operate(pump, pa, Leak{ConductanceM3: 2 * mu * p * q / (pa*pa - p*p)})
	if err != nil {
		t.Fatal(err)
	}
	sheettest.CloseTo(t, "pressure of the weakest working point", state.ChuckPa, p, 1e-9)
}

// A cell belongs to what holds its center: those that a plunge of a 6 mm tool at X57.5 Y41.5 cuts lie within 3 mm of
// it, and as many on either side, so their mean is the middle to a small part of a cell.
func TestCellsAreSparedByTheirCentres(t *testing.T) {
	const x0, y0, cell = 57.5, 41.5, 0.5
	prog := parse.Read([]byte("G21 G90\nT1 M6\nS9000 M3\nG0 X57.5 Y41.5 Z5\nG1 Z-6.1 F100\nG0 Z5\nM30\n"),
		parse.Options{
			Name: "hole.nc", RapidMMMin: 10000, Tools: map[int]parse.Tool{1: {DiameterMM: 6}},
		})
	j := sheettest.OpenTable(100, 80, 1, 3e-13)
	stock := sweep.Stock{BottomMM: -6, Blanks: []sweep.Blank{{Outline: sheettest.Box(0, 0, 100, 80)}}}
	tools := map[int]sweep.Tool{1: {Shape: sweep.Flat, DiameterMM: 6}}
	rec, err := sweep.Run(&prog.Moves, tools, stock, sweep.Options{CellMM: cell, LayerMM: 1})
	if err != nil {
		t.Fatal(err)
	}
	seen := map[[2]float64]bool{}
	var seeing sync.Mutex // the question is asked by several workers at once
	if _, err := LeakWithout(j, rec, sweep.Progress(prog.Moves.Len()), func(x, y float64, cut sweep.Progress) bool {
		if cut > 0 {
			seeing.Lock()
			defer seeing.Unlock()
			seen[[2]float64{x, y}] = true
		}
		return false
	}); err != nil {
		t.Fatal(err)
	}
	var n, sumX, sumY float64
	for at := range seen {
		if r := math.Hypot(at[0]-x0, at[1]-y0); r > 3 {
			t.Errorf("the cell at X%g Y%g is %.3f mm off", at[0], at[1], r)
		}
		n, sumX, sumY = n+1, sumX+at[0], sumY+at[1]
	}
	if want := math.Pi * 9 / cell / cell; math.Abs(n-want) > 0.1*want {
		t.Errorf("%g cells, want about %.0f", n, want)
	}
	if math.Abs(sumX/n-x0) > cell/10 || math.Abs(sumY/n-y0) > cell/10 {
		t.Errorf("their middle is X%.3f Y%.3f, want X%g Y%g", sumX/n, sumY/n, x0, y0)
	}
}
