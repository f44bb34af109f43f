package hold

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/hold/doubt"
	"staydown/hold/records"
	"staydown/hold/result"
	"staydown/sweep/parallel"
)

// The inputs of a job are known within ranges, and so is every margin. Around the likely job the logarithm of a margin
// is nearly linear in the normal scores of the inputs, so that each input is varied on its own, to both ends, at the
// critical steps of each piece alone; what several do together is the sum of what each does. What that misses is found
// once on either side, where all inputs together are as far off as one is at its end in the direction that lowers the
// margin most, or raises it most, and grows with the square of the way there.
//
// Against 2000 whole runs of varied jobs each of four small programs, the ends of nine ranges are off by at most 4 %,
// and the chances by at most 0.006. One more evaluation where the inputs together bring a margin to 1 brought the
// chances of pieces that may move or stay no nearer (off by 0.002 to 0.007 with it, by 0.001 to 0.005 without, of the
// same scores). See TestRangesAgainstRunsOfVariedJobs.

// modelErrors are what the model itself is off by, as factors on every margin.
var modelErrors = []doubt.Input{
	{
		Name: "error of the model, shared", Scope: doubt.Shop, Low: 0.85, Likely: 1, High: 1.18,
		Source: "what the model leaves out: common practice, no source",
	},
	{
		Name: "error of the model, piece by piece", Scope: doubt.Piece, Low: 0.92, Likely: 1, High: 1.09,
		Source: "3 % against independent solvers, and what the model leaves out: common practice, no source",
	},
}

// ofPiece is the place of the piece's own error among those of the model.
const ofPiece = 1

// Margins of which a logarithm is taken: one below the least is sure to move, one above the most is sure to stay.
const (
	leastMargin = 1e-3
	mostMargin  = 1e3
)

// ranges are the margins of all pieces under doubt.
type ranges struct {
	likely    *variation
	inputs    []doubt.Input // those of the job that are not exact, then those of the model
	ends      [][2]rangeEnd // of each of the job's: low and high
	places    []int         // of each of the job's among its doubts
	fixed     int           // input that does not move; -1: none
	sample    *doubt.Sample
	offSheets []offSheet
	posterior *records.Posterior // of the shop's records; nil: none
	vacuum    []result.Range     // of each epoch, Pa, by the posterior; nil: none
	pieces    []pieceRange       // by id, from 1
	chance    float64            // that at least one piece moves
	decides   int                // piece on which the verdict hangs most; 0: none
}

// rangeEnd is the job with one input at, or on the way to, an end of its range.
type rangeEnd struct {
	*variation
	score float64
}

// change is that of the logarithm of the margin of a trial at the end, on a straight line through what it is at the
// score.
func (e rangeEnd) change(t trial, bodies map[bodyKey]*contact.Support) float64 {
	return e.variation.change(t, bodies) * doubt.Score95 / math.Abs(e.score)
}

// pieceRange is the margin of one piece under doubt.
type pieceRange struct {
	steps     []response // the critical ones, the least margin first
	low, high float64    // NaN when nothing loads it
	chance    float64    // that it moves
	decides   string     // input with the greatest share in the doubt at its least step; "" for none
	turned    bool       // only a sheet on which skins or cuts turn brings its low end below the margin asked for
	learned   float64    // factor of its likely margin by the shop's records; 1 without any
}

// response is how the margin of a critical trial follows the inputs. The margin is exact, however large.
type response struct {
	trial
	to           []doubt.Response     // by input
	interactions [2]doubt.Interaction // of the job's inputs, toward a lower and a higher margin
}

// vary finds the ranges of all margins, with what the shop's records teach.
func (a *Analysis) vary() error {
	r := a.inputsInDoubt()
	a.ranges = r
	known := a.options.Records
	beside := records.Missing(known, r.inputs)
	r.sample = doubt.NewSample(len(r.inputs) + len(beside))
	r.posterior = records.Update(known, r.sample, slices.Concat(r.inputs, beside))
	if err := a.addOffSheets(r); err != nil {
		return err
	}
	a.draw(r)
	return a.learnVacuum(r)
}

