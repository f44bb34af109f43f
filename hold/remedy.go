package hold

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"golang.org/x/sync/errgroup"

	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/sweep"
)

// maxRemedies is the number of ways out that a finding names, the cheapest first.
const maxRemedies = 3

// Bounds of what is tried as a remedy.
const (
	leastFeedShare  = 0.2 // below it a cutter rubs more than it cuts
	leastPassMM     = 0.05
	greatestTackPa  = 60e3
	searchHalvings  = 8    // answers are rounded to two digits, to the safe side
	skinSegments    = 48   // stretches of skin round a piece
	maxRemedyRuns   = 400  // findings for which a way out is sought
	maxReordered    = 12   // of them, those for which another order is
	maxOrders       = 3    // that are tried for one finding
	maxRemedySteps  = 4000 // steps of one finding that are re-run for every candidate
	inchMM          = 25.4 // exact by definition
	kilo            = 1000.0
	roomOnTheSafe   = 1e-9
	tabSpacingWidth = 3 // a tab and its gaps take this many tab widths of the rim
)

// patient is a stretch under treatment.
type patient struct {
	a     *Analysis
	run   *stretch
	piece *sweep.Piece
	steps []critical // of the stretch, the worst first
	plain bodies     // as they lie, for changes that concern the load alone

	mayReorder bool
}

// bodies keeps supports by epoch and piece.
type bodies map[int]map[bodyKey]*contact.Support

func (b bodies) at(epoch int) map[bodyKey]*contact.Support {
	if b[epoch] == nil {
		b[epoch] = map[bodyKey]*contact.Support{}
	}
	return b[epoch]
}

// prescribe adds to every finding of a margin the cheapest ways out that the model confirms. Findings do not depend on each other
// and are worked on side by side.
func (a *Analysis) prescribe(runs []*stretch, findings []Finding) {
	var group errgroup.Group
	group.SetLimit(a.workers)
	for i, run := range runs[:min(len(runs), maxRemedyRuns)] {
		group.Go(func() error {
			if p, ok := a.patient(run); ok {
				p.mayReorder = i < maxReordered
				findings[i].Remedy = p.treat()
			}
			return nil
		})
	}
	_ = group.Wait() // nothing above fails
}

// patient gathers the steps of a stretch; ok is false when there are too many to re-run.
func (a *Analysis) patient(run *stretch) (patient, bool) {
	p := patient{a: a, run: run, piece: &a.rec.Pieces[run.piece-1], plain: bodies{}}
	p.steps = append(p.steps, critical{run.worst.epoch, run.worst.step, run.piece})
	epoch := run.first.epoch
	for step := run.first.step; step < len(a.rec.Steps) && step <= run.lastStep; step++ {
		for step >= a.air[epoch].lastStep {
			epoch++
		}
		for _, id := range a.touchedIn(step) {
			if id == run.piece {
				p.steps = append(p.steps, critical{epoch, step, id})
				p.recall(epoch, step)
			}
		}
		if len(p.steps) > maxRemedySteps {
			return p, false
		}
	}
	return p, true
}

// recall takes over the body that the piece had in a step of the stretch.
func (p patient) recall(epoch, step int) {
	e := &p.a.air[epoch]
	key := p.a.keyOf(e, &p.a.rec.Steps[step], p.run.piece)
	if s := e.bodies[key]; s != nil {
		p.plain.at(epoch)[key] = s
	}
}

// cures tells whether every step of the stretch keeps the asked-for margin under the change, with the chuck at the
// absolute pressure of each epoch (nil: as computed).
func (p patient) cures(c change, chuckPa func(index int) float64) bool {
	plain := bodies{}
	if chuckPa == nil {
		chuckPa, plain = p.a.ownChuckPa, p.plain
	}
	settings := map[int]*setting{}
	for _, s := range p.steps {
		t := settings[s.epoch]
		if t == nil {
			t = p.a.setting(s.epoch, chuckPa(s.epoch), c)
			t.plain = plain.at(s.epoch)
			if !c.body() {
				t.bodies = t.plain
			}
			settings[s.epoch] = t
		}
		missed, tried, err := t.misses(s.step, []int32{s.piece}, p.a.asked)
		if err != nil || tried == 0 || len(missed) > 0 {
			return false
		}
	}
	return true
}

// ownChuckPa is the absolute pressure that the job's own pump keeps in an epoch.
func (a *Analysis) ownChuckPa(index int) float64 { return a.air[index].state.ChuckPa }

// treat lists the cheapest ways out, in words.
func (p patient) treat() string {
	var out []string
	for _, way := range []func(patient) string{
		patient.lowerFeed, patient.smallerPass, patient.leaveSkin, patient.leaveTabs, patient.anchor,
		patient.cutEarlier, patient.downCut, patient.adhesive, patient.largerPump,
	} {
		if sentence := way(p); sentence != "" {
			out = append(out, sentence)
		}
		if len(out) == maxRemedies {
			break
		}
	}
	return strings.Join(out, "; or ")
}

