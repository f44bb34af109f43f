package hold

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"staydown/hold/doubt"
	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/internal/testrun"
	"staydown/sweep/parallel"
)

// factor is a doubtful factor on figures of a job.
func factor(name string, low, high float64, set func(j *job.Job, by float64)) job.Doubt {
	return job.Doubt{Input: doubt.Input{Name: name, Low: low, Likely: 1, High: high}, Set: set}
}

func scaleForce(w *material.Work, by float64) {
	for _, r := range []*material.Range{&w.KC11, &w.Edge, &w.Drill} {
		r.Likely *= by
	}
}

// tableDoubts are what a shop does not know of its table, wide enough to matter. Chosen.
func tableDoubts() []job.Doubt {
	return []job.Doubt{
		factor("friction", 0.7, 1.4, func(j *job.Job, by float64) { j.Layer.Friction.Dry *= by }),
		factor("specific force", 0.6, 1.7, func(j *job.Job, by float64) { scaleForce(&j.Stock.Material, by) }),
		factor("permeability", 0.3, 3, func(j *job.Job, by float64) {
			j.Layer.ThroughM2 *= by
			j.Layer.AlongM2 *= by
		}),
		factor("pump flow", 0.7, 1.1, func(j *job.Job, by float64) { j.Pump.FlowM3h *= by }),
		factor("leak", 0.5, 2, func(j *job.Job, by float64) { j.Pump.LeakM3h *= by }),
		factor("strength", 0.7, 1.3, func(j *job.Job, by float64) {
			for _, r := range []*material.Range{&j.Stock.Material.Shear, &j.Stock.Material.Tensile,
				&j.Stock.Material.Yield} {
				r.Likely *= by
			}
		}),
	}
}

// rerun is the whole check of the same program with a varied job, without findings.
func (a *Analysis) rerun(t testing.TB, scores []float64) *Analysis {
	t.Helper()
	b := newAnalysis(a.prog, a.rec, a.job.Varied(scores), Options{Workers: 1})
	b.enough = exactly
	if err := b.solve(func(trial) {}); err != nil {
		t.Error(err)
	}
	return b
}

// manyRuns are the logarithms of the margins of every loaded piece, by id, in runs of the whole road at random scores,
// and what the responses say of the same scores.
type manyRuns struct{ direct, told map[int][]float64 }

// drawRuns makes n runs of varied jobs, model errors included.
func drawRuns(t testing.TB, a *Analysis, n int) manyRuns {
	t.Helper()
	out := manyRuns{map[int][]float64{}, map[int][]float64{}}
	for id, p := range a.ranges.pieces {
		if len(p.steps) > 0 {
			out.direct[id], out.told[id] = make([]float64, n), make([]float64, n)
		}
	}
	random := rand.New(rand.NewPCG(3, 5))
	scores := make([][]float64, n) // of the inputs, then one for each piece
	for i := range scores {
		for range len(a.ranges.inputs) + len(a.ranges.pieces) {
			scores[i] = append(scores[i], random.NormFloat64())
		}
	}
	parallel.For(a.workers, n, func(_, i int) {
		inputs := slices.Clone(scores[i][:len(a.ranges.inputs)])
		b := a.rerun(t, inputs[:len(a.ranges.ends)])
		for id, p := range a.ranges.pieces {
			if len(p.steps) == 0 {
				continue
			}
			off := 0.0
			for k := len(a.ranges.ends); k < len(inputs); k++ {
				if a.ranges.inputs[k].Scope == doubt.Piece {
					inputs[k] = scores[i][len(inputs)+id]
				}
				off += math.Log(a.ranges.inputs[k].At(inputs[k]))
			}
			out.direct[id][i] = logOf(b.least[int32(id)].margin) + off
			out.told[id][i] = math.Inf(1)
			for _, step := range p.steps {
				log := logOf(step.margin)
				for k, score := range inputs {
					log += step.to[k].Of(score)
				}
				for side := range step.interactions {
					if x := &step.interactions[side]; x.Log != 0 {
						log += x.Of(floats.Dot(x.Scores, inputs[:len(x.Scores)]) / (doubt.Score95 * doubt.Score95))
					}
				}
				out.told[id][i] = math.Min(out.told[id][i], log)
			}
		}
	})
	return out
}

func chanceBelow1(logs []float64) float64 {
	n := 0
	for _, log := range logs {
		if log < 0 {
			n++
		}
	}
	return float64(n) / float64(len(logs))
}

