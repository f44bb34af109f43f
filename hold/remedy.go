package hold

import (
	"math"
	"slices"
	"strings"
	"sync"

	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/hold/doubt"
	"staydown/hold/result"
	"staydown/sweep"
	"staydown/sweep/parallel"
)

// maxRemedies is the number of remedies that a finding names, the cheapest first.
const maxRemedies = 3

// Bounds of the search for remedies.
const (
	searchHalvings = 8
	maxCured       = 400    // pieces with a remedy search
	maxThorough    = 4      // of them, those with costly remedies beside cheap ones
	maxRemedySteps = 12_000 // steps of one piece that are re-run for every candidate
	remedyRoom     = 1.04   // times the required margin: what a remedy must show
)

// remedySearch finds remedies for one piece. Each remedy cures all its findings at once.
type remedySearch struct {
	a         *Analysis
	piece     *sweep.Piece
	runs      []*stretch // the findings of the piece, in order
	worst     trial
	steps     []bindingStep // of the runs, the worst first
	unchanged bodies        // as they lie, for changes that concern the load alone

	atRim   []int                  // the steps up to the one that frees the piece that come to its outer ring
	cuts    map[float64]closingCut // by height above the table
	plunges map[float64]bool       // by height of tabs: see othersStandPlunges

	like *likePieces // what is found on the worst of the pieces like this one

	// thorough also tries the costly remedies, tabs and another order, which re-run many steps.
	thorough bool
}

// bodies keeps supports by epoch and piece.
type bodies map[int]map[bodyKey]*contact.Support

func (b bodies) at(epoch int) map[bodyKey]*contact.Support {
	if b[epoch] == nil {
		b[epoch] = map[bodyKey]*contact.Support{}
	}
	return b[epoch]
}

// tooWeakPieces gathers the stretches of each piece below the required margin, in the order of the first.
func (a *Analysis) tooWeakPieces(runs []*stretch) [][]*stretch {
	index := map[int32]int{}
	var out [][]*stretch
	for _, run := range runs {
		if a.rangeOf(run.piece).turned {
			continue // what holds it on this sheet does not on one where its skin is cut through
		}
		n, known := index[run.piece]
		if !known {
			n = len(out)
			if n == maxCured {
				continue
			}
			index[run.piece] = n
			out = append(out, nil)
		}
		out[n] = append(out[n], run)
	}
	return out
}

// AddRemedies adds to every finding of a margin the cheapest remedies that the model confirms; all findings of a piece
// get the same ones. Pieces do not depend on each other and are worked on side by side.
func (a *Analysis) AddRemedies() {
	findings := a.Result.Findings
	of := map[int][]int{}
	for i, f := range findings {
		if result.AboutMargin(f.Rule) {
			of[f.Piece] = append(of[f.Piece], i)
		}
	}
	like := a.groupLike(a.tooWeak)
	parallel.For(a.workers, len(a.tooWeak), func(_, n int) {
		if p, ok := a.remedySearch(a.tooWeak[n]); ok {
			p.thorough, p.like = n < maxThorough, like[n]
			text, easeMMMin := p.remedies()
			for _, i := range of[p.piece.ID] {
				findings[i].Remedy, findings[i].EaseFeedMMMin = text, easeMMMin
			}
		}
	})
}

// remedySearch collects the steps of all stretches of a piece; ok is false if there are too many to re-run.
func (a *Analysis) remedySearch(runs []*stretch) (p remedySearch, ok bool) {
	p = remedySearch{a: a, runs: runs, piece: &a.rec.Pieces[runs[0].piece-1], worst: runs[0].worst, unchanged: bodies{},
		like: &likePieces{worst: runs},
		cuts: map[float64]closingCut{}, plunges: map[float64]bool{}}
	p.atRim = p.stepsAtRim()
	for _, run := range runs {
		p.steps = append(p.steps, bindingStep{run.worst.epoch, run.worst.step, run.piece})
		if run.worst.worse(p.worst) {
			p.worst = run.worst
			p.steps[0], p.steps[len(p.steps)-1] = p.steps[len(p.steps)-1], p.steps[0]
		}
	}
	for _, run := range runs {
		epoch := run.first.epoch
		for step := run.first.step; step < a.rec.Steps.Len() && step <= run.lastStep; step++ {
			for step >= a.air[epoch].lastStep {
				epoch++
			}
			if slices.Contains(a.touchedIn(step), run.piece) {
				p.steps = append(p.steps, bindingStep{epoch, step, run.piece})
				if p.unchanged[epoch] == nil {
					p.reuseBodies(epoch)
				}
			}
			if len(p.steps) > maxRemedySteps {
				return p, false
			}
		}
	}
	return p, true
}

// reuseBodies keeps the supports that the check built for the piece in an epoch.
func (p remedySearch) reuseBodies(epoch int) {
	for key, s := range p.a.air[epoch].bodies {
		if key.piece == p.id() {
			p.unchanged.at(epoch)[key] = s
		}
	}
}

func (p remedySearch) id() int32 { return int32(p.piece.ID) }

// roomy is the likely margin that a remedy must show.
func (p remedySearch) roomy(piece int32) float64 { return remedyRoom * p.a.required(piece) }

