package hold

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb/planar"

	"staydown/hold/edit"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/hold/sweepjob"
	"staydown/parse"
)

// Bounds of the search for actions.
const (
	maxActionMoves  = 300_000 // of a program: each run of it keeps a second record beside the first
	maxActionShapes = 12      // shapes of pieces, the worst first, for which values are looked for
	// maxActionCost bounds the runs of the whole program, in runs with a sweep.
	maxActionCost = 4.6
	checkCost     = 0.6 // of a run without a sweep
	lastCost      = 1   // kept for the best change together with a lower feed
	maxStronger   = 2   // corrections of a value that the run of the whole program did not confirm
)

// measure is a change for the whole program that may cure what is below the margin.
type measure struct {
	what    string // to do
	cures   []bool // which of the shapes that are looked at
	apply   func(d *draft)
	retypes bool // it reads changed text: of two such only the later one counts
	// stronger is the same with more of it; nil when there is no more.
	stronger func() *measure
}

// draft is the job and the moves of a run with measures taken.
type draft struct {
	job    *job.Job
	prog   *parse.Program // that the moves are of
	moves  []parse.Edited
	motion bool // the tool goes elsewhere, so that the sweep is to be run again
}

// retype puts another text of the program in its place, of which lines in some ranges are changed.
func (d *draft) retype(prog *parse.Program, ranges [][2]int) {
	d.prog, d.moves, d.motion = prog, edit.Moves(prog), true
	for i := range d.moves {
		line := int(d.moves[i].Line)
		d.moves[i].Changed = slices.ContainsFunc(ranges, func(r [2]int) bool { return r[0] <= line && line <= r[1] })
	}
}

// actionSearch looks for actions.
type actionSearch struct {
	program *Analysis      // that the actions are for
	a       *Analysis      // in which values are looked for: the program, or its run with the action taken
	taken   *proven        // with every further measure; nil: none
	shapes  []remedySearch // of a: the worst piece of each shape with findings, the worst first
	cost    float64
	budget  float64 // that cost may reach
	actions []proven
	show    func() // told of each further one
}

// proven is an action that was run.
type proven struct {
	result.Action
	order int // in which measures were tried: the cheapest for the shop first
	cure  bool
	risky int // pieces below the required margin
	apply func(d *draft)
	run   *Analysis // of the best one so far; nil of the others
}

// AddActions looks for what to do for the whole program: changes that cure everything or most, the cheapest for the
// shop first, each proven by a run of the whole program with it. Where no single one cures all, pairs are tried. It
// takes no more than some five times as long as Check, and adds none to programs that hold, that were not fully read,
// or that have more than 300 000 moves. After each further action show, unless nil, is told that the result has it.
func (a *Analysis) AddActions(show func()) {
	r := a.Result
	if r.Verdict == result.Held || !result.FullyRead(r.Findings) || a.prog.Moves.Len() > maxActionMoves {
		return
	}
	s := newActionSearch(a, show)
	s.tryCover()
	measures := s.measures()
	s.trySingles(measures)
	s.tryLayers(len(measures) + 1)
	s.tryMost(measures)
	s.tryPairs(measures)
	s.tryFeedWithBest(len(measures))
}

func newActionSearch(a *Analysis, show func()) *actionSearch {
	return &actionSearch{program: a, a: a, shapes: a.worstShapes(), budget: maxActionCost - lastCost, show: show}
}

// take looks for all further measures in the run of an action, and proves them together with it.
func (s *actionSearch) take(p proven) {
	s.a, s.taken, s.shapes = p.run, &p, p.run.worstShapes()
}

// add puts a proven action to those of the result, which stand in the order in which they are worth trying.
func (s *actionSearch) add(p proven) {
	s.actions = append(s.actions, p)
	slices.SortStableFunc(s.actions, proven.compare)
	for i := range s.actions[1:] {
		s.actions[i+1].run = nil // each keeps a record
	}
	r := s.program.Result
	loose := 0
	for i := range r.Pieces {
		if r.Pieces[i].State == result.StateLoose {
			loose++
		}
	}
	r.Actions = nil
	for _, p := range s.actions {
		if idle := !p.cure && loose > 0 && len(p.LeftLoose) >= loose; idle && p.order > 0 {
			continue // it helps nobody; a covered table at least raises the vacuum
		}
		r.Actions = append(r.Actions, p.Action)
	}
	if s.show != nil {
		s.show()
	}
}

// compare puts cures first, the cheapest at their head, and of the others those that leave the least to do.
func (p proven) compare(q proven) int {
	if p.cure != q.cure {
		if p.cure {
			return -1
		}
		return 1
	}
	if p.cure {
		return cmp.Compare(p.order, q.order)
	}
	return cmp.Or(cmp.Compare(len(p.LeftLoose), len(q.LeftLoose)), cmp.Compare(p.risky, q.risky),
		cmp.Compare(p.order, q.order))
}

