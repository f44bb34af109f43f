package hold

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"staydown/hold/airflow"
	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/parse/units"
)

// missAt gives the first step that misses a margin with the chuck at an absolute pressure; ok is true when none does.
func (a *Analysis) missAt(t *testing.T, margin marginOf, chuckPa float64) (miss bindingStep, ok bool) {
	t.Helper()
	for i := range a.air {
		set := a.epochState(i, airflow.Chuck{ChuckPa: chuckPa}, change{})
		for step := a.air[i].firstStep; step < a.air[i].lastStep; step++ {
			missed, _, err := set.misses(step, a.touchedIn(step), margin)
			if err != nil {
				t.Fatal(err)
			}
			if len(missed) > 0 {
				return bindingStep{i, step, missed[0]}, false
			}
		}
	}
	return bindingStep{}, true
}

// checkSetpoints tries the setpoints step by step over the whole program.
func checkSetpoints(t *testing.T, a *Analysis) {
	t.Helper()
	v := a.Result.Vacuum
	for _, c := range []struct {
		name   string
		kPa    float64
		margin marginOf
	}{{"alarm setpoint", v.AlarmSetpointKPa, a.required}, {"never below", v.NeverBelowKPa, a.limit}} {
		if math.IsNaN(c.kPa) || c.kPa < 0 || c.kPa > v.LeastKPa {
			t.Fatalf("%s: %.3f kPa with %.3f kPa at least", c.name, c.kPa, v.LeastKPa)
		}
		set := 1000 * c.kPa
		if miss, ok := a.missAt(t, c.margin, a.job.AmbientPa-set); !ok {
			t.Errorf("%s: piece %d misses margin %g there", c.name, miss.piece, c.margin(miss.piece))
		}
		if set == 0 {
			continue
		}
		if _, ok := a.missAt(t, c.margin, a.job.AmbientPa-set+2*vacuumStepPa); ok {
			t.Errorf("%s: a lower vacuum is enough as well", c.name)
		}
	}
}

func TestSetpointsAreTheLowestVacuumThatHolds(t *testing.T) {
	checkSetpoints(t, roadInFull(t, square(74, 600, 5.6, 6.2), aPlate().toml()))
}

// onTabs is a program of equal squares of 30 mm, each on four tabs 4 mm wide, and the job for its sheet, 6 mm thick.
func onTabs(columns, rows int, tabMM float64) (program, jobFile string) {
	const side, pitch, radius = 30.0, 45.0, 3.0
	var b strings.Builder
	b.WriteString("G21 G90 G17 G94\nT1 M6\nS18000 M3\n")
	lift := -6 + tabMM
	for k := range columns * rows {
		x0, y0 := 15+pitch*float64(k%columns)-radius, 15+pitch*float64(k/columns)-radius
		x1, y1 := x0+side+2*radius, y0+side+2*radius
		fmt.Fprintf(&b, "G0 X%g Y%g Z2\n", x0, y0)
		// A cut that leaves a tab of 4 mm lifts the 6 mm tool over 10 mm.
		ends := [][4]float64{{x0, y0, x0, y1}, {x0, y1, x1, y1}, {x1, y1, x1, y0}, {x1, y0, x0, y0}}
		fmt.Fprintf(&b, "G1 Z-3 F300\n")
		for _, e := range ends {
			fmt.Fprintf(&b, "X%g Y%g F600\n", e[2], e[3])
		}
		b.WriteString("Z-6.1 F300\n")
		for _, e := range ends {
			dx, dy := (e[2]-e[0])/36, (e[3]-e[1])/36
			fmt.Fprintf(&b, "X%g Y%g F600\nZ%g\n", e[0]+13*dx, e[1]+13*dy, lift)
			fmt.Fprintf(&b, "X%g Y%g\nZ-6.1 F300\n", e[0]+23*dx, e[1]+23*dy)
			fmt.Fprintf(&b, "X%g Y%g F600\n", e[2], e[3])
		}
		b.WriteString("G0 Z5\n")
	}
	b.WriteString("M30\n")
	width, height := 30+pitch*float64(columns), 30+pitch*float64(rows)
	return b.String(), aPlate().sized(width, height).on(0.5)
}

