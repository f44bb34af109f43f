package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sync"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/dryrun"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/parse"
)

// Way is how a part is cut.
type Way uint8

const (
	Pass Way = iota // with a closing pass of some depth, or in one pass
	Skin            // below the thinnest closing pass
	Tabs            // in the thinnest closing pass
)

// Trial is a part that was cut in a dry run, and how it fared.
type Trial struct {
	Shape     Shape
	SizeMM    float64
	Way       Way
	DepthMM   float64 // of the closing pass
	FeedMMMin float64
	Place     string
	Margin    result.Range // the least of the part; Low and High are NaN where only the likely one is known
	Mode      result.Mode
	Holds     bool // with the required margin
}

// cut is a way with its depth, by its place among the depths.
type cut struct {
	way   Way
	depth int
}

// trialKey is what one sweep serves: all feeds.
type trialKey struct {
	shape Shape
	size  int // in the ladder
	cut   cut
}

// feedKey is one trial.
type feedKey struct {
	trialKey
	feed int // in the list of feeds
}

// finder runs trials and keeps them.
type finder struct {
	table  *table
	run    Runner
	care   dryrun.Care // skin and tabs
	result *Result
	told   func(int)
	slots  chan struct{} // one for each run at a time

	mu        sync.Mutex
	facts     result.JobFacts
	records   []string // see result.Result
	vacuumKPa float64
	done      map[feedKey]Trial         // in the worst place
	worst     map[[2]int]place          // by shape and size: where a part holds least
	paths     map[[2]int]dryrun.Path    // by shape and size, of a part whose bound begins at 0
	reasons   map[string]result.Finding // by rule
	trials    int
}

func newFinder(t *table, run Runner, o Options) *finder {
	j := t.job
	f := &finder{table: t, run: run, told: o.Progress, vacuumKPa: math.Inf(1), done: map[feedKey]Trial{},
		worst: map[[2]int]place{}, paths: map[[2]int]dryrun.Path{}, reasons: map[string]result.Finding{},
		slots: make(chan struct{}, max(1, o.Workers))}
	f.care = dryrun.UsualCare(j, t.thickMM)
	f.result = &Result{Units: j.Units, Margin: j.Limits.Margin, Tool: t.number, RPM: t.rpm, ThickMM: t.thickMM,
		OpenShare: o.OpenShare,
		SizesMM:   t.sizes, DepthsMM: t.depths, FeedsMMMin: t.feeds, SkinMM: f.care.SkinMM, Tabs: f.care.Tabs,
		TabWideMM: f.care.TabWideMM, TabHighMM: f.care.TabHighMM}
	return f
}

// careOf is the care of a cut; ok is false where it does not go with the thickness.
func (f *finder) careOf(c cut) (care dryrun.Care, ok bool) {
	t := f.table
	if c.way == Pass && c.depth == len(t.depths)-1 {
		return care, true // one pass
	}
	care = dryrun.Care{PassMM: t.tool.DiameterMM, ClosingMM: t.depths[c.depth]}
	switch c.way {
	case Skin:
		care.SkinMM = f.care.SkinMM
	case Tabs:
		care.Tabs, care.TabWideMM, care.TabHighMM = f.care.Tabs, f.care.TabWideMM, f.care.TabHighMM
	}
	return care, care.ClosingMM+care.SkinMM < t.thickMM
}

