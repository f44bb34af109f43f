package outline

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"staydown/hold"
	"staydown/hold/dryrun"
	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse"
	"staydown/parse/drawing"
)

// Checker runs a program that was read through the road of check.
type Checker func(prog *parse.Program, j *job.Job, opt hold.Options) (*result.Result, error)

// Judge tells which parts of a drawing would hold in which way.
//
// Each run is one program for all parts. What does not hold in one pass is cut in the other ways, while the rest is cut
// in one pass still; where a shape has several copies, each copy tries another way in the same run. At last every copy
// is cut with the least care that its shape needs, and those runs are the answer. Of a drawing of many parts the first
// run tries all ways at once (firstWays). It fails when the drawing has no parts, does not fit the blank, or a program
// cannot be checked.
func Judge(d *drawing.Drawing, j *job.Job, o Options, check Checker) (*Result, error) {
	if len(d.Parts) == 0 {
		return nil, errors.New("the drawing has no closed outlines, so there is nothing to judge")
	}
	c, err := choose(j, o)
	if err != nil {
		return nil, err
	}
	places, moved, err := place(d.Parts, j)
	if err != nil {
		return nil, err
	}
	g := &judge{job: j, choices: c, check: check, workers: o.Workers, offset: places[0]}
	g.layOut(d)
	var worst []Item
	var result *Result
	for i, at := range places {
		g.offset = at
		g.items, g.runs = g.fresh(), nil
		r, err := g.run()
		if err != nil {
			return nil, err
		}
		if i == 0 {
			result, worst = r, slices.Clone(g.items)
			continue
		}
		result.Class = max(result.Class, r.Class)
		result.PumpPlainM3h = larger(result.PumpPlainM3h, r.PumpPlainM3h)
		result.PumpCareM3h = larger(result.PumpCareM3h, r.PumpCareM3h)
		for k := range worst {
			worst[k].merge(g.items[k])
		}
	}
	result.Items = worst
	result.Format, result.Unit, result.Margin = d.Format, d.Unit.Name, j.Limits.Margin
	result.Care, result.Tool, result.Places = c.care, c.cut.Tool, len(places)
	result.Assumed = slices.Concat(c.assumed, g.statements(places, moved), result.Assumed)
	if moved {
		result.Moved = places[0]
	}
	for _, n := range d.Notes {
		result.Notes = append(result.Notes, Note(n))
	}
	result.Notes = append(result.Notes, g.notes...)
	return result, nil
}

// larger is the larger of two flows; NaN, which no pump gives, beats all.
func larger(a, b float64) float64 {
	if math.IsNaN(a) || math.IsNaN(b) {
		return math.NaN()
	}
	return math.Max(a, b)
}

// merge takes over what is worse in another place.
func (i *Item) merge(o Item) {
	for w := range i.Trials {
		a, b := &i.Trials[w], o.Trials[w]
		if !a.Tried || b.Tried && b.worse(*a) {
			*a = b
		}
	}
	i.settle()
}

// settle finds the class and the least care of an item from its trials.
func (i *Item) settle() {
	i.Class, i.Way = dryrun.WouldNotHold, OnePass
	for w, t := range i.Trials {
		if t.Tried && t.Holds {
			i.Way, i.Class = Way(w), dryrun.WithCare
			if w == int(OnePass) {
				i.Class = dryrun.WouldHold
			}
			return
		}
	}
}

// judge holds what all runs share.
type judge struct {
	*choices
	job     *job.Job
	check   Checker
	workers int

	drawn  []Item        // parts and offcuts that the tool can cut, and the sheet
	paths  []dryrun.Path // of all but the sheet
	alike  []int         // the first item of the same shape, of all but the sheet
	notes  []Note        // where the tool is too wide
	offset orb.Point     // from drawn to the stock
	items  []Item        // of the run, where they lie
	runs   []run         // in this place
}

// run is a program that was checked, by the way of each item.
type run struct {
	how     []Way
	figures bool // those of pump and alarm are in it
	program []byte
	result  *result.Result
}

