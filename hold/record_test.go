package hold

import (
	"errors"
	"math"
	"strconv"
	"testing"

	"github.com/pelletier/go-toml/v2"

	"staydown/hold/records"
	"staydown/hold/result"
)

// taught checks the program of an analysis again with records.
func taught(t *testing.T, a *Analysis, all ...records.Record) *Analysis {
	t.Helper()
	b, err := Check(a.prog, a.rec, a.job, Options{Records: records.Once(all), Resweep: a.options.Resweep})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// seen makes a record, each on a day of its own.
func seen(t *testing.T, a *Analysis, day int, what Observation) records.Record {
	t.Helper()
	what.Date = toml.LocalDate{Year: 2026, Month: 1 + day/28, Day: 1 + day%28}
	r, err := a.Record(what)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// onePart is a program that frees a square, with its margin near what is asked for by the choice of side.
func onePart(t *testing.T, side float64) *Analysis {
	t.Helper()
	p := aPlate().sized(200, 200)
	p.margin = 1
	return road(t, square(side, 1200, 6), p.toml())
}

func TestOneLossCountsAtOnce(t *testing.T) {
	a := onePart(t, 150)
	piece := a.Result.Pieces[1]
	if piece.Least.Margin < 1 || piece.Chance > 0.4 {
		t.Fatalf("the part is to hold, likely: %+v", piece)
	}
	b := taught(t, a, seen(t, a, 0, Observation{Outcome: records.Moved, Piece: 2}))
	after := b.Result.Pieces[1]
	if after.Chance < 2*piece.Chance || after.Least.Margin > 0.9*piece.Least.Margin ||
		b.Result.Verdict < result.AtRisk {
		t.Errorf("margin %v, chance %v: after the loss %v, %v, %v", piece.Least.Margin, piece.Chance,
			after.Least.Margin, after.Chance, b.Result.Verdict)
	}
	// A line where it was loaded less than elsewhere, and where it moved all the same, says more.
	worse := taught(t, a, seen(t, a, 0, Observation{Outcome: records.Moved, Piece: 2,
		Line: a.Result.Pieces[1].Least.Line}))
	if worse.Result.Pieces[1].Chance < after.Chance-0.02 {
		t.Errorf("moved in its worst line: chance %v, without the line %v", worse.Result.Pieces[1].Chance, after.Chance)
	}
}

func TestSuccessesTeachLittle(t *testing.T) {
	for _, side := range []float64{150, 240} {
		a := onePart(t, side)
		before := a.Result.Pieces[1].Least
		var all []records.Record
		for day := range 20 {
			all = append(all, seen(t, a, day, Observation{Outcome: records.Held}))
		}
		b := taught(t, a, all...)
		after := b.Result.Pieces[1].Least
		raise := after.Margin / before.Margin
		if most := records.Cap(all); raise < 1-1e-9 || raise > most+1e-9 {
			t.Errorf("20 successes at margin %.3g raise it by %.3f, at most %.3f", before.Margin, raise, most)
		}
		if before.Margin >= 3 && raise > 1.05 {
			t.Errorf("20 easy successes at margin %.3g raise it by %.3f", before.Margin, raise)
		}
		if b.Result.Pieces[1].Chance > a.Result.Pieces[1].Chance+1e-9 {
			t.Errorf("successes raise the chance from %v to %v", a.Result.Pieces[1].Chance, b.Result.Pieces[1].Chance)
		}
	}
}

// The likely margin after several outcomes does not depend on their order, and a loss among successes counts.
func TestALossAmongSuccesses(t *testing.T) {
	a := onePart(t, 150)
	held := []records.Record{seen(t, a, 0, Observation{Outcome: records.Held}),
		seen(t, a, 1, Observation{Outcome: records.Held})}
	lost := seen(t, a, 2, Observation{Outcome: records.Moved, Piece: 2})
	one := taught(t, a, held[0], held[1], lost).Result.Pieces[1]
	other := taught(t, a, lost, held[1], held[0]).Result.Pieces[1]
	if math.Abs(one.Least.Margin-other.Least.Margin) > 1e-9 || math.Abs(one.Chance-other.Chance) > 1e-9 {
		t.Errorf("order matters: %+v, %+v", one.Least, other.Least)
	}
	if only := taught(t, a, held...).Result.Pieces[1]; one.Chance <= only.Chance {
		t.Errorf("chance with the loss %v, without it %v", one.Chance, only.Chance)
	}
}

// A low gauge tells of a leak, and so of less hold; a job with other inputs learns nothing of it.
func TestAGaugeTellsOfALeak(t *testing.T) {
	p := aPlate().sized(200, 200)
	p.margin, p.pumpM3h = 1, 4
	program := square(130, 1200, 6)
	a := roadInFull(t, program, p.toml()+"[records]\nsince = \"2026-01-01\"\n")
	if len(a.Result.Gauge) == 0 {
		t.Fatal("no readings")
	}
	start := a.Result.Gauge[0].VacuumKPa
	r := seen(t, a, 0, Observation{Outcome: records.Gauge, VacuumKPa: start.Likely - 3})
	if got := r.Steps[0].VacuumKPa; math.Abs(got-start.Likely) > 0.5 {
		t.Errorf("recorded vacuum %v kPa, the reading before the start is %v", got, start.Likely)
	}
	// Class 2.5 of EN 837-1: 2.5 kPa of 100, as the 95 % point (1.645 standard deviations).
	if got := r.Steps[0].Spread; math.Abs(got-2.5/1.645) > 0.01 {
		t.Errorf("recorded spread of the gauge %v kPa", got)
	}
	b := taught(t, a, r)
	if after, before := b.Result.Pieces[1].Least, a.Result.Pieces[1].Least; after.Margin > before.Margin {
		t.Errorf("less vacuum than expected raises the margin from %v to %v", before.Margin, after.Margin)
	}
	checkLearnedVacuum(t, start, b.Result, start.Likely-3)
	likely := taught(t, a, seen(t, a, 0, Observation{Outcome: records.Gauge, VacuumKPa: start.Likely}))
	checkLearnedVacuum(t, start, likely.Result, start.Likely)
}

// checkLearnedVacuum compares the vacuum at the start with the normal distribution that a normal reading makes of a
// normal one (conjugate, any text book): mean weighed by the inverse variances, which add up.
func checkLearnedVacuum(t *testing.T, before result.Range, after *result.Result, reading float64) {
	t.Helper()
	sd, gauge := (before.High-before.Low)/2/1.645, 2.5/1.645
	likely := before.Likely + sd*sd/(sd*sd+gauge*gauge)*(reading-before.Likely)
	half := 1.645 * sd * gauge / math.Hypot(sd, gauge)
	got := after.Gauge[0].VacuumKPa
	// Within a quarter of the range that is left: the parts of the vacuum are not normal.
	if math.Abs(got.Likely-likely) > half/2 || math.Abs((got.High-got.Low)/2-half) > half/4 {
		t.Errorf("%+v before the reading %v; after it %+v, want %v -+ %v", before, reading, got, likely, half)
	}
	if got.Likely != after.Vacuum.StartKPa {
		t.Errorf("gauge %v kPa, start %v", got.Likely, after.Vacuum.StartKPa)
	}
}

// A gauge that shows what was expected narrows the margins, and with them the setpoint comes down. One that shows more
// vacuum raises what is predicted, but not what is needed: the gauge shows the hold by itself, so that with the likely
// friction and force a margin of 1 needs what it did.
func TestSetpointsFollowTheRecords(t *testing.T) {
	p := aPlate().sized(300, 300)
	p.margin, p.pumpM3h = 1, 2
	a := roadInFull(t, square(240, 600, 5.6, 6.2), p.toml())
	before := a.Result.Vacuum
	for _, off := range []float64{0, 3} {
		b := taught(t, a, seen(t, a, 0, Observation{Outcome: records.Gauge, VacuumKPa: before.StartKPa + off}))
		after := b.Result.Vacuum
		if !(after.AlarmSetpointKPa < before.AlarmSetpointKPa-0.5) {
			t.Errorf("%v kPa more than expected: setpoint %v kPa, was %v", off, after.AlarmSetpointKPa,
				before.AlarmSetpointKPa)
		}
		if math.Abs(after.NeverBelowKPa/before.NeverBelowKPa-1) > 0.03 || off > 0 &&
			after.LeastKPa < before.LeastKPa+3 {
			t.Errorf("%v kPa more than expected: %+v, was %+v", off, after, before)
		}
	}
}

// A record keeps what the inputs of the shop do together beyond the sum of what each does.
func TestARecordKeepsInteractions(t *testing.T) {
	p := aPlate().sized(300, 300)
	p.margin, p.pumpM3h = 1, 2
	a := road(t, square(240, 600, 5.6, 6.2), p.toml())
	step := &a.ranges.pieces[2].steps[0]
	kept := seen(t, a, 0, Observation{Outcome: records.Moved, Piece: 2}).Steps[0].Interactions
	n := 0
	for _, x := range step.interactions {
		if math.Abs(x.Log) < 0.01 {
			continue
		}
		if n == len(kept) || kept[n].Log != x.Log {
			t.Fatalf("interactions %+v, kept %+v", step.interactions, kept)
		}
		for k, score := range x.Scores {
			name := a.ranges.inputs[k].Name
			if got := kept[n].Scores[name]; got != score && records.Lasting(a.ranges.inputs[k].Scope) {
				t.Errorf("%s: score %v, kept %v", name, score, got)
			}
		}
		n++
	}
	if n == 0 {
		t.Fatal("the part is to have an interaction")
	}
}

func TestWhatCannotHaveBeenSeen(t *testing.T) {
	a := onePart(t, 150)
	for name, s := range map[string]Observation{
		"no such piece": {Outcome: records.Moved, Piece: 9},
		"no such line":  {Outcome: records.Moved, Piece: 2, Line: 2},
		"gauge beyond":  {Outcome: records.Gauge, Line: 999, VacuumKPa: 80},
	} {
		if _, err := a.Record(s); !errors.Is(err, ErrObservation) {
			t.Errorf("%s: %v", name, err)
		}
	}
	open := road(t, "G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 X17 Y17 Z5\nG1 Z-6 F300\n", aPlate().toml())
	if _, err := open.Record(Observation{Outcome: records.Held}); !errors.Is(err, ErrObservation) {
		t.Errorf("cut short: %v", err)
	}
	if got := len(a.Result.Pieces); got != 2 {
		t.Fatal("pieces: " + strconv.Itoa(got))
	}
}