// try runs a part in its least favorable place at those of some feeds, given in rising order, at which it was not run
// yet. Nothing is run where the blank has no room for it, or the care does not go with it.
func (f *finder) try(k trialKey, feeds []int) error {
	var ask []int
	for _, feed := range feeds {
		if _, ok := f.known(k, feed); !ok {
			ask = append(ask, feed)
		}
	}
	if _, ok := f.careOf(k.cut); !ok || len(ask) == 0 {
		return nil
	}
	at, ok, err := f.leastFavourable(k)
	if err != nil || !ok {
		return err
	}
	trials, err := f.runIn(k, at, ask)
	if err != nil {
		return err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	for i, t := range trials {
		f.done[feedKey{k, ask[i]}] = t
	}
	f.result.Trials = append(f.result.Trials, trials...)
	return nil
}

// holds tells whether a trial that was asked for keeps the required margin by its low end. What cannot be cut in this
// way, as tabs that have no room, does not hold.
func (f *finder) holds(k trialKey, feed int) bool {
	t, ok := f.known(k, feed)
	return ok && t.low() >= f.result.Margin
}

// sizesTogether of the ladder are cut by one program to compare places, as far as the blank has room for them.
const sizesTogether = 4

// leastFavourable is the place where a part of a shape and size holds least; ok is false if none has room for it.
//
// It is found at the greatest feed and the middle depth, which the others take over, with parts of several sizes in
// several places cut by one program. TestPlaceFoundWithOthersBeside bounds how much better it may hold than the place
// where it holds least alone.
func (f *finder) leastFavourable(k trialKey) (worst place, ok bool, err error) {
	room := f.roomFor(k.shape)
	if worst, ok = f.knownWorst(k); ok || k.size >= room {
		return worst, ok, nil
	}
	var sizes []int
	for size := k.size / sizesTogether * sizesTogether; len(sizes) < sizesTogether && size < room; size++ {
		sizes = append(sizes, size)
	}
	if err = f.findWorst(k.shape, sizes); err != nil {
		return worst, false, err
	}
	worst, ok = f.knownWorst(k)
	return worst, ok, nil
}

func (f *finder) knownWorst(k trialKey) (worst place, ok bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	worst, ok = f.worst[[2]int{int(k.shape), k.size}]
	return worst, ok
}

// findWorst finds the places where parts of a shape hold least.
func (f *finder) findWorst(s Shape, sizes []int) error {
	worst, least := map[int]place{}, map[int]float64{}
	for _, spots := range f.table.sideBySide(s, sizes) {
		trials, err := f.runTogether(s, spots)
		if err != nil {
			return err
		}
		for i, t := range trials {
			size := spots[i].size
			// What cannot be known counts as the worst.
			if m, known := least[size]; !known || !(t.low() >= m) {
				worst[size], least[size] = spots[i].place, t.low()
			}
		}
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	for size, p := range worst {
		f.worst[[2]int{int(s), size}] = p
	}
	return nil
}

// runTogether runs parts in several spots, cut by one program at the greatest feed and the middle depth; nil where that
// is no depth of a closing pass.
func (f *finder) runTogether(s Shape, spots []spot) ([]Trial, error) {
	t := f.table
	care, ok := f.careOf(cut{way: Pass, depth: len(t.depths) / 2})
	if !ok {
		return nil, nil
	}
	f.slots <- struct{}{}
	defer func() { <-f.slots }()
	contours := make([]dryrun.Contour, len(spots))
	for i := range spots {
		path := f.path(trialKey{shape: s, size: spots[i].size}, spots[i].ring)
		contours[i] = dryrun.Contour{Path: path, Care: care}
	}
	feed := t.feeds[len(t.feeds)-1]
	_, prog, err := t.write(contours, feed, t.job)
	if err != nil {
		return nil, err
	}
	results, err := f.run(DryRuns{Swept: prog, Programs: []*parse.Program{prog}, Job: t.job})
	if err != nil {
		return nil, err
	}
	trials := make([]Trial, len(spots))
	for i := range spots {
		trials[i] = Trial{Shape: s, SizeMM: t.sizes[spots[i].size], FeedMMMin: feed}
		trials[i].read(results[0], spots[i].ring)
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	f.count()
	return trials, nil
}

// runIn runs a part in a place at several feeds, given in rising order; nil where there is no room.
func (f *finder) runIn(k trialKey, p place, feeds []int) ([]Trial, error) {
	t := f.table
	care, ok := f.careOf(k.cut)
	ring, fits := t.outline(k.shape, t.sizes[k.size], p)
	if !ok || !fits {
		return nil, nil
	}
	f.slots <- struct{}{}
	defer func() { <-f.slots }()
	path := f.path(k, ring)
	if !path.HasRoomFor(care) {
		return nil, nil
	}
	last := len(t.feeds) - 1
	asked := feeds
	if !slices.Contains(feeds, last) {
		asked = append(slices.Clip(feeds), last)
	}
	programs := make([]*parse.Program, len(asked))
	for i, feed := range asked {
		var err error
		if _, programs[i], err = t.write([]dryrun.Contour{{Path: path, Care: care}}, t.feeds[feed], t.job); err != nil {
			return nil, err
		}
	}
	results, err := f.runAll(programs[len(asked)-1], programs[:len(feeds)], k.cut.way)
	if err != nil {
		return nil, err
	}
	trials := make([]Trial, len(feeds))
	for i, feed := range feeds {
		trials[i] = Trial{Shape: k.shape, SizeMM: t.sizes[k.size], Way: k.cut.way, DepthMM: t.depths[k.cut.depth],
			FeedMMMin: t.feeds[feed], Place: p.String()}
		trials[i].read(results[i], ring)
	}
	f.note(results)
	return trials, nil
}

// path is that of the tool round a part: the same for each shape and size but for its place.
func (f *finder) path(k trialKey, ring orb.Ring) dryrun.Path {
	key, at := [2]int{int(k.shape), k.size}, ring.Bound().Min
	f.mu.Lock()
	path, ok := f.paths[key]
	f.mu.Unlock()
	if !ok {
		path = dryrun.Follow(ring, false, f.table.tool.DiameterMM).Moved(-at[0], -at[1])
		f.mu.Lock()
		f.paths[key] = path
		f.mu.Unlock()
	}
	return path.Moved(at[0], at[1])
}

// runAll runs programs that differ in feed, on the sweep of the fastest, which also tells how the sheet fares: it fares
// worst at the greatest feed. What hangs on a skin or tabs is followed from the moment that its joins are weak beside
// the load, which the sweep is told by feed, so each of those is swept on its own.
func (f *finder) runAll(fastest *parse.Program, programs []*parse.Program, way Way) (results []*result.Result,
	err error) {
	if way == Pass {
		return f.run(DryRuns{fastest, programs, f.table.job, true})
	}
	for i, prog := range programs {
		one, err := f.run(DryRuns{prog, programs[i : i+1], f.table.job, prog.SHA256 == fastest.SHA256})
		if err != nil {
			return nil, err
		}
		results = append(results, one...)
	}
	return results, nil
}

// write writes the program of a trial.
func (t *table) write(contours []dryrun.Contour, feed float64, j *job.Job) ([]byte, *parse.Program, error) {
	return dryrun.Write("chart.nc", contours, dryrun.Cut{Tool: t.number, FeedMMMin: feed, RPM: t.rpm}, j)
}

// read takes how the part fared from a result. A part that is neither freed nor left hanging is not known.
func (t *Trial) read(r *result.Result, ring orb.Ring) {
	t.Margin = result.Range{Low: math.NaN(), Likely: math.NaN(), High: math.NaN()}
	centre, area := ring.Bound().Center(), math.Abs(planar.Area(ring))
	for i := range r.Pieces {
		p := &r.Pieces[i]
		if p.ID == 1 || planar.Distance(p.Centroid, centre) > t.SizeMM/4 || p.AreaMM2 < area/2 || p.AreaMM2 > 2*area {
			continue
		}
		t.Margin = result.Range{Low: p.Least.Low, Likely: p.Least.Margin, High: p.Least.High}
		t.Mode, t.Holds = p.Least.Mode, p.State == result.StateHeld
		return
	}
}

// note keeps what results say about the table as a whole.
func (f *finder) note(results []*result.Result) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.facts, f.records = results[0].Job, results[0].Records
	for _, r := range results {
		for _, at := range r.Timeline {
			f.vacuumKPa = math.Min(f.vacuumKPa, at.VacuumKPa)
		}
		for _, finding := range r.Findings {
			aboutPart := result.AboutPiece(finding.Rule) && finding.Piece != 1
			if finding.Level == result.LevelNote || aboutPart {
				continue
			}
			// Of each rule the worst is told, the first by its words where they are alike: trials run in no fixed
			// order.
			old, known := f.reasons[finding.Rule]
			if !known || finding.Margin < old.Margin || !(old.Margin < finding.Margin) &&
				finding.Message < old.Message {
				f.reasons[finding.Rule] = finding
			}
		}
	}
	f.count()
}

// count tells of one more dry run.
func (f *finder) count() {
	f.trials++
	if f.told != nil {
		f.told(f.trials)
	}
}

// low is the margin to go by: the low end of its range, the likely one where no range is known.
func (t Trial) low() float64 {
	if math.IsNaN(t.Margin.Low) {
		return t.Margin.Likely
	}
	return t.Margin.Low
}

// likely is the likely margin.
func (t Trial) likely() float64 { return t.Margin.Likely }

// high is the high end of the margin, the likely one where no range is known.
func (t Trial) high() float64 {
	if math.IsNaN(t.Margin.High) {
		return t.Margin.Likely
	}
	return t.Margin.High
}

// known gives a trial that was run before.
func (f *finder) known(k trialKey, feed int) (Trial, bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	t, ok := f.done[feedKey{k, feed}]
	return t, ok
}

// sizeMM is the size at a place in the ladder; +Inf behind the last one that there is room for.
func (f *finder) sizeMM(s Shape, size int) float64 {
	if size >= f.roomFor(s) {
		return math.Inf(1)
	}
	return f.table.sizes[size]
}

// roomFor is how many sizes of the ladder the blank has room for in some place.
func (f *finder) roomFor(s Shape) int {
	for n := len(f.table.sizes); n > 0; n-- {
		for _, p := range f.table.places {
			if _, ok := f.table.outline(s, f.table.sizes[n-1], p); ok {
				return n
			}
		}
	}
	return 0
}

func compareTrials(a, b Trial) int {
	return cmp.Or(cmp.Compare(a.Shape, b.Shape), cmp.Compare(a.SizeMM, b.SizeMM), cmp.Compare(a.Way, b.Way),
		cmp.Compare(a.DepthMM, b.DepthMM), cmp.Compare(a.FeedMMMin, b.FeedMMMin))
}

// Program writes the program of a trial of a chart, to be looked at or checked on its own with the same job.
func Program(j *job.Job, o Options, t Trial) ([]byte, *job.Job, error) {
	tab, err := newTable(j, o)
	if err != nil {
		return nil, nil, err
	}
	f := newFinder(tab, nil, o)
	k := trialKey{t.Shape, slices.Index(tab.sizes, t.SizeMM), cut{t.Way, slices.Index(tab.depths, t.DepthMM)}}
	care, ok := f.careOf(k.cut)
	for _, p := range tab.places {
		ring, fits := tab.outline(t.Shape, t.SizeMM, p)
		if !ok || !fits || p.String() != t.Place {
			continue
		}
		path := dryrun.Follow(ring, false, tab.tool.DiameterMM)
		text, _, err := tab.write([]dryrun.Contour{{Path: path, Care: care}}, t.FeedMMMin, tab.job)
		return text, tab.job, err
	}
	return nil, nil, fmt.Errorf("the chart has no such trial")
}