// run judges the items in one place.
func (g *judge) run() (*Result, error) {
	first := g.firstWays()
	plain, err := g.checked(first, true)
	if err != nil {
		return nil, err
	}
	for i, t := range g.match(plain) {
		g.items[i].Trials[first[i]] = t
	}
	g.shareOnePass(first)
	how, last, pumpPlainM3h := first, plain, plain.Vacuum.PumpNeededM3h*g.unopened(first)
	if plain.Verdict != result.Held || !onePassOnly(first) {
		if err := g.tryCares(); err != nil {
			return nil, err
		}
		if how, last, err = g.confirm(); err != nil {
			return nil, err
		}
		if onePassOnly(how) {
			plain, pumpPlainM3h = last, last.Vacuum.PumpNeededM3h
		}
	}
	r := &Result{Class: dryrun.WouldHold, Job: plain.Job, PumpPlainM3h: pumpPlainM3h,
		PumpCareM3h: last.Vacuum.PumpNeededM3h, Reasons: reasons(last), Assumed: last.Records}
	for i := range g.items {
		g.items[i].settle()
		r.Class = max(r.Class, g.items[i].Class)
	}
	switch {
	case last.Verdict != result.Held:
		r.Class = dryrun.WouldNotHold
	case plain.Verdict != result.Held:
		r.Class = max(r.Class, dryrun.WithCare)
	}
	r.Program = g.known(how, true).program
	return r, nil
}

// cares are the ways with care, from the least trouble to the most.
var cares = []Way{ThinPass, Skin, Tabs}

// tryCares tries the ways with care on what does not hold in one pass. Copies of a shape that all fail share the ways
// among them; a shape of few copies takes part in several runs. If the sheet does not hold, which feels every pass, all
// is cut with the same care, one way after the other.
func (g *judge) tryCares() error {
	sheet := len(g.items) - 1
	all := !g.items[sheet].Trials[OnePass].Holds
	copies := map[int][]int{} // by the first of a shape: those that fail
	for i := range g.items[:sheet] {
		if first := g.alike[i]; all || !g.items[i].Trials[OnePass].Holds {
			copies[first] = append(copies[first], i)
		}
	}
	for turn := range cares {
		how := make([]Way, len(g.items))
		for _, list := range copies {
			for rank, i := range list {
				w := cares[turn]
				if !all {
					if w = cares[(rank+turn)%len(cares)]; g.triedOn(list, w) {
						continue // by another copy
					}
				}
				how[i] = g.inWay(i, w)
			}
		}
		if onePassOnly(how) {
			continue
		}
		r, err := g.checked(how, false)
		if err != nil {
			return err
		}
		found := g.match(r)
		for i, w := range how {
			if w != OnePass {
				g.items[i].Trials[w] = found[i]
			}
		}
		if all {
			g.items[sheet].Trials[cares[turn]] = found[sheet]
		}
	}
	for _, list := range copies {
		for _, w := range cares {
			worst := g.worstOf(list, w)
			for _, i := range list {
				g.items[i].Trials[w] = worst
			}
		}
	}
	return nil
}

// triedOn tells whether a copy in a list was cut in a way in an earlier run.
func (g *judge) triedOn(list []int, w Way) bool {
	return slices.ContainsFunc(list, func(i int) bool { return g.items[i].Trials[w].Tried })
}

// inWay is the way for an item, one pass where it cannot be cut in that way, which is noted.
func (g *judge) inWay(i int, w Way) Way {
	if _, why := g.of(w, g.paths[i]); why != "" {
		g.items[i].Trials[w].Why = why
		return OnePass
	}
	return w
}

// worstOf is the worst trial in a way of those copies of a shape that were cut in it.
func (g *judge) worstOf(list []int, w Way) (worst Trial) {
	for _, i := range list {
		switch t := g.items[i].Trials[w]; {
		case t.Tried && (!worst.Tried || t.worse(worst)), !worst.Tried && worst.Why == "":
			worst = t
		}
	}
	return worst
}