// doubtfulPrograms are small programs with their jobs: a free part, and parts on tabs; in the long run also free parts
// that may move or stay.
func doubtfulPrograms() map[string][2]string {
	p := aPlate().sized(200, 200)
	p.margin, p.through, p.pumpM3h = 1, "3e-13 m2", 60
	coarse := p.toml()
	tabs, tabJob := onTabs(2, 1, 0.6)
	out := map[string][2]string{
		"a square": {square(60, 1500, 3, 6.2), coarse},
		"tabs":     {tabs, tabJob},
	}
	if testrun.Long {
		out["a square of 110 mm"] = [2]string{square(110, 1200, 3, 6.2), coarse}
		out["a square of 150 mm"] = [2]string{square(150, 1200, 6.2), coarse}
	}
	return out
}

// Against runs of the whole road with varied jobs: the ends of every margin's range within 10 %, the chance within 0.03
// where the spread of the logarithm is 0.4 or more; of the same scores, so that the luck of the draw counts for both.
// The long form draws so many that luck no longer counts, and holds the range and the chance of the result against
// them.
func TestRangesAgainstRunsOfVariedJobs(t *testing.T) {
	if testing.Short() {
		t.Skip("runs many programs")
	}
	for name, program := range doubtfulPrograms() {
		n := testrun.Draws(40, 10_000)
		if name == "tabs" { // whose margins are less in doubt
			n = testrun.Draws(20, 10_000)
		}
		t.Run(name, func(t *testing.T) {
			j, err := job.Parse("job.toml", []byte(program[1]))
			if err != nil {
				t.Fatal(err)
			}
			j.Doubts = tableDoubts()
			a := roadWith(t, program[0], j)
			out := drawRuns(t, a, n)
			for id, direct := range out.direct {
				told := out.told[id]
				compareRanges(t, fmt.Sprintf("piece %d, of the same scores", id), direct, quantiles(told),
					chanceBelow1(told))
				if testrun.Long {
					p := a.Result.Pieces[id-1]
					compareRanges(t, fmt.Sprintf("piece %d, of the result", id), direct,
						[2]float64{math.Log(p.Least.Low), math.Log(p.Least.High)}, p.Chance)
				}
			}
		})
	}
}

// Where nothing but the force is in doubt, the body stays: a margin at twice the force is half as large (a ratio of
// hold and load, by its definition), and with it the end of the range.
func TestOnlyTheForceInDoubt(t *testing.T) {
	j, err := job.Parse("job.toml", []byte(doubtfulPrograms()["a square"][1]))
	if err != nil {
		t.Fatal(err)
	}
	j.Doubts = []job.Doubt{factor("specific force", 0.5, 2, func(j *job.Job, by float64) {
		scaleForce(&j.Stock.Material, by)
	})}
	for _, p := range roadWith(t, doubtfulPrograms()["a square"][0], j).Result.Pieces {
		if share := p.Least.Low / p.Least.Margin; p.Least.Margin > 0 && (math.Abs(share-0.5) > 0.1) {
			t.Errorf("piece %d: low end %.2f of the margin, want about a half", p.ID, share)
		}
	}
}

func quantiles(logs []float64) [2]float64 {
	sorted := slices.Sorted(slices.Values(logs))
	return [2]float64{stat.Quantile(0.05, stat.LinInterp, sorted, nil), stat.Quantile(0.95, stat.LinInterp, sorted,
		nil)}
}

func compareRanges(t *testing.T, what string, direct []float64, ends [2]float64, chance float64) {
	t.Helper()
	n := float64(len(direct))
	for k, want := range quantiles(direct) {
		if math.Abs(ends[k]-want) > math.Log(1.1) {
			t.Errorf("%s: end %d is %.3f, of whole runs %.3f", what, k, math.Exp(ends[k]), math.Exp(want))
		}
	}
	want := chanceBelow1(direct)
	if sd := stat.StdDev(direct, nil); sd >= 0.4 && math.Abs(chance-want) > 0.03+2*math.Sqrt(want*(1-want)/n) {
		t.Errorf("%s: chance %.3f, of whole runs %.3f (spread %.2f)", what, chance, want, sd)
	}
	t.Logf("%s: %.3f to %.3f, of whole runs %.3f to %.3f; chance %.3f and %.3f", what, math.Exp(ends[0]),
		math.Exp(ends[1]), math.Exp(quantiles(direct)[0]), math.Exp(quantiles(direct)[1]), chance, want)
}
