package hold

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"staydown/hold/doubt"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/sweep"
)

// A part on a skin of 0.1 mm in a sheet that is 0.12 mm thinner at the 5 % point: where the skin is cut through the
// part comes loose for sure, so that its chance is that of a sheet thinner by the skin (closed form), and the low end
// of its margin is that of a whole run over the thinner sheet. Where the sheet is thicker nothing turns.
func TestASkinThatAThinSheetLoses(t *testing.T) {
	p := aPlate()
	p.margin = 1
	const skin, tolerance = 0.1, 0.12
	jobFile := withTolerance(p.toml(), tolerance)
	a := roadOfSheets(t, square(20, 600, 3, 6-skin), jobFile)
	piece := a.Result.Pieces[1]
	if piece.Freed || piece.Least.Margin < 1 {
		t.Fatalf("%+v", piece)
	}
	want := distuv.UnitNormal.CDF(-(skin - sweep.ThroughMM) / tolerance * doubt.Score95)
	if math.Abs(piece.Chance-want) > 0.005 {
		t.Errorf("chance %.3f, want %.3f", piece.Chance, want)
	}
	thin := roadOfSheets(t, square(20, 600, 3, 6), jobFile) // cut through all the same
	if low := thin.Result.Pieces[1].Least.Margin; math.Abs(piece.Least.Low/low-1) > 0.05 {
		t.Errorf("low end %.3f, of a run over the thin sheet %.3f", piece.Least.Low, low)
	}
	if a.Result.Verdict != result.AtRisk || len(riskOf(a.Result, 2)) == 0 ||
		riskOf(a.Result, 2)[0].Decides != "thickness and "+
			"Z zero of the sheet" {
		t.Errorf("%v: %+v", a.Result.Verdict, a.Result.Findings)
	}
	measured := roadOfSheets(t, square(20, 600, 3, 6-skin), withTolerance(p.toml(), skin/4))
	if piece := measured.Result.Pieces[1]; piece.Chance > 0.001 || piece.Least.Low < 1 {
		t.Errorf("measured sheet: %+v", piece)
	}
}

// Where everything is taken to move over rare sheets they are not swept: low ends are no higher, by no more than the 5
// % point falls when it becomes the 3 % point, and the chance is that of the sheet at least. Others are swept as ever.
func TestRareSheetsAreTakenToMove(t *testing.T) {
	p := aPlate()
	p.margin = 1
	const skin = 0.15
	program := square(60, 600, 3, 6-skin)
	for _, c := range []struct {
		toleranceMM float64
		rare        bool // skin over tolerance, in the unit in which the tolerance is 1.645, above 2.05
	}{{0.1, true}, {0.13, false}} {
		j := mustJob(t, withTolerance(p.toml(), c.toleranceMM))
		full := checked(t, program, j, Options{Figures: NoFigures, NoPictures: true}).Result.Pieces[1]
		a := checked(t, program, j, Options{Figures: NoFigures, NoPictures: true, RareSheetsMove: true})
		piece := a.Result.Pieces[1]
		if len(a.ranges.offSheets) != 1 || a.ranges.offSheets[0].moves != c.rare {
			t.Fatalf("tolerance %g mm: off sheets %+v, want one, rare: %v", c.toleranceMM, a.ranges.offSheets, c.rare)
		}
		if !c.rare {
			if piece.Least != full.Least || piece.Chance != full.Chance {
				t.Errorf("%+v, chance %g, want %+v, %g", piece.Least, piece.Chance, full.Least, full.Chance)
			}
			continue
		}
		beyond := distuv.UnitNormal.CDF(-(skin - sweep.ThroughMM) / c.toleranceMM * doubt.Score95)
		if low := piece.Least.Low; low > full.Least.Low || low < 0.9*full.Least.Low || piece.Least.Margin !=
			full.Least.Margin {
			t.Errorf("%+v, swept %+v", piece.Least, full.Least)
		}
		if piece.Chance < full.Chance || piece.Chance < beyond-0.005 {
			t.Errorf("chance %.4f, swept %.4f, of the sheet %.4f", piece.Chance, full.Chance, beyond)
		}
	}
}