// confirm cuts every item with the least care that it needs and notes how it fares in that, until all that have a care
// hold with it. An item that has none left is cut in one pass.
func (g *judge) confirm() (how []Way, last *result.Result, err error) {
	sheet := len(g.items) - 1
	for {
		how = make([]Way, len(g.items))
		for i := range g.items {
			g.items[i].settle()
			how[i] = g.items[i].Way
		}
		for i := range g.items[:sheet] {
			if how[i] == OnePass && how[sheet] != OnePass { // the sheet needs it
				how[i] = g.inWay(i, how[sheet])
			}
		}
		if last, err = g.checked(how, true); err != nil {
			return nil, nil, err
		}
		failed := false
		for i, t := range g.match(last) {
			was := &g.items[i].Trials[how[i]]
			if !was.Holds {
				continue
			}
			failed = failed || !t.Holds
			low := math.Min(was.Low, t.Low)
			if t.worse(*was) {
				*was = t
			}
			was.Low = low
		}
		if !failed {
			return how, last, nil
		}
	}
}

// known is the run of a program that was checked already; nil: there is none.
func (g *judge) known(how []Way, figures bool) *run {
	for i := range g.runs {
		if r := &g.runs[i]; slices.Equal(r.how, how) && r.figures == figures {
			return r
		}
	}
	return nil
}

// checked writes the program with a way for each item, and checks it.
func (g *judge) checked(how []Way, figures bool) (*result.Result, error) {
	if r := g.known(how, figures); r != nil {
		return r.result, nil
	}
	text, prog, err := g.write("outline.nc", how)
	if err != nil {
		return nil, err
	}
	opt := hold.Options{NoRemedies: true, NoPictures: true, AllOpen: true, OnlyEnds: true, RareSheetsMove: true,
		Copies: g.cutAlike(how)}
	if !figures { // what is tried here is confirmed on all sheets
		opt.Figures, opt.OneSheet = hold.NoFigures, true
	}
	r, err := g.check(prog, g.job, opt)
	if err != nil {
		return nil, err
	}
	g.runs = append(g.runs, run{slices.Clone(how), figures, text, r})
	return r, nil
}

func (g *judge) write(name string, how []Way) ([]byte, *parse.Program, error) {
	contours := make([]dryrun.Contour, len(g.paths))
	for i, p := range g.paths {
		care, why := g.of(how[i], p)
		if why != "" {
			return nil, nil, errors.New(why)
		}
		contours[i] = dryrun.Contour{Path: p.Moved(g.offset[0], g.offset[1]), Care: care}
	}
	return dryrun.Write(name, contours, g.cut, g.job)
}

// reasons are the findings about the table as a whole, each rule once.
func reasons(r *result.Result) (out []string) {
	seen := map[string]bool{}
	for _, f := range r.Findings {
		if f.Level == result.LevelNote || result.AboutPiece(f.Rule) || seen[f.Rule] {
			continue
		}
		seen[f.Rule] = true
		out = append(out, fmt.Sprintf("%s: %s", f.Rule, f.Message))
	}
	return out
}

// statements are the assumptions of a judgement.
func (g *judge) statements(places []orb.Point, moved bool) []string {
	out := []string{
		"a drawing has no order, depth or feed: every part is judged as if all other kerfs were open, each contour " +
			"begins and ends where it is farthest from the middle of what it cuts out, climb cut, straight plunges",
		"holes whose offcut would be narrower than the tool are milled away",
		"no coolant",
	}
	if g.manyCopies() {
		out = append(out, "of many copies that vacuum presses down alike only the weakest are checked: the margin "+
			"given for a part may be 11 % below its own")
	}
	switch {
	case !moved:
		out = append(out, "the parts lie where they are drawn, in the coordinates of the job")
	case len(places) > 1:
		out = append(out, fmt.Sprintf("the drawing does not lie on the stock: it was moved by X%.3f Y%.3f to the "+
			"middle of the blank; the worst of %s half a groove's pitch apart counts", places[0][0], places[0][1],
			wording.Count(len(places), "place", "places")))
	default:
		out = append(out, fmt.Sprintf("the drawing does not lie on the stock: it was moved by X%.3f Y%.3f to the "+
			"middle of the blank", places[0][0], places[0][1]))
	}
	return out
}
