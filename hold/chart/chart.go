package chart

import (
	"cmp"
	"errors"
	"maps"
	"slices"

	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/parse"
	"staydown/parse/units"
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

// DryRuns are programs that are checked on one sweep.
type DryRuns struct {
	Swept *parse.Program
	// Programs differ from the one that is swept in nothing but their feeds, of which its own is the greatest.
	Programs []*parse.Program
	Job      *job.Job
	Sheet    bool // how the sheet itself fares is asked of the program that is swept, where it is one of them
}

// Runner sweeps a program, and checks others on that record. It is called from several goroutines, and often with the
// same program to sweep.
type Runner func(DryRuns) ([]*result.Result, error)

// Result is a chart.
type Result struct {
	Job                          result.JobFacts
	Units                        units.System // of messages
	Margin                       float64      // required
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
	Curves                       []Curve  // by shape, then feed
	Cares                        []Care   // by shape, then feed
	Heights                      []Height // by shape, then size; none where nothing holds with a thin last pass
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

// Point is the smallest part at a depth of the closing pass.
type Point struct {
	DepthMM float64
	// Smallest is the range of the size from which on all larger ones hold, mm; +Inf: none of those tried does. High,
	// the one to go by, is a size that was tried, with the low end of its margin; Likely and Low lie between sizes that
	// were tried, or below them, by the likely margin and its high end.
	Smallest result.Range
	At       Trial // of the size High, when there is one
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
	// All shapes go on side by side, so that none is left to one worker in the end; the runs take turns.
	errs := make([]error, shapes)
	parallel.For(int(shapes), int(shapes), func(_, s int) { errs[s] = f.shape(Shape(s)) })
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
	if err := f.passes(s); err != nil {
		return err
	}
	if err := f.cares(s); err != nil {
		return err
	}
	return f.heights(s)
}

// finish sorts what was found in no fixed order.
func (f *finder) finish() {
	r := f.result
	slices.SortFunc(r.Trials, compareTrials)
	slices.SortFunc(r.Heights, func(a, b Height) int {
		return cmp.Or(cmp.Compare(a.Shape, b.Shape), cmp.Compare(a.SizeMM, b.SizeMM))
	})
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
	// What the page at the machine has room for comes first.
	r.Assumed = append(r.Assumed, f.records...)
	r.Assumed = append(r.Assumed, "each part alone on the table, climb cut, entered where it is farthest from its "+
		"middle, passes before the closing one no deeper than the tool is wide; no coolant")
	r.Assumed = append(r.Assumed, f.table.assumed...)
}