// What the verdict proves is not denied: the pump that a held program runs with is enough for it, whatever the number
// of pieces, and where the predicted vacuum never falls below what a block needs there is a setpoint.
func TestManyEqualPartsOnTabs(t *testing.T) {
	for _, c := range []struct{ columns, rows int }{{6, 4}, {20, 10}}[:testrun.Draws(1, 2)] {
		t.Run(fmt.Sprintf("%d parts", c.columns*c.rows), func(t *testing.T) {
			program, jobFile := onTabs(c.columns, c.rows, 2)
			a := roadInFull(t, program, jobFile)
			r := a.Result
			if len(r.Pieces) != 1+c.columns*c.rows || r.Verdict != result.Held {
				t.Fatalf("%d pieces, verdict %v: %v", len(r.Pieces), r.Verdict, r.Findings)
			}
			v := r.Vacuum
			if !(v.NeverBelowKPa <= v.AlarmSetpointKPa && v.AlarmSetpointKPa <= v.LeastKPa) {
				t.Errorf("never below %g, alarm %g, %g kPa at least", v.NeverBelowKPa, v.AlarmSetpointKPa, v.LeastKPa)
			}
			if need := r.Vacuum.PumpNeededM3h; !(need <= a.job.Pump.FlowM3h) {
				t.Errorf("%g m3/h are needed, and %g are enough", need, a.job.Pump.FlowM3h)
			}
		})
	}
}

// A program that keeps the asked-for margin by a hair needs all of its vacuum and its pump, and no more.
func TestWhatJustHoldsHasASetpointAndItsPump(t *testing.T) {
	withoutDoubt(t)
	p := aPlate()
	program := square(50, 600, 5.6, 6.2)
	p.margin = roadInFull(t, program, p.toml()).Result.Pieces[1].Least.Margin * (1 - 1e-6)
	jobFile := strings.Replace(p.toml(), fmt.Sprintf("margin = %g", p.margin), fmt.Sprintf("margin = %.12f", p.margin),
		1)
	r := roadInFull(t, program, jobFile).Result
	v := r.Vacuum
	if r.Verdict != result.Held || !(v.AlarmSetpointKPa <= v.LeastKPa) || v.AlarmSetpointKPa < v.LeastKPa-0.05 {
		t.Errorf("%v: alarm at %.4f kPa, %.4f kPa at least", r.Verdict, v.AlarmSetpointKPa, v.LeastKPa)
	}
	if !(v.PumpNeededM3h <= p.pumpM3h) || v.PumpNeededM3h < 0.9*p.pumpM3h {
		t.Errorf("%.4f m3/h are needed, %g are enough", v.PumpNeededM3h, p.pumpM3h)
	}
}

// Without a helix nothing lifts, so every resistance is proportional to the normal force V A + W, and the least
// vacuum for margin m obeys V(m) + W/A = m (V(1) + W/A), with W/A = 2700 kg/m3 x 9.80665 m/s2 x 6 mm = 159 Pa (closed
// form). It holds to a hundredth while the vacuum is weak: the layer at the kerf passes on a little less than all of
// it, and less in proportion the stronger it is.
func TestTwiceTheMarginTakesTwiceTheVacuum(t *testing.T) {
	withoutDoubt(t)
	p := aPlate()
	p.helixDeg, p.friction = 0, 0.8
	v := roadInFull(t, square(74, 600, 5.6, 6.2), p.toml()).Result.Vacuum
	const perArea = 2700 * 9.80665 * 0.006 / 1000 // kPa
	if got := (v.AlarmSetpointKPa + perArea) / (v.NeverBelowKPa + perArea); !(math.Abs(got-2) <= 0.02) {
		t.Errorf("alarm %.2f kPa, never below %.2f kPa: ratio %.4f, want 2", v.AlarmSetpointKPa, v.NeverBelowKPa, got)
	}
}

// fading is a program that frees a square, stops, and then cuts slots that let much air in; the stock needs little
// vacuum.
func fading(stop string) string {
	var b strings.Builder
	b.WriteString(stop)
	for i := range 8 {
		fmt.Fprintf(&b, "G0 X%d Y20 Z5\n", 150+30*i)
		for k := range 6 {
			fmt.Fprintf(&b, "G1 Z-%d F200\nY%d F300\n", k+1, 280-260*(k%2))
		}
		b.WriteString("G1 Z-6.1 F200\nY280 F300\nG0 Z5\n")
	}
	return strings.Replace(square(54, 600, 5.6, 6.2), "M30\n", b.String()+"M30\n", 1)
}