// largest gives the largest x between low and high for which ok holds, ok(low) being tried first; 0 when it fails.
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

// roundDown keeps two significant digits, never more than x.
func roundDown(x float64) float64 {
	if x <= 0 {
		return 0
	}
	unit := math.Pow(10, math.Floor(math.Log10(x))-1)
	return math.Floor(x/unit+roomOnTheSafe) * unit
}

// roundUp keeps two significant digits, never less than x.
func roundUp(x float64) float64 {
	if x <= 0 {
		return 0
	}
	unit := math.Pow(10, math.Floor(math.Log10(x))-1)
	return math.Ceil(x/unit-roomOnTheSafe) * unit
}

func (p patient) lines() string {
	if p.run.first.line == p.run.lastLine {
		return fmt.Sprintf("line %d", p.run.first.line)
	}
	return fmt.Sprintf("lines %d to %d", p.run.first.line, p.run.lastLine)
}

// length writes a length in the units of the program.
func (p patient) length(mm float64) string {
	if p.a.prog.Inch {
		return fmt.Sprintf("%.3f in", mm/inchMM)
	}
	return fmt.Sprintf("%.4g mm", mm)
}

func (p patient) worstStep() *sweep.Step { return &p.a.rec.Steps[p.run.worst.step] }

func (p patient) lowerFeed() string {
	feed := p.a.cutOf(p.worstStep(), change{}).FeedMMMin
	scale := 1.0
	if p.a.prog.Inch {
		scale = inchMM
	}
	share := largest(leastFeedShare, 1, func(s float64) bool { return p.cures(change{feedShare: s}, nil) })
	written := roundDown(share * feed / scale)
	if share == 0 || written <= 0 || !p.cures(change{feedShare: written * scale / feed}, nil) {
		return ""
	}
	return fmt.Sprintf("feed at most F%.4g (now F%.4g) in %s", written, feed/scale, p.lines())
}

func (p patient) smallerPass() string {
	s := p.worstStep()
	depth := float64(s.HighMM - s.LowMM)
	if s.Flags&sweep.Plunge != 0 || depth <= leastPassMM {
		return ""
	}
	pass := roundDown(largest(leastPassMM, depth, func(d float64) bool { return p.cures(change{passMM: d}, nil) }))
	if pass == 0 || !p.cures(change{passMM: pass}, nil) {
		return ""
	}
	return fmt.Sprintf("a last pass of at most %s (now %s)", p.length(pass), p.length(depth))
}

// skins are the thicknesses of skin that are tried, mm.
var skins = []float64{0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1}

func (p patient) leaveSkin() string {
	rim := p.rim()
	if rim == nil {
		return ""
	}
	thick := p.piece.TopMM - p.a.rec.Stock.BottomMM
	segments := stretchesOf(rim, skinSegments)
	for _, t := range skins {
		if t > thick/3 {
			break
		}
		c := change{skinMM: t}
		for _, s := range segments {
			c.webs = append(c.webs, p.a.web(s.middle, s.lengthMM, t, 0))
		}
		if p.cures(c, nil) {
			return fmt.Sprintf("leave a skin of %s under piece %d (end its cut at Z%s) and part it by hand", p.length(t), p.run.piece, p.z(p.a.rec.Stock.BottomMM+t))
		}
	}
	return ""
}

// z writes a height in the units of the program.
func (p patient) z(mm float64) string {
	if p.a.prog.Inch {
		return fmt.Sprintf("%.4f", mm/inchMM)
	}
	return fmt.Sprintf("%.3f", mm)
}

// tabPlans are the tabs that are tried, in rising order of what it takes to part them.
var tabPlans = []struct {
	count           int
	widthMM, highMM float64
}{
	{2, 4, 1}, {3, 4, 1}, {4, 4, 1}, {3, 6, 1}, {4, 6, 1}, {4, 6, 1.5}, {4, 8, 1.5}, {4, 8, 2}, {6, 8, 2}, {6, 10, 3},
}

func (p patient) leaveTabs() string {
	rim := p.rim()
	if rim == nil {
		return ""
	}
	thick := p.piece.TopMM - p.a.rec.Stock.BottomMM
	kerf := p.a.job.Tools[p.run.worst.tool].DiameterMM
	total := planar.Length(rim)
	for _, plan := range tabPlans {
		if plan.highMM > thick/2 || float64(plan.count)*tabSpacingWidth*plan.widthMM > total {
			continue
		}
		c := change{}
		for _, s := range stretchesOf(rim, plan.count) {
			c.webs = append(c.webs, p.a.web(s.middle, plan.widthMM, plan.highMM, kerf))
		}
		if p.cures(c, nil) {
			return fmt.Sprintf("leave %d tabs, %s wide and %s high, evenly round piece %d", plan.count, p.length(plan.widthMM), p.length(plan.highMM), p.run.piece)
		}
	}
	return ""
}