// inputsInDoubt prepares the inputs of the job and of the model, each varied to both ends.
func (a *Analysis) inputsInDoubt() *ranges {
	r := &ranges{likely: a.varied(a.job), pieces: make([]pieceRange, len(a.rec.Pieces)+1), fixed: -1}
	for i := range a.job.Doubts {
		d := &a.job.Doubts[i]
		if d.Exact() {
			continue
		}
		scores := make([]float64, len(a.job.Doubts))
		ends := [2]rangeEnd{{score: -doubt.Score95}, {score: doubt.Score95}}
		if d.Scope == doubt.Sheet {
			a.keepWithinOffSheets(d.Input, &ends)
		}
		for k := range ends {
			scores[i] = ends[k].score
			ends[k].variation = a.varied(a.job.Varied(scores))
		}
		r.inputs, r.ends, r.places = append(r.inputs, d.Input), append(r.ends, ends), append(r.places, i)
	}
	r.inputs = append(r.inputs, a.errorsOfModel()...)
	return r
}

// errorsOfModel are the errors of the model for the job: where its cuts lie over grooves that count as one face is not
// told, so that a piece may be held less. The factor is that of what is lost beside cuts, rather too much as long as
// less is lost than held.
func (a *Analysis) errorsOfModel() []doubt.Input {
	out := slices.Clone(modelErrors)
	if len(out) > ofPiece {
		out[ofPiece].Low /= airflow.CutLoss(a.job)
	}
	return out
}

// respond finds the responses of the margin of a trial.
func (r *ranges) respond(a *Analysis, t trial) response {
	bodies := map[bodyKey]*contact.Support{}
	if t.margin >= a.enough {
		// The check has but a lower bound, with which responses could not be compared.
		if exact, err := r.likely.margin(t, bodies); err == nil {
			t.margin = exact
		}
	}
	out := response{trial: t, to: make([]doubt.Response, len(r.inputs))}
	by := newByVacuum(r, t, bodies)
	for k := range out.to {
		if k == r.fixed {
			continue
		}
		if k < len(r.ends) {
			out.to[k] = doubt.Straight(by.change(r.ends[k][0]), by.change(r.ends[k][1]))
		} else {
			out.to[k] = doubt.Straight(math.Log(r.inputs[k].Low), math.Log(r.inputs[k].High))
		}
	}
	for side, way := range [2]float64{-1, 1} {
		out.interactions[side] = r.interaction(a, &out, way, bodies)
	}
	return out
}

// change is that of the logarithm of the margin of a trial. A margin that cannot be computed counts as unchanged.
func (v *variation) change(t trial, bodies map[bodyKey]*contact.Support) float64 {
	margin, err := v.margin(t, bodies)
	if err != nil {
		return 0
	}
	return logOf(margin) - logOf(t.margin)
}

// interaction tries a trial where the job's inputs together lower (way -1) or raise (1) its margin most.
func (r *ranges) interaction(a *Analysis, of *response, way float64,
	bodies map[bodyKey]*contact.Support) doubt.Interaction {

	const least = 0.01 // of the logarithm: of less there is none
	scores, sum := make([]float64, len(r.ends)), 0.0
	for k := range scores {
		low, high := way*of.to[k][0], way*of.to[k][len(doubt.Knots)-1]
		if scores[k] = math.Max(0, high); low > high {
			scores[k] = -math.Max(0, low)
		}
		sum = math.Hypot(sum, scores[k])
	}
	if sum < least {
		return doubt.Interaction{}
	}
	told := 0.0
	for k := range scores {
		scores[k] *= doubt.Score95 / sum
		scores[k] = math.Min(math.Max(scores[k], r.ends[k][0].score), r.ends[k][1].score)
		told += of.to[k].Of(scores[k])
	}
	all := make([]float64, len(a.job.Doubts))
	for k, score := range scores {
		all[r.places[k]] = score
	}
	return doubt.Interaction{Scores: scores, Log: a.varied(a.job.Varied(all)).change(of.trial, bodies) - told}
}

func logOf(margin float64) float64 {
	return math.Log(math.Min(math.Max(margin, leastMargin), mostMargin))
}