// The block that frees the square needs the same vacuum whatever comes later. A setpoint exists exactly when that
// much is predicted everywhere; where a weaker pump lets the vacuum fade below it, each stretch between stops has a
// setting of its own.
func TestASetpointExistsWhereTheVacuumNeverFallsBelowTheNeed(t *testing.T) {
	withoutDoubt(t)
	leaky := aPlate().sized(400, 300)
	leaky.through = "3e-13 m2"
	check := func(pumpM3h float64, stop string) *result.Result {
		p := leaky
		p.pumpM3h = pumpM3h
		r := roadInFull(t, fading(stop), p.on(1)).Result
		if r.Verdict != result.Held {
			t.Fatalf("%g m3/h: %v, %v", pumpM3h, r.Verdict, r.Findings)
		}
		return r
	}
	const stop = "M0\nS18000 M3\n"
	strong, weak, through := check(600, stop), check(300, stop), check(300, "")
	need := strong.Vacuum.AlarmSetpointKPa
	told := len(strong.Vacuum.Settings) + len(findingsOf(strong, result.RuleSetpoint))
	if !(need < strong.Vacuum.LeastKPa) || told > 0 {
		t.Fatalf("with the strong pump: %+v", strong.Vacuum)
	}
	v := weak.Vacuum
	same := math.Abs(v.NeverBelowKPa-strong.Vacuum.NeverBelowKPa) < 0.1
	if !math.IsNaN(v.AlarmSetpointKPa) || !(v.LeastKPa < need) || !same {
		t.Errorf("with the weak pump: %+v, the need is %g", v, need)
	}
	s := v.Settings
	if len(s) != 2 || s[0].Line != 2 || s[1].Line != 16 || math.Abs(s[0].SetKPa-need) > 0.1 ||
		!(s[1].SetKPa < v.LeastKPa) {
		t.Fatalf("settings %+v, want one from the tool change (line 2) and one from the stop (line 16)", s)
	}
	found := findingsOf(weak, result.RuleSetpoint)
	if len(found) != 1 || found[0].Level != result.LevelNote || found[0].Line != 14 || found[0].Piece != 2 {
		t.Fatalf("%v, want a note at line 14, which frees piece 2", found)
	}
	roundedUp := units.Metric.Pressure().Up
	for _, words := range []string{
		"piece 2 (54 x 54 mm at X47 Y47) needs " + roundedUp(need) + " at line 14",
		fmt.Sprintf("predicted minimum %.1f kPa at line 1", math.Floor(10*v.LeastKPa)/10),
		roundedUp(s[0].SetKPa) + " from line 2, " + roundedUp(s[1].SetKPa) + " from line 16",
	} {
		if !strings.Contains(found[0].Message, words) {
			t.Errorf("%q is not in %q", words, found[0].Message)
		}
	}
	if s := through.Vacuum.Settings; len(s) != 1 || !math.IsNaN(s[0].SetKPa) {
		t.Errorf("without a stop there is no setting: %+v", s)
	}
	for _, r := range []*result.Result{strong, weak, through} {
		if !(r.Vacuum.PumpNeededM3h <= 300) {
			t.Errorf("%g m3/h are needed where 300 are enough", r.Vacuum.PumpNeededM3h)
		}
	}
}

// Operating figures of a program that was not fully read are not known.
func TestNoOperatingFiguresOfAnIncompleteProgram(t *testing.T) {
	for name, program := range map[string]string{
		"a block that cannot be read": strings.Replace(square(74, 600, 5.6, 6.2), "G0 Z5\n", "G0 Z5\nG1 X[ F100\n", 1),
		"nothing meets the stock":     "G21 G90\nT1 M6\nS18000 M3\nG0 X900 Y900 Z5\nG1 Z-3 F300\nX950\nG0 Z5\nM30\n",
	} {
		r := road(t, program, aPlate().toml()).Result
		if r.Verdict != result.Incomplete {
			t.Errorf("%s: %v", name, r.Verdict)
		}
		v := r.Vacuum
		for _, figure := range []float64{v.StartKPa, v.LeastKPa, v.AlarmSetpointKPa, v.NeverBelowKPa, v.PumpNeededM3h} {
			if !math.IsNaN(figure) {
				t.Errorf("%s: %+v", name, v)
				break
			}
		}
		if v.Known() || len(r.Gauge) > 0 || len(v.Settings) > 0 || len(findingsOf(r, result.RuleSetpoint)) > 0 {
			t.Errorf("%s: figures are told", name)
		}
	}
}