// rim is the outer ring of a freed piece, nil for the stock.
func (p patient) rim() orb.Ring {
	if p.piece.Freed == 0 || p.piece.Freed >= sweep.Never || len(p.piece.Outline) == 0 || len(p.piece.Outline[0]) == 0 {
		return nil
	}
	return p.piece.Outline[0][0]
}

func (p patient) anchor() string {
	if p.piece.Parent != 0 || p.a.job.Stock.Anchored || !p.cures(change{anchored: true}, nil) {
		return ""
	}
	return "screw or clamp the sheet as well"
}

// cutEarlier looks for a moment at which the vacuum was still enough, with the air that comes in by the piece's own kerf. Exposure only
// grows, so the vacuum falls from epoch to epoch: the last moment that may do is found by bisection without that kerf, and is then
// tried with it, and earlier ones after it.
func (p patient) cutEarlier() string {
	first := p.run.first.epoch
	if p.piece.Freed == 0 || first < 2 || !p.mayReorder {
		return ""
	}
	enough := func(chuckPa float64) bool {
		return p.cures(change{}, func(int) float64 { return chuckPa })
	}
	before := largestIndex(1, first, func(index int) bool { return enough(p.a.air[index].state.ChuckPa) })
	for range maxOrders {
		if before < 1 {
			return ""
		}
		e := &p.a.air[before]
		if e.firstStep >= len(p.a.rec.Steps) {
			return ""
		}
		line := int(p.a.prog.Moves[p.a.rec.Steps[e.firstStep].Move].Line)
		state, err := p.cutAfter(e.until)
		if err == nil && line < p.run.first.line && enough(state.ChuckPa) {
			return fmt.Sprintf("cut piece %d before line %d, which keeps a vacuum of %.1f kPa", p.run.piece, line, math.Floor(10*state.VacuumPa()/kilo)/10)
		}
		before /= 2
	}
	return ""
}

// cutAfter gives the pump's working point at the end of the stretch if the piece were cut at an earlier moment: what was cut by then is
// open, and of the rest all that lies within a tool's diameter of the piece.
func (p patient) cutAfter(moment sweep.Progress) (airflow.State, error) {
	near := p.piece.Outline.Bound().Pad(p.a.job.Tools[p.run.worst.tool].DiameterMM)
	until := p.a.air[p.run.worst.epoch].until
	for _, s := range p.steps {
		until = max(until, p.a.air[s.epoch].until)
	}
	leak, err := airflow.LeakWithout(p.a.job, p.a.rec, until, func(x, y float64, cut sweep.Progress) bool {
		return cut > moment && !near.Contains(orb.Point{x, y})
	})
	if err != nil {
		return airflow.State{}, err
	}
	return airflow.Operate(p.a.job.Pump, p.a.job.AmbientPa, leak)
}

// largestIndex gives the last index from low up to, but without, high for which ok holds, if it holds for low and for no index after one
// for which it does not; low-1 when it does not hold for low.
func largestIndex(low, high int, ok func(index int) bool) int {
	return low - 1 + sort.Search(high-low, func(i int) bool { return !ok(low + i) })
}

func (p patient) downCut() string {
	if p.a.job.Tools[p.run.worst.tool].HelixRad <= 0 || !p.cures(change{downCut: true}, nil) {
		return ""
	}
	return fmt.Sprintf("a down-cut tool in place of tool %d", p.run.worst.tool)
}

func (p patient) adhesive() string {
	if !p.cures(change{tackPa: greatestTackPa}, nil) {
		return ""
	}
	spare := largest(0, greatestTackPa, func(less float64) bool { return p.cures(change{tackPa: greatestTackPa - less}, nil) })
	tack := roundUp(greatestTackPa - spare)
	if !p.cures(change{tackPa: tack}, nil) {
		return ""
	}
	return fmt.Sprintf("a layer with an adhesive face of at least %.2g kPa shear strength", tack/kilo)
}

// largerPump looks for the smallest pump of the same kind whose vacuum in these epochs is enough.
func (p patient) largerPump() string {
	own := p.a.job.Pump
	if own.FlowM3h <= 0 {
		return ""
	}
	with := func(flow float64) bool {
		pump := scaledPump(own, flow)
		return p.cures(change{}, func(index int) float64 {
			state, err := airflow.Operate(pump, p.a.job.AmbientPa, p.a.air[index].leak)
			if err != nil {
				return p.a.job.AmbientPa
			}
			return state.ChuckPa
		})
	}
	high := 10 * own.FlowM3h
	if !with(high) {
		return ""
	}
	spare := largest(0, high-own.FlowM3h, func(less float64) bool { return with(high - less) })
	flow := roundUp(high - spare)
	if !with(flow) {
		return ""
	}
	return fmt.Sprintf("a %s pump of at least %.3g m3/h (now %.3g)", own.Kind, flow, own.FlowM3h)
}