// draw asks the sample about every piece and about the program.
func (a *Analysis) draw(r *ranges) {
	moves := make([]moving, max(1, a.workers))
	parallel.For(a.workers, len(a.rec.Pieces), func(worker, i int) {
		p := &r.pieces[i+1]
		p.low, p.high, p.chance, p.learned = math.NaN(), math.NaN(), math.NaN(), 1
		for _, t := range a.criticalSteps(int32(i + 1)) {
			p.steps = append(p.steps, r.respond(a, t))
		}
		if len(p.steps) == 0 {
			return
		}
		slices.SortStableFunc(p.steps, func(s, u response) int { return cmp.Compare(s.margin, u.margin) })
		if p.steps[0].margin <= 0 { // sure to move
			p.low, p.high, p.chance = 0, 0, 1
			moves[worker].add(slices.Repeat([]float64{math.Inf(-1)}, doubt.Draws))
			return
		}
		moves[worker].add(r.judge(i+1, p))
		a.decide(r, i+1, p)
	})
	all := moves[0]
	for _, m := range moves[1:] {
		if m != nil {
			all.add(m)
		}
	}
	_, r.chance = r.points(all)
	for id := range r.pieces {
		if p := &r.pieces[id]; len(p.steps) > 0 && (r.decides == 0 || p.moreDoubtful(&r.pieces[r.decides])) {
			r.decides = id
		}
	}
}

// decide names the input that decides on a piece: a sheet on which skins or cuts turn, where the low end would keep the
// margin asked for without that, else the input of the greatest share.
func (a *Analysis) decide(r *ranges, id int, p *pieceRange) {
	for i := range r.offSheets {
		f := &r.offSheets[i]
		if _, there := f.steps[id]; !there && !f.moves || p.low >= a.asked {
			continue
		}
		if still, _ := r.points(r.logsOf(r.drawn(), id, p.steps)); still[0] >= a.asked {
			p.decides, p.turned = r.inputs[f.input].Name, true
			return
		}
	}
	if doubts := r.doubts(p.steps[0].to); len(doubts) > 0 {
		p.decides = doubts[0].Input
	}
}

// moreDoubtful tells whether the verdict hangs more on p than on q: on the lowest end of those that may hold, where
// there are any.
func (p *pieceRange) moreDoubtful(q *pieceRange) bool {
	const sure = 0.999
	if (p.chance < sure) != (q.chance < sure) {
		return p.chance < sure
	}
	return p.low < q.low
}

// moving is the logarithm of the least margin of several pieces, draw by draw; nil: of none.
type moving []float64

func (m *moving) add(logs []float64) {
	if *m == nil {
		*m = slices.Clone(logs)
		return
	}
	for i, log := range logs {
		(*m)[i] = math.Min((*m)[i], log)
	}
}

// points gives 5, 50 and 95 % points of a margin from its logarithms by draw, and the chance that it is below 1; nil:
// of nothing that moves.
func (r *ranges) points(logs []float64) (points [3]float64, chance float64) {
	if logs == nil {
		return points, 0
	}
	if r.posterior != nil {
		return r.posterior.Points(logs)
	}
	for i, x := range r.sample.Quantiles(logs, 0.05, 0.5, 0.95) {
		points[i] = math.Exp(x)
	}
	return points, r.sample.Chance(func(draw int) bool { return logs[draw] < 0 })
}

// judge gives a piece its range and chance, and returns the logarithm of its margin by draw.
func (r *ranges) judge(id int, p *pieceRange) []float64 {
	logs := r.logs(r.drawn(), id, p)
	points, chance := r.points(logs)
	if r.posterior != nil {
		p.learned = points[1] / math.Exp(r.sample.Quantiles(r.logs(r.sample, id, p), 0.5)[0])
	}
	likely := p.steps[0].margin * p.learned
	p.low, p.high, p.chance = math.Min(likely, points[0]), math.Max(likely, points[2]), chance
	return logs
}

// drawn is the sample that margins are asked of.
func (r *ranges) drawn() *doubt.Sample {
	if r.posterior != nil {
		return r.posterior.All
	}
	return r.sample
}

