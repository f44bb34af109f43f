package records

import (
	"errors"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"staydown/hold/doubt"
)

var (
	friction = doubt.Input{Name: "friction of card on metal", Scope: doubt.Material, Low: 0.2, Likely: 0.3, High: 0.45}
	force    = doubt.Input{Name: "specific force of metal", Unit: "N/mm2", Scope: doubt.Material, Low: 500, Likely: 700,
		High: 1000}
	leak = doubt.Input{Name: "leak of the hoses", Unit: "m3/h", Scope: doubt.Shop, Low: 0.5, Likely: 2, High: 6}
)

// straight is a response of ln margin in proportion to ln value.
func straight(in doubt.Input, power float64) []float64 {
	out := make([]float64, len(doubt.Knots))
	for i, score := range doubt.Knots {
		out[i] = power * math.Log(in.At(score)/in.Likely)
	}
	return out
}

// part is a record of one piece whose margin goes with friction over force.
func part(outcome Outcome, program string, margin float64) Record {
	return Record{
		Date: toml.LocalDate{Year: 2026, Month: 5, Day: 4}, Program: program, SHA256: program, Outcome: outcome,
		Piece: 7,
		Layer: "card", Material: "metal", Tools: []int{1}, Inputs: []Input{From(friction), From(force)},
		Steps: []Step{{Piece: 7, Margin: margin, Spread: 0.15, Changes: map[string][]float64{
			friction.Name: straight(friction, 1), force.Name: straight(force, -1),
		}}},
	}
}

// sampled draws the inputs once.
func sampled(inputs ...doubt.Input) (*doubt.Sample, []drawn) {
	s := doubt.NewSample(len(inputs))
	known := make([]drawn, len(inputs))
	for k, in := range inputs {
		known[k] = drawn{in, s.Scores(k)}
	}
	return s, known
}

// chance is that of the piece of part at a margin to move, with the sample weighted by records. Where these contradict
// the ranges it is rough.
func chance(all []Record, margin float64) (moves float64, rough bool) {
	_, known := sampled(friction, force)
	l := likelihoodOf(all, known, doubt.Draws)
	w, rough := weigh(l.Held, l.Rest)
	sum := 0.0
	for n := range doubt.Draws {
		weight := 1.0
		if w != nil {
			weight = w[n]
		}
		log := math.Log(margin * friction.At(known[0].Scores[n]) / friction.Likely * force.Likely /
			force.At(known[1].Scores[n]))
		sum += weight
		moves += weight * distuv.UnitNormal.CDF(-log/0.15)
	}
	return moves / sum, rough
}

func TestAFileOfRecords(t *testing.T) {
	old := "# our own words stay\n"
	text, err := Append([]byte(old), part(Moved, "panels.nc", 1.2))
	if err != nil {
		t.Fatal(err)
	}
	if text, err = Append(text, part(Held, "lantern.ngc", 2)); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(string(text), old) {
		t.Errorf("what stood there is gone:\n%s", text)
	}
	all, err := Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 2 || all[0].Outcome != Moved || all[1].Program != "lantern.ngc" {
		t.Fatalf("read back %+v", all)
	}
	for name, want := range part(Moved, "", 1).Steps[0].Changes {
		if got := all[0].Steps[0].Changes[name]; !slices.Equal(got, want) {
			t.Errorf("changes with %s: %v, want %v", name, got, want)
		}
	}
}

// together is a record of part whose inputs lower the margin further when both are at their bad ends.
func together() Record {
	r := part(Moved, "panels.nc", 1.2)
	r.Steps[0].Interactions = []Interaction{{Log: -0.4,
		Scores: map[string]float64{friction.Name: -1.2, force.Name: 1.1}}}
	return r
}

// An interaction comes back from the file, and lowers the margin of the draws toward its place: a loss is more likely
// there than without it, by hand at half the way -0.4/4 of the logarithm.
func TestInteractionsOfRecords(t *testing.T) {
	text, err := Append(nil, together())
	if err != nil {
		t.Fatal(err)
	}
	all, err := Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := all[0].Steps[0].Interactions, together().Steps[0].Interactions; len(got) != 1 ||
		got[0].Log != want[0].Log || !maps.Equal(got[0].Scores, want[0].Scores) {
		t.Fatalf("read back %+v, want %+v", got, want)
	}
	way := (1.2*1.2 + 1.1*1.1) / (doubt.Score95 * doubt.Score95) // of the scores at the place
	known := []drawn{{friction, []float64{-0.6 / way}}, {force, []float64{0.55 / way}}}
	plain := part(Moved, "panels.nc", 1.2)
	with, without := likelihoodOf(all, known, 1).Rest[0], likelihoodOf([]Record{plain}, known, 1).Rest[0]
	log := math.Log(1.2 * friction.At(known[0].Scores[0]) / friction.Likely * force.Likely /
		force.At(known[1].Scores[0]))
	for _, row := range []struct{ got, log float64 }{{without, log}, {with, log - 0.1}} {
		if want := math.Log(distuv.UnitNormal.CDF(-row.log / 0.15)); math.Abs(row.got-want) > 0.02 {
			t.Errorf("likelihood %v, want %v", row.got, want)
		}
	}
	bad := together()
	bad.Steps[0].Interactions[0].Scores["no such input"] = 1
	if _, err := Append(nil, bad); !errors.Is(err, ErrRecord) {
		t.Errorf("an interaction with an input that is not there: %v", err)
	}
}

