package hold

import (
	"fmt"
	"math"

	"github.com/paulmach/orb/planar"

	"staydown/hold/doubt"
	"staydown/hold/internal/progcheck"
	"staydown/hold/job"
	"staydown/sweep"
	"staydown/sweep/parallel"
)

// A sheet that is thinner or thicker than likely, or touched off wrongly, can turn a skin or tab into a cut, or a cut
// into a skin: then other pieces come free at other moments, and no response tells of that. So the program is swept and
// checked again over a sheet that is as far off, and what holds there counts from the score on at which the first skin
// or cut turns.

// offSheet is the program over a sheet so far off that a skin has become a cut, or a cut a skin.
type offSheet struct {
	input int     // of the ranges
	score float64 // at which the first one does; from there on outwards
	steps map[int][]response
	moves bool // it is not looked at: every piece is taken to move
}

// rareSheet is the score from which on Options.RareSheetsMove counts: 1 in 50. The 5 % point of a margin then lies at
// what was its 3 % point where it would not have moved, and stays where it would have been among the lowest anyway.
const rareSheet = 2.054

// turned tells whether the sheet of a draw is that far off.
func (f *offSheet) turned(score float64) bool {
	return score <= f.score && f.score < 0 || score >= f.score && f.score > 0
}

// addOffSheets runs the program over the off sheets of every doubtful thickness or touch-off.
func (a *Analysis) addOffSheets(r *ranges) error {
	if a.options.OneSheet {
		return nil
	}
	for k := range r.ends {
		in := &r.inputs[k]
		if in.Scope != doubt.Sheet {
			continue
		}
		for side, turn := range a.turns() {
			score := in.Score(turn)
			if score == 0 || math.Abs(score) > progcheck.FarthestSheet {
				continue
			}
			if a.options.RareSheetsMove && math.Abs(score) >= rareSheet {
				r.offSheets = append(r.offSheets, offSheet{input: k, score: score, moves: true})
				continue
			}
			if a.options.Resweep == nil {
				a.notSwept[side] = true
				continue
			}
			f, err := a.overOffSheet(r, k, score)
			if err != nil {
				return err
			}
			r.offSheets = append(r.offSheets, f)
		}
	}
	return nil
}

// keepWithinOffSheets brings the ends of a sheet's range to this side of the off sheets, where the margins still change
// little by little.
func (a *Analysis) keepWithinOffSheets(in doubt.Input, ends *[2]rangeEnd) {
	const before = 0.7 // of the way to the off sheet
	for k, turn := range a.turns() {
		if score := in.Score(turn); score != 0 && math.Abs(before*score) < doubt.Score95 {
			ends[k].score = before * score
		}
	}
}

// turns gives how much thinner (below 0) the sheet must be for the first skin or tab to be cut through, and how much
// thicker for the first cut to leave a skin, mm; infinite when none does.
func (a *Analysis) turns() [2]float64 {
	thinner, thicker := math.Inf(1), math.Inf(1)
	for _, k := range a.rec.Hanging {
		p := &a.rec.Pieces[k]
		for _, j := range p.Sections[len(p.Sections)-1].Joins {
			thinner = math.Min(thinner, j.HeightMM-sweep.ThroughMM)
		}
	}
	checks := a.checks()
	for i := range a.rec.Steps.Len() {
		if s := a.rec.Steps.At(i); s.Flags&sweep.Breakthrough != 0 {
			thicker = math.Min(thicker, math.Max(0, checks.BelowMM(s))+sweep.ThroughMM)
		}
	}
	return [2]float64{-thinner, thicker}
}

// overOffSheet sweeps and checks the program over an off sheet: at the end of the input's range, or a little beyond
// the score at which the first skin or cut changes, where that lies farther out.
func (a *Analysis) overOffSheet(r *ranges, input int, score float64) (offSheet, error) {
	const beyond = 0.3 // scores
	far := math.Copysign(math.Max(doubt.Score95, math.Abs(score)+beyond), score)
	scores := make([]float64, len(a.job.Doubts))
	scores[r.places[input]] = far
	j := a.job.Varied(scores)
	rec, err := a.options.Resweep(j.Stock.BottomMM)
	if err != nil {
		return offSheet{}, fmt.Errorf("the program cannot be swept over another sheet: %w", err)
	}
	b := newAnalysis(a.prog, rec, j, Options{Workers: a.workers, NoPictures: true, AllOpen: a.options.AllOpen,
		OnlyCutOut: a.options.OnlyCutOut, Shared: a.options.Shared})
	if err := b.solve(func(trial) {}); err != nil {
		return offSheet{}, err
	}
	of := b.inputsInDoubt()
	of.fixed = input
	b.ranges = of
	out := offSheet{input: input, score: score, steps: map[int][]response{}}
	found := make([][]response, len(b.rec.Pieces))
	parallel.For(a.workers, len(found), func(_, i int) {
		for _, t := range b.criticalSteps(int32(i + 1)) {
			found[i] = append(found[i], of.respond(b, t))
		}
	})
	for i := range b.rec.Pieces {
		p := &b.rec.Pieces[i]
		at := a.samePiece(p)
		out.steps[at] = append(out.steps[at], found[i]...)
		if p.ComesFree() && b.unheld(p) {
			out.steps[at] = append(out.steps[at], response{to: make([]doubt.Response, len(of.inputs))})
		}
	}
	return out, nil
}

// samePiece finds the piece that lies where a piece of another sweep of the program does, about as large; the stock, if
// none does.
func (a *Analysis) samePiece(q *sweep.Piece) int {
	const near, alike = 0.1, 1.5 // of its width; of its area
	best, least := 1, near*math.Sqrt(q.AreaMM2)
	for i := range a.rec.Pieces {
		p := &a.rec.Pieces[i]
		if p.ID == 1 || q.ID == 1 || p.AreaMM2 > alike*q.AreaMM2 || q.AreaMM2 > alike*p.AreaMM2 {
			continue
		}
		if d := planar.Distance(p.Centroid, q.Centroid); d <= least {
			best, least = p.ID, d
		}
	}
	return best
}

// lowerMM is how much lower than swept the table side of a varied job's sheet lies.
func (v *variation) lowerMM(likely *job.Job) float64 {
	return likely.Stock.BottomMM - v.job.Stock.BottomMM
}