// Where a long program is not swept over other sheets, what hangs on a skin that a thin one would lose is never held.
func TestASkinOfASheetThatIsNotSweptIsAtRisk(t *testing.T) {
	p := aPlate()
	p.margin = 1
	for _, c := range []struct {
		deepMM, toleranceMM float64
		verdict             result.Verdict
		stays               bool
	}{
		{5.9, 0.12, result.AtRisk, false}, // 0.1 mm of skin
		// 0.2 mm: more than 1.6 times the tolerance, which one sheet of 200 is thinner by
		{5.8, 0.12, result.Held, false},
		{6.05, 0.1, result.AtRisk, true}, // freed, and a skin in a thick sheet
	} {
		a := road(t, square(100, 600, 3, c.deepMM), withTolerance(p.toml(), c.toleranceMM))
		got, err := Check(a.prog, a.rec, a.job, Options{})
		if err != nil {
			t.Fatal(err)
		}
		warned := slices.ContainsFunc(got.Result.Findings, func(f result.Finding) bool {
			return f.Rule == result.RuleThickness && f.Level == result.LevelWarning
		})
		stays := slices.ContainsFunc(got.Result.Assumed, func(s string) bool {
			return strings.Contains(s,
				"thicker sheets")
		})
		if v := got.Result.Verdict; c.deepMM < 6 && v != c.verdict || warned != (c.verdict == result.AtRisk &&
			!c.stays) ||
			stays != c.stays {
			t.Errorf("%g mm deep, %g mm of tolerance: %v, warned %v, told %v: %+v", c.deepMM, c.toleranceMM, v, warned,
				stays,
				got.Result.Findings)
		}
	}
}

// Without a skin near the tolerance no sheet is swept again, and a sheet that is a little thicker only means a deeper
// last pass: its margin is that of a whole run over it, within 3 %.
func TestAThickerSheetIsALittleMoreWork(t *testing.T) {
	p := aPlate()
	p.margin, p.layerMM = 1, 3 // a thin layer would be cut through
	a := road(t, square(60, 1500, 5.4, 6.33), withTolerance(p.toml(), 0.15))
	if len(a.ranges.offSheets) != 0 {
		t.Fatalf("%d off sheets", len(a.ranges.offSheets))
	}
	for k := range a.ranges.ends {
		if a.ranges.inputs[k].Scope != doubt.Sheet {
			continue
		}
		for end, by := range [2]float64{-0.15, 0.15} {
			j := *a.job
			j.Stock.BottomMM -= by
			rec, err := a.options.Resweep(j.Stock.BottomMM)
			if err != nil {
				t.Fatal(err)
			}
			b := newAnalysis(a.prog, rec, &j, Options{})
			if err := b.solve(func(trial) {}); err != nil {
				t.Fatal(err)
			}
			step := a.ranges.pieces[2].steps[0]
			told := step.margin * math.Exp(step.to[k][[2]int{0, 4}[end]])
			if want := b.least[2].margin; math.Abs(told/want-1) > 0.03 {
				t.Errorf("%+.2f mm: margin %.3f, of a whole run %.3f, likely %.3f", by, told, want, step.margin)
			}
		}
	}
}

// roadOfSheets is a road on which nothing but the sheet is in doubt.
func roadOfSheets(t *testing.T, program, jobFile string) *Analysis {
	t.Helper()
	errors := modelErrors
	modelErrors = nil
	defer func() { modelErrors = errors }()
	j, err := job.Parse("job.toml", []byte(jobFile))
	if err != nil {
		t.Fatal(err)
	}
	j.Doubts = slices.DeleteFunc(j.Doubts, func(d job.Doubt) bool { return d.Scope != doubt.Sheet })
	return roadWith(t, program, j)
}

// withTolerance gives the stock of a job file a tolerance.
func withTolerance(jobFile string, mm float64) string {
	return strings.Replace(jobFile, "[layer]", fmt.Sprintf("tolerance = \"%g mm\"\n[layer]", mm), 1)
}