// worstShapes gives the search of the worst piece of each shape with findings.
func (a *Analysis) worstShapes() []remedySearch {
	worst := map[int][]*stretch{}
	for _, runs := range a.tooWeak {
		shape := a.Result.Pieces[runs[0].piece-1].Shape
		if known := worst[shape]; known == nil || worstOf(runs).worse(worstOf(known)) {
			worst[shape] = runs
		}
	}
	var order [][]*stretch
	for _, runs := range worst {
		order = append(order, runs)
	}
	slices.SortFunc(order, func(x, y []*stretch) int {
		return cmp.Or(cmp.Compare(worstOf(x).margin, worstOf(y).margin), cmp.Compare(x[0].piece, y[0].piece))
	})
	var out []remedySearch
	for _, runs := range order[:min(len(order), maxActionShapes)] {
		if p, ok := a.remedySearch(runs); ok {
			p.thorough = true
			out = append(out, p)
		}
	}
	return out
}

// whole tells whether a measure may cure every shape that is looked at.
func (m *measure) whole() bool { return !slices.Contains(m.cures, false) }

func (m *measure) none() bool { return !slices.Contains(m.cures, true) }

// tryCover covers the bare table and closes zones with no stock on them, when air comes in there. It is cheap for the
// shop and helps every piece. Where it cures nothing by itself and bare table costs a finding's share of the vacuum, it
// comes before everything else.
func (s *actionSearch) tryCover() {
	covered, ok := s.a.coveredJob()
	if !ok {
		return
	}
	now, what := s.a.Result.Vacuum.LeastKPa, s.a.coverText()
	p, ok := s.prove(0, what, func(d *draft) {
		for i, z := range covered.Zones {
			d.job.Zones[i].Covered, d.job.Zones[i].Open = z.Covered, z.Open
		}
	})
	if !ok {
		return
	}
	least := p.vacuumKPa
	if least <= now+0.1 {
		return
	}
	cover := p.proven
	p.What = fmt.Sprintf("%s: the least vacuum is then %s, now %s", what,
		s.a.units.Pressure().Text(least), s.a.units.Pressure().Text(now))
	s.add(p.proven)
	if !cover.cure && now <= (1-bareShare)*least {
		s.take(cover)
	}
}

// trySingles proves the measures that may cure everything, until two do.
func (s *actionSearch) trySingles(measures []*measure) {
	cures := 0
	for i, m := range measures {
		if !m.whole() || cures == 2 {
			continue
		}
		if s.proveStronger(i+1, m) {
			cures++
		}
	}
}

// proveStronger proves a measure and, until it cures everything, more of it. It adds the last one that was run.
func (s *actionSearch) proveStronger(order int, m *measure) (cure bool) {
	var last *proven
	for n := 0; m != nil && n <= maxStronger && !cure; n++ {
		p, ok := s.prove(order, m.what, m.apply)
		if !ok {
			break
		}
		last, cure = &p.proven, p.cure
		if m.stronger == nil {
			break
		}
		m = m.stronger()
	}
	if last != nil {
		s.add(*last)
	}
	return cure
}

func (s *actionSearch) cured() bool { return s.cures() > 0 }

// cures counts the actions that cure everything.
func (s *actionSearch) cures() (n int) {
	for _, p := range s.actions {
		if p.cure {
			n++
		}
	}
	return n
}

// tryMost proves the measures that cure the most shapes, where none may cure every one by itself: what loosens one
// piece may be another that is loose, and is cured with it.
func (s *actionSearch) tryMost(measures []*measure) {
	if s.cured() {
		return
	}
	var most []*measure
	for _, m := range measures {
		if !m.whole() { // the others are proven
			most = append(most, m)
		}
	}
	slices.SortStableFunc(most, func(x, y *measure) int { return cmp.Compare(count(y.cures), count(x.cures)) })
	for _, m := range most[:min(len(most), 2)] {
		s.proveStronger(slices.Index(measures, m)+1, m)
	}
}

// tryPairs proves pairs of measures that together may cure everything, the cheapest first, where no single one does.
func (s *actionSearch) tryPairs(measures []*measure) {
	if s.cured() {
		return
	}
	var pairs [][2]int
	for i, m := range measures {
		for k := i + 1; k < len(measures); k++ {
			union := measure{cures: slices.Clone(m.cures)}
			for n, cured := range measures[k].cures {
				union.cures[n] = union.cures[n] || cured
			}
			if union.whole() && !m.whole() && !measures[k].whole() && !(m.retypes && measures[k].retypes) {
				pairs = append(pairs, [2]int{i, k})
			}
		}
	}
	slices.SortStableFunc(pairs, func(x, y [2]int) int { return cmp.Compare(x[0]+x[1], y[0]+y[1]) })
	for _, pair := range pairs[:min(len(pairs), 2)] {
		x, y := measures[pair[0]], measures[pair[1]]
		p, ok := s.prove(len(measures)+1+pair[0]+pair[1], x.what+"; and "+y.what, func(d *draft) { applyBoth(d, x, y) })
		if !ok {
			break
		}
		s.add(p.proven)
		if p.cure {
			return
		}
	}
}