// roomyFor is the likely margin that a change must show. A thinner pass makes more of what the sheet is thicker than
// likely: the load goes with the depth.
func (p remedySearch) roomyFor(c change) marginOf {
	r := p.a.ranges
	if c.PassMM <= 0 {
		return p.roomy
	}
	return func(piece int32) float64 {
		d := p.a.rangeOf(piece)
		if len(d.steps) == 0 || d.lowShare() <= 0 {
			return p.roomy(piece)
		}
		whole := -math.Log(d.lowShare())
		for k := range r.ends {
			if r.inputs[k].Scope != doubt.Sheet {
				continue
			}
			to := &d.steps[0].to[k]
			was, is := math.Min(0, math.Min(to[0], to[len(to)-1])), math.Log1p(math.Max(0, r.inputs[k].High)/c.PassMM)
			whole = math.Sqrt(math.Max(0, whole*whole-was*was) + is*is)
		}
		return math.Max(p.roomy(piece), remedyRoom*p.a.asked*math.Exp(whole))
	}
}

// cures reports whether every step of the stretches keeps the required margin with the change, with the chuck at the
// absolute pressure of each epoch (nil: as computed). It requires a little more, since cells and steps differ in the
// changed program. A step that does not keep it goes first from then on: it is the most likely to rule out other
// changes.
func (p remedySearch) cures(c change, chuck func(index int) airflow.Chuck) bool {
	plain := bodies{}
	if chuck == nil {
		chuck, plain = p.a.ownChuck, p.unchanged
	}
	states := map[int]*epochState{}
	for i, s := range p.steps {
		t := states[s.epoch]
		if t == nil {
			t = p.a.epochState(s.epoch, chuck(s.epoch), c)
			t.unchanged = plain.at(s.epoch)
			if !c.body() {
				t.bodies = t.unchanged
			}
			states[s.epoch] = t
		}
		missed, tried, err := t.misses(s.step, []int32{s.piece}, p.roomyFor(c))
		if err != nil || tried == 0 || len(missed) > 0 {
			copy(p.steps[1:i+1], p.steps)
			p.steps[0] = s
			return false
		}
	}
	return true
}

// ownChuck is the chuck in an epoch with the job's own pump.
func (a *Analysis) ownChuck(index int) airflow.Chuck { return a.air[index].state.Chuck }

// remedies lists the cheapest remedies in words, and gives the feed of the lower one, mm/min; 0 when none holds.
func (p remedySearch) remedies() (words string, easeMMMin float64) {
	var out []string
	easeMMMin, words = p.lowerFeed()
	if words != "" {
		out = append(out, words)
	}
	a := p.a
	for _, way := range []struct {
		seek   func(remedySearch) string
		costly bool
		off    bool // it relies on pump or zones that the program switches
	}{
		{remedySearch.smallerPass, false, false},
		{remedySearch.leaveSkin, false, false}, {remedySearch.leaveTabs, true, false},
		{remedySearch.anchor, false, false}, {remedySearch.cutEarlier, true, a.noVacuum || a.otherZones},
		{remedySearch.downCut, false, false},
		{remedySearch.adhesive, false, false},
		{remedySearch.largerPump, false, a.noVacuum}, {remedySearch.deeperVacuum, false, a.noVacuum},
	} {
		if way.costly && len(out) > 0 && !p.thorough || way.off {
			continue
		}
		if sentence := way.seek(p); sentence != "" {
			out = append(out, sentence)
		}
		if len(out) == maxRemedies {
			break
		}
	}
	return strings.Join(out, "; or "), easeMMMin
}

// largest gives the largest x between low and high that holds, if every x below one that holds does too, to a 256th of
// the way; 0 when low does not. The few steps that ruled out most are asked for the whole search, the others only about
// what it finds.
func (p remedySearch) largest(low, high float64, holds func(p remedySearch, x float64) bool) float64 {
	for n := 1; ; n *= 8 {
		few := p
		few.steps = p.steps[:min(n, len(p.steps))]
		x := largest(low, high, func(x float64) bool { return holds(few, x) })
		if x == 0 || n >= len(p.steps) || holds(p, x) {
			return x
		}
	}
}

// smallest gives the smallest x between low and high that holds, likewise, if every x above one that holds does too;
// high when none does.
func (p remedySearch) smallest(low, high float64, holds func(p remedySearch, x float64) bool) float64 {
	return high - p.largest(0, high-low, func(p remedySearch, less float64) bool { return holds(p, high-less) })
}

// largest returns the largest x from low to high with ok(x); 0 if ok(low) fails.
func largest(low, high float64, ok func(float64) bool) float64 {
	if !ok(low) {
		return 0
	}
	for range searchHalvings {
		if mid := (low + high) / 2; ok(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

func (p remedySearch) anchor() string {
	if p.piece.Parent != 0 || p.a.job.Stock.Anchored || !p.cures(change{anchored: true}, nil) {
		return ""
	}
	return "also screw or clamp the sheet"
}

// likePieces are pieces of the same shape (see markAlike), cut out by the same tool, with findings. What takes long is
// looked for on the one with the least margin.
type likePieces struct {
	worst  []*stretch // the findings of that one
	once   sync.Once
	passMM float64 // its last pass; 0: none holds
}

// groupLike gives every list of findings of a piece the pieces like it.
func (a *Analysis) groupLike(all [][]*stretch) []*likePieces {
	type likeness struct{ shape, tool int }
	groups := map[likeness]*likePieces{}
	out := make([]*likePieces, len(all))
	for i, runs := range all {
		key := likeness{a.Result.Pieces[runs[0].piece-1].Shape, runs[0].worst.tool}
		g := groups[key]
		if g == nil {
			g = &likePieces{worst: runs}
			groups[key] = g
		}
		if worstOf(runs).worse(worstOf(g.worst)) {
			g.worst = runs
		}
		out[i] = g
	}
	return out
}

func worstOf(runs []*stretch) trial {
	worst := runs[0].worst
	for _, run := range runs[1:] {
		if run.worst.worse(worst) {
			worst = run.worst
		}
	}
	return worst
}