func TestFilesThatCannotBeUsed(t *testing.T) {
	good, err := Append(nil, part(Held, "a.nc", 2))
	if err != nil {
		t.Fatal(err)
	}
	for name, row := range map[string]struct{ from, to, want string }{
		"a key":       {"outcome", "outcom", `"record.outcom" is not known`},
		"an outcome":  {"'held'", "'fine'", `outcome "fine" is none of`},
		"a scope":     {"'material'", "'sheet'", "none of shop, material, tool"},
		"an order":    {"likely = 0.3", "likely = 3.3", "no such range"},
		"a margin":    {"margin = 2.0", "margin = 0.0", "margin above 0"},
		"no TOML":     {"[[record]]", "[[record", "mend the line"},
		"other input": {"name = 'friction", "name = 'fiction", "need an input of that name"},
	} {
		text := strings.Replace(string(good), row.from, row.to, 1)
		if text == string(good) {
			t.Fatalf("%s: nothing replaced in\n%s", name, good)
		}
		if _, err := Parse([]byte(text)); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Append(nil, Record{Outcome: Held}); !errors.Is(err, ErrRecord) {
		t.Errorf("without a step: %v", err)
	}
}

func TestWhatCountsOnce(t *testing.T) {
	other := part(Held, "a.nc", 2)
	other.Date.Day++
	all := []Record{part(Held, "a.nc", 2), part(Held, "a.nc", 2), other, part(Held, "b.nc", 2), part(Moved, "b.nc", 2)}
	got := Once(all)
	if len(got) != 3 || got[0].Program != "a.nc" || got[1].Date.Day != 5 || got[2].Outcome != Moved {
		t.Errorf("kept %+v", got)
	}
	if got := Since(all, other.Date.String()); len(got) != 1 {
		t.Errorf("since the later day: %d", len(got))
	}
}

// One success against the closed form: with ln m normal of mean l and deviation s, and own spread e, what held at m is
// weighted by Phi(ln m/e); the mean of the weight is Phi(l / sqrt(s^2 + e^2)).
func TestLikelihoodOfASuccess(t *testing.T) {
	even := doubt.Input{Name: "even", Low: math.Exp(-0.4 * doubt.Score95), Likely: 1,
		High: math.Exp(0.4 * doubt.Score95)}
	_, known := sampled(even)
	for _, margin := range []float64{0.6, 1, 1.7} {
		r := Record{Outcome: Held, Inputs: []Input{From(even)}, Steps: []Step{{Margin: margin, Spread: 0.2,
			Changes: map[string][]float64{"even": straight(even, 1)}}}}
		sum := 0.0
		for _, log := range likelihoodOf([]Record{r}, known, doubt.Draws).Held {
			sum += math.Exp(log)
		}
		want := distuv.UnitNormal.CDF(math.Log(margin) / math.Hypot(0.4, 0.2))
		if got := sum / doubt.Draws; math.Abs(got-want) > 0.002 {
			t.Errorf("margin %v: mean likelihood %v, want %v", margin, got, want)
		}
	}
}

// A gauge reading and a normal input: the posterior is that of two normal figures, weighted by their precision (any
// text book on statistics).
func TestAGaugeReadingIsWeightedByPrecision(t *testing.T) {
	length := doubt.Input{Name: "vacuum", Law: doubt.Normal, Low: 80 - 5*doubt.Score95, Likely: 80,
		High: 80 + 5*doubt.Score95}
	s, known := sampled(length)
	change := make([]float64, len(doubt.Knots))
	for i, score := range doubt.Knots {
		change[i] = length.At(score) - 80
	}
	r := Record{Outcome: Gauge, VacuumKPa: 74, Inputs: []Input{From(length)}, Steps: []Step{{VacuumKPa: 80, Spread: 2,
		Changes: map[string][]float64{"vacuum": change}}}}
	weights, contradicted := weigh(likelihoodOf([]Record{r}, known, doubt.Draws).Rest)
	if contradicted {
		t.Error("a reading 1.1 deviations off is told as a contradiction")
	}
	w := s.Weighted(weights)
	values := make([]float64, doubt.Draws)
	for n, score := range known[0].Scores {
		values[n] = length.At(score)
	}
	got := w.Quantiles(values, 0.05, 0.5, 0.95)
	mean := (80.0/25 + 74.0/4) / (1.0/25 + 1.0/4)
	deviation := math.Sqrt(1 / (1.0/25 + 1.0/4))
	for i, want := range []float64{mean - doubt.Score95*deviation, mean, mean + doubt.Score95*deviation} {
		if math.Abs(got[i]-want) > 0.05 {
			t.Errorf("point %d: %v, want %v", i, got[i], want)
		}
	}
}

func TestASuccessNeverRaisesAndALossNeverLowersTheChance(t *testing.T) {
	drawCases(t, 40)
	rapid.Check(t, func(t *rapid.T) {
		margin := rapid.Float64Range(0.5, 4).Draw(t, "margin")
		var all []Record
		for range rapid.IntRange(0, 4).Draw(t, "others") {
			outcome := rapid.SampledFrom([]Outcome{Held, Moved}).Draw(t, "outcome")
			r := part(outcome, "other.nc", rapid.Float64Range(0.5, 4).Draw(t, "its margin"))
			// Other programs need not depend on the inputs in the same way.
			r.Steps[0].Changes[force.Name] = straight(force, -rapid.Float64Range(0, 2).Draw(t, "power"))
			all = append(all, r)
		}
		before, rough := chance(all, margin)
		room := func(roughToo bool) float64 {
			if rough || roughToo {
				return 0.01
			}
			return 1e-9
		}
		held, roughHeld := chance(append(slices.Clone(all), part(Held, "a.nc", margin)), margin)
		if held > before+room(roughHeld) {
			t.Fatalf("held: chance %v rises to %v", before, held)
		}
		moved, roughMoved := chance(append(slices.Clone(all), part(Moved, "a.nc", margin)), margin)
		if moved < before-room(roughMoved) {
			t.Fatalf("moved: chance %v falls to %v", before, moved)
		}
		slices.Reverse(all)
		if again, _ := chance(all, margin); math.Abs(again-before) > 1e-9 {
			t.Fatalf("in another order %v, not %v", again, before)
		}
	})
}

func TestRecordsOfOtherInputsChangeNothing(t *testing.T) {
	_, known := sampled(leak)
	if l := likelihoodOf([]Record{part(Held, "a.nc", 1), part(Moved, "b.nc", 1)}, known, doubt.Draws); l.Held != nil ||
		l.Rest != nil {
		t.Error("a record without a common input tells something")
	}
	if got := Missing([]Record{part(Held, "a.nc", 1)}, []doubt.Input{friction}); len(got) != 1 || got[0] != force {
		t.Errorf("missing: %+v", got)
	}
}

func TestARangeThatHasChangedSince(t *testing.T) {
	// The friction has been measured since and found 1.5 times as high: only its values count, so all draws have the
	// likelihood of a margin of 1.5 times 1.2.
	now := friction
	now.Low, now.Likely, now.High = 1.5*friction.Low, 1.5*friction.Likely, 1.5*friction.High
	s, known := sampled(friction, force)
	l := likelihoodOf([]Record{part(Held, "a.nc", 1.2)}, []drawn{{now, s.Scores(0)}, known[1]}, doubt.Draws)
	want := likelihoodOf([]Record{part(Held, "a.nc", 1.8)}, known, doubt.Draws)
	for n := range l.Held {
		if math.Abs(l.Held[n]-want.Held[n]) > 1e-9 {
			t.Fatalf("draw %d: %v, want %v", n, l.Held[n], want.Held[n])
		}
	}
}

// Of a reading far outside the range the sample goes as far as it can, and says so.
func TestAReadingOutsideTheRange(t *testing.T) {
	length := doubt.Input{Name: "vacuum", Law: doubt.Normal, Low: 78, Likely: 80, High: 82}
	s, known := sampled(length)
	change := make([]float64, len(doubt.Knots))
	for i, score := range doubt.Knots {
		change[i] = length.At(score) - 80
	}
	r := Record{Outcome: Gauge, VacuumKPa: 40, Inputs: []Input{From(length)}, Steps: []Step{{VacuumKPa: 80, Spread: 1,
		Changes: map[string][]float64{"vacuum": change}}}}
	weights, contradicted := weigh(likelihoodOf([]Record{r}, known, doubt.Draws).Rest)
	if n := effective(weights); !contradicted || n < fewDraws-1 || n > fewDraws+1 {
		t.Errorf("%v draws count, contradicted %v", n, contradicted)
	}
	if log, want := logCDF(-10.5), math.Log(distuv.UnitNormal.CDF(-10.5)); math.Abs(log-want) > 3e-4 {
		t.Errorf("the series at -10.5: %v, want %v", log, want)
	}
	if got := s.Weighted(weights).Quantiles(known[0].Scores, 0.5)[0]; got > -1.5 {
		t.Errorf("the score goes to %v only", got)
	}
}

func TestWhatSuccessesTeachIsCapped(t *testing.T) {
	for margin, want := range map[float64]float64{0.8: 1.25, 1: 1.25, 3: 1.05, 9: 1.01} {
		if got := Cap([]Record{part(Held, "a.nc", margin), part(Held, "b.nc", 20), part(Moved, "c.nc", 1)}); math.Abs(
			got-want) > 1e-9 {
			t.Errorf("held at %v: %v, want %v", margin, got, want)
		}
	}
	if got := Cap([]Record{part(Moved, "c.nc", 1)}); got != 1 {
		t.Errorf("without a success: %v", got)
	}
	if got := effective([]float64{2, 2, 0, 0}); got != 2 {
		t.Errorf("two of four draws count alike: %v", got)
	}
}