// applyBoth takes two measures: changed text is read first, since its moves replace those of the draft.
func applyBoth(d *draft, x, y *measure) {
	if y.retypes {
		x, y = y, x
	}
	x.apply(d)
	y.apply(d)
}

// tryFeedWithBest proves the best change so far, where it does not cure everything, together with less feed in the
// blocks that stay below the margin in its run.
func (s *actionSearch) tryFeedWithBest(order int) {
	if s.cured() || len(s.actions) == 0 || s.actions[0].run == nil || s.actions[0].order == 0 {
		return
	}
	best := s.actions[0]
	s.take(best)
	s.budget = maxActionCost
	if m := s.lowFeed(); m != nil && m.whole() {
		s.proveStronger(2*order+best.order, m)
	}
}

func count(cures []bool) (n int) {
	for _, cured := range cures {
		if cured {
			n++
		}
	}
	return n
}

// outcome is a proven action with the least vacuum of its run.
type outcome struct {
	proven
	vacuumKPa float64
}

// prove runs the whole program with a change; ok is false when there is no room for another run or the run fails.
func (s *actionSearch) prove(order int, what string, apply func(d *draft)) (out outcome, ok bool) {
	a := s.program
	if taken, more := s.taken, apply; taken != nil {
		what = taken.What + "; and " + what
		apply = func(d *draft) {
			taken.apply(d)
			more(d)
		}
	}
	d := &draft{job: a.job.Varied(nil), prog: a.prog, moves: edit.Moves(a.prog)}
	apply(d)
	cost := checkCost
	if d.motion {
		cost = 1
	}
	if s.cost+cost > s.budget {
		return out, false
	}
	s.cost += cost
	lines := changedLines(d.moves) // the edit marks what follows too
	b, err := a.provingRun(d)
	if err != nil {
		return out, false
	}
	r := b.Result
	out.Action = result.Action{What: what, Lines: lines, Verdict: r.Verdict,
		LeastMargin: result.Range{Low: math.NaN(), Likely: math.NaN(), High: math.NaN()}}
	if p, loaded := r.LeastPiece(); loaded {
		out.LeastMargin = result.Range{Low: p.Least.Low, Likely: p.Least.Margin, High: p.Least.High}
	}
	for i := range r.Pieces {
		p := &r.Pieces[i]
		if p.State == result.StateLoose {
			out.LeftLoose = append(out.LeftLoose, a.formerID(p))
		}
		if p.State == result.StateLoose || p.State == result.StateAtRisk {
			out.risky++
		}
	}
	slices.Sort(out.LeftLoose)
	out.LeftLoose = slices.Compact(out.LeftLoose)
	out.order, out.apply, out.run = order, apply, b
	out.vacuumKPa = b.weakest().state.VacuumPa() / kilo
	out.cure = r.Verdict != result.Loose && r.Verdict != result.Incomplete && !slices.ContainsFunc(r.Findings,
		func(f result.Finding) bool {
			return f.Risky() || f.Rule == result.RulePumpShort
		})
	return out, true
}

// provingRun takes the changed program the road of the program itself: sweep, if the motion changed, and check.
func (a *Analysis) provingRun(d *draft) (*Analysis, error) {
	prog, rec := d.prog.Edit(d.moves), a.rec
	opt := sweepjob.Options(prog, d.job)
	opt.CellMM, opt.Neck, opt.Jobs = rec.Grid.CellMM, sweepjob.Neck(prog, d.job), a.workers
	over := sweepjob.Sweeper(prog, d.job, opt)
	if d.motion {
		var err error
		if rec, err = over(d.job.Stock.BottomMM); err != nil {
			return nil, err
		}
	}
	proof := Options{Workers: a.workers, NoRemedies: true, NoPictures: true, proof: true, Records: a.options.Records}
	if a.options.Resweep != nil {
		proof.Resweep = over
	}
	return Check(prog, rec, d.job, proof)
}

// changedLines lists the lines of the blocks that are changed, in rising order.
func changedLines(moves []parse.Edited) []int {
	var out []int
	for i := range moves {
		if moves[i].Changed {
			out = append(out, int(moves[i].Line))
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// formerID is the number that a piece of a changed program has in the program itself: that of the nearest one, of the
// stock for the stock.
func (a *Analysis) formerID(p *result.Piece) int {
	if p.ID == 1 {
		return 1
	}
	best, least := p.ID, math.Inf(1)
	for i := range a.Result.Pieces {
		q := &a.Result.Pieces[i]
		if i == 0 {
			continue
		}
		if d := planar.Distance(p.Centroid, q.Centroid) +
			math.Abs(math.Sqrt(p.AreaMM2)-math.Sqrt(q.AreaMM2)); d < least {
			best, least = q.ID, d
		}
	}
	return best
}
