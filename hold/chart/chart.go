package chart

import (
	"errors"
	"maps"
	"math"
	"slices"

	"staydown/hold"
	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep/parallel"
)

// Shape is a form of part.
type Shape uint8

const (
	Square Shape = iota
	Disc
	Strip // four times as long as wide
	shapes
)

// String names the shape.
func (s Shape) String() string { return [...]string{"square", "disc", "4:1 strip"}[s] }

// Options are the choices of a chart. The zero value of each is chosen from the job, and listed as assumed.
type Options struct {
	Tool       int       // number; negative: the first flat one of the job
	FeedsMMMin []float64 // in rising order
	ThickMM    float64   // of the stock in place of the job's
	OpenShare  float64   // 0 to mostOpen: of the sheet that is cut out already
	SizesMM    []float64 // in rising order
	DepthsMM   []float64 // of the closing pass, in rising order and below the thickness, which is tried besides
	Workers    int
	// Progress is told after each trial how many there were; nil: nobody is.
	Progress func(trials int)
}

// Runner sweeps the first of some programs and checks all of them. They differ in nothing but their feeds, the greatest
// of which comes first.
type Runner func(programs []*parse.Program, j *job.Job) ([]*hold.Result, error)

// Result is a chart.
type Result struct {
	Job                          hold.JobFacts
	Margin                       float64 // required
	Tool                         int
	RPM                          float64
	ThickMM                      float64 // of the stock
	OpenShare                    float64
	VacuumKPa                    float64   // the lowest of all trials
	SizesMM                      []float64 // that were tried, in rising order: side, diameter, width of the strip
	DepthsMM                     []float64 // of the closing pass, in rising order; the last is the whole thickness
	FeedsMMMin                   []float64
	SkinMM, TabWideMM, TabHighMM float64
	Tabs                         int
	Curves                       []Curve // by shape, then feed
	Cares                        []Care  // by shape, then feed
	Places                       []string
	Assumed                      []string
	Reasons                      []string // findings about the table as a whole, each rule once
	Trials                       []Trial  // every margin found, in order of shape, size, way, depth, place, feed
}

// Curve is the smallest part of a shape at a feed.
type Curve struct {
	Shape     Shape
	FeedMMMin float64
	Points    []Point // by depth
}

// Point is the smallest part at a depth of the closing pass. Each size is the one from which on all larger ones hold:
// Likely by the likely margin, Low and High by its 5 and 95 % points; +Inf: none of those tried does. NaN: not known.
type Point struct {
	DepthMM float64
	// Smallest is the range of the smallest size, mm; its high end, with the low margin, is the one to go by.
	Smallest hold.Range
	At       Trial // of that size, when there is one
}

// Care is the smallest part of a shape that would hold in each way, mm; +Inf: none of those tried.
type Care struct {
	Shape                                Shape
	FeedMMMin                            float64
	NoCareMM, ThinPassMM, SkinMM, TabsMM float64
}

// Find finds the chart of a job. It fails when the job has no such tool, the blank has no room for the smallest part,
// or a program cannot be checked.
func Find(j *job.Job, o Options, run Runner) (*Result, error) {
	t, err := newTable(j, o)
	if err != nil {
		return nil, err
	}
	f := newFinder(t, run, o)
	r := f.result
	for s := range shapes {
		for _, feed := range r.FeedsMMMin {
			r.Curves = append(r.Curves, Curve{Shape: s, FeedMMMin: feed, Points: make([]Point, len(r.DepthsMM))})
			r.Cares = append(r.Cares, Care{Shape: s, FeedMMMin: feed})
		}
	}
	errs := make([]error, shapes)
	parallel.For(max(1, o.Workers), int(shapes), func(_, s int) { errs[s] = f.shape(Shape(s)) })
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	f.finish()
	return r, nil
}

// curve is the one of a shape and a feed.
func (r *Result) curve(s Shape, feed int) *Curve { return &r.Curves[int(s)*len(r.FeedsMMMin)+feed] }

func (r *Result) care(s Shape, feed int) *Care { return &r.Cares[int(s)*len(r.FeedsMMMin)+feed] }

// shape finds all about one shape.
func (f *finder) shape(s Shape) error {
	r := f.result
	deeper := make([]int, len(r.FeedsMMMin)) // what was found for the pass before
	for k := range deeper {
		deeper[k] = f.roomFor(s)
	}
	for d := len(r.DepthsMM) - 1; d >= 0; d-- { // what holds in a deep pass shortens the search in a thinner one
		slower := 0
		for k := range r.FeedsMMMin {
			q := search{shape: s, cut: cut{way: Pass, depth: d}, feed: k, low: slower, high: deeper[k],
				proven: deeper[k]}
			p := &r.curve(s, k).Points[d]
			p.DepthMM = r.DepthsMM[d]
			for _, end := range p.ends() {
				q.margin = end.margin
				size, err := f.smallest(q)
				if err != nil {
					return err
				}
				*end.mm = f.sizeMM(s, size)
				if end.mm == &p.Smallest.High {
					slower, deeper[k] = size, size
					if trials, _ := f.known(trialKey{s, size, q.cut}); trials != nil {
						p.At = trials[k]
					}
				}
				// By the other ends of the margin it is no larger.
				q.low, q.high, q.proven = max(0, size-1), size, size
			}
		}
	}
	return f.cares(s)
}

// end is an end of the range of a smallest size, with the margin that tells it.
type end struct {
	mm     *float64
	margin func(Trial) float64
}

func (p *Point) ends() []end {
	return []end{{&p.Smallest.High, Trial.low}, {&p.Smallest.Likely, Trial.likely}, {&p.Smallest.Low, Trial.high}}
}

// cares finds the smallest parts with and without care.
func (f *finder) cares(s Shape) error {
	r := f.result
	for k := range r.FeedsMMMin {
		c := r.care(s, k)
		points := r.curve(s, k).Points
		c.NoCareMM, c.ThinPassMM = points[len(points)-1].Smallest.High, math.Inf(1)
		for _, p := range points {
			c.ThinPassMM = min(c.ThinPassMM, p.Smallest.High)
		}
		thin := f.roomFor(s)
		if i := slices.Index(f.table.sizes, c.ThinPassMM); i >= 0 {
			thin = i
		}
		for _, way := range []struct {
			way Way
			mm  *float64
		}{{Skin, &c.SkinMM}, {Tabs, &c.TabsMM}} {
			size, err := f.smallest(search{shape: s, cut: cut{way: way.way}, feed: k, margin: Trial.low, high: thin,
				proven: thin})
			if err != nil {
				return err
			}
			*way.mm = f.sizeMM(s, size)
		}
	}
	return nil
}

// finish sorts what was found in no fixed order.
func (f *finder) finish() {
	r := f.result
	slices.SortFunc(r.Trials, compareTrials)
	for _, rule := range slices.Sorted(maps.Keys(f.reasons)) {
		r.Reasons = append(r.Reasons, rule+": "+f.reasons[rule].Message)
	}
	if len(r.Trials) == 0 {
		return
	}
	r.Job, r.VacuumKPa = f.facts, f.vacuumKPa
	for _, p := range f.table.places {
		r.Places = append(r.Places, p.name)
	}
	r.Assumed = append(r.Assumed, f.table.assumed...)
	r.Assumed = append(r.Assumed, "each part alone on the table, climb cut, entered where it is "+
		"farthest from "+
		"its middle, passes before the closing one no deeper than the tool is wide; no coolant")
	r.Assumed = append(r.Assumed, f.records...)
}