// logs gives the logarithm of a piece's margin, draw by draw: the least over its critical steps.
func (r *ranges) logs(sample *doubt.Sample, id int, p *pieceRange) []float64 {
	out := r.logsOf(sample, id, p.steps)
	for i := range r.offSheets {
		f := &r.offSheets[i]
		steps, ok := f.steps[id]
		if !ok && !f.moves {
			continue
		}
		past := slices.Repeat([]float64{logOf(0)}, doubt.Draws)
		if !f.moves {
			past = r.logsOf(sample, id, steps)
		}
		for draw, score := range sample.Scores(f.input) {
			if f.turned(score) {
				out[draw] = past[draw]
			}
		}
	}
	return out
}

// logsOf does so for the least margin of some steps.
func (r *ranges) logsOf(sample *doubt.Sample, id int, steps []response) []float64 {
	out, sum := make([]float64, doubt.Draws), make([]float64, doubt.Draws)
	own := map[int][]float64{}
	for n := range steps {
		step := &steps[n]
		for i := range sum {
			sum[i] = logOf(step.margin)
		}
		for k := range r.inputs {
			response := &step.to[k]
			if response.None() {
				continue
			}
			scores := sample.Scores(k)
			if r.inputs[k].Scope == doubt.Piece {
				if own[k] == nil {
					own[k] = doubt.PieceScores(id, k)
				}
				scores = own[k]
			}
			for i, score := range scores {
				sum[i] += response.Of(score)
			}
		}
		for side := range step.interactions {
			step.interactions[side].Add(sum, sample.Scores)
		}
		for i := range out {
			if n == 0 || sum[i] < out[i] {
				out[i] = sum[i]
			}
		}
	}
	return out
}

// rangeStatements say what the model itself is taken to be off by.
func (a *Analysis) rangeStatements() []string {
	var out []string
	for _, in := range a.errorsOfModel() {
		out = append(out, fmt.Sprintf("%s: a factor of %.2g to %.3g on the margin, 9 times of 10 (%s)", in.Name, in.Low,
			in.High, in.Source))
	}
	return out
}

// rangeOf is the range of a piece; its steps are empty when nothing loads it.
func (a *Analysis) rangeOf(piece int32) *pieceRange { return &a.ranges.pieces[piece] }

// lowShare is the low end of the margin over that of the likely job.
func (p *pieceRange) lowShare() float64 {
	if len(p.steps) > 0 && p.steps[0].margin > 0 {
		return p.low / p.steps[0].margin
	}
	return 1
}

// highShare is the high end of the margin over that of the likely job.
func (p *pieceRange) highShare() float64 {
	if len(p.steps) > 0 && p.steps[0].margin > 0 {
		return p.high / p.steps[0].margin
	}
	return 1
}

// limit is the margin of the likely job below which a piece moves.
func (a *Analysis) limit(piece int32) float64 { return 1 / a.rangeOf(piece).learned }

// required is the margin of the likely job at which the low end of a piece's margin is the one asked for. All its steps
// are taken to have the range of its least one.
func (a *Analysis) required(piece int32) float64 { return a.asked / a.rangeOf(piece).lowShare() }

// shares gives the share of each input in the variance of the logarithm of a margin with these responses; they sum to
// 1.
func shares(responses []doubt.Response) []float64 {
	out := make([]float64, len(responses))
	sum := 0.0
	for k := range out {
		out[k] = responses[k].Variance()
		sum += out[k]
	}
	for k := range out {
		if sum > 0 {
			out[k] /= sum
		}
	}
	return out
}

// doubts lists the inputs that move a margin with these responses, the greatest share first.
func (r *ranges) doubts(responses []doubt.Response) []result.Doubt {
	var out []result.Doubt
	for k, share := range shares(responses) {
		if responses[k].None() {
			continue
		}
		in := &r.inputs[k]
		out = append(out, result.Doubt{
			Input: in.Name, Range: result.Range{Low: in.Low, Likely: in.Likely, High: in.High}, Unit: in.Unit,
			Share: share, Source: in.Source,
			Slope: responses[k].Slope(), Measure: in.Measure,
		})
	}
	slices.SortStableFunc(out, func(d, e result.Doubt) int { return cmp.Compare(e.Share, d.Share) })
	return out
}
