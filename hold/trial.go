package hold

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"staydown/hold/airflow"
	"staydown/hold/contact"
	"staydown/hold/cutload"
	"staydown/hold/internal/steploads"
	"staydown/hold/internal/toolpath"
	"staydown/hold/result"
	"staydown/sweep"
)

// trial is the outcome of the worst check of one step on one piece.
type trial struct {
	step    int // index into the sweep's steps
	piece   int32
	epoch   int
	mode    result.Mode
	margin  float64
	holdN   float64 // by which pressure and weight press the piece down
	liftN   float64 // of the load, upward; 0 when it presses
	loadN   float64 // the mode's force: upward for lift, else sideways
	at      orb.Point
	timeS   float64 // of the moment; the beginning of the step if it is all of it
	line    int
	tool    int
	instant        // its moment
	alone   bool   // the joins alone hold it, without pressure and weight
	falls   []fall // how the margin falls to this one in the step; nil: it is the same all through
}

// fall is a time from which on a margin is no more than this one. It is that of the check before, so rather too early.
type fall struct{ fromS, margin float64 }

// belowFromS is the time from which on the margin of the step is below a limit; that of the worst moment if it never
// is.
func (t trial) belowFromS(limit float64) float64 {
	if k := slices.IndexFunc(t.falls, func(f fall) bool { return f.margin < limit }); k >= 0 {
		return t.falls[k].fromS
	}
	return t.timeS
}

// worse reports whether t is closer to coming loose than u; on ties the earlier trial stays the worst.
func (t trial) worse(u trial) bool { return t.margin < u.margin }

// enough is the multiple of the asked-for margin above which the contact model's safe estimate replaces the exact
// calculation, and no block counts as low: the low end of a margin is hardly ever less than a sixth of the likely one.
const enough = 6

// exactly asks for exact margins, however large.
const exactly = 0

// likelyLow is the multiple of the asked-for margin below which the low end of a margin may be too low: bodies of such
// pieces are kept for the search of remedies, which builds those that are missing.
const likelyLow = 2

// change is a change that a remedy would make. The zero value changes nothing.
type change struct {
	steploads.Change
	floorMM  float64       // greatest height of what joins the piece; 0: as it is
	webs     []contact.Web // that hold the piece besides its own
	tackPa   float64       // besides that of the layer
	anchored bool
}

// body reports whether the change concerns the hold of the piece, not only its load.
func (c change) body() bool { return len(c.webs) > 0 || c.floorMM > 0 || c.tackPa > 0 || c.anchored }

// epochState is the table of one epoch with the chuck at a pressure and a change applied. Bodies are built
// once and kept.
type epochState struct {
	a         *Analysis
	index     int // of the epoch
	chuck     airflow.Chuck
	change    change
	bodies    map[bodyKey]*contact.Support
	unchanged map[bodyKey]*contact.Support // without the change, as far as they are known
	like      map[bodyKey]*contact.Support // of the same bodies under other figures, likewise
	loads     []contact.Load               // of the step under way
	spots     []contact.Load               // of the moment under way
	instants  []instant
}

// check is one moment at which a piece is checked: the loads and the supports. Of several supports only the best
// counts.
type check struct {
	instant
	loads    []contact.Load
	supports []*contact.Support
}

// worst returns the least margin over the loads for the best support, that support and the load. below is false if no
// margin is below the limit.
func (c *check) worst(limit float64) (out contact.Outcome, way, at int, below bool) {
	for n, s := range c.supports {
		o, i, less := s.WorstBelow(c.loads, limit)
		if !less && limit < math.Inf(1) {
			return out, 0, 0, false
		}
		if o.Err == nil && o.Margin < 1 {
			o, i = s.LoadShare(c.loads, o, i)
		}
		if n == 0 || o.Err != nil || o.Margin > out.Margin {
			out, way, at = o, n, i
		}
	}
	return out, way, at, true
}

// share is the check with a share of the loads.
func (c *check) share(share float64) check {
	less := *c
	less.loads = make([]contact.Load, len(c.loads))
	for i, l := range c.loads {
		less.loads[i] = l.Part(share)
	}
	return less
}

func (c *check) stands(margin float64) bool {
	return slices.ContainsFunc(c.supports, func(s *contact.Support) bool { return s.Stands(c.loads, margin) })
}

func (a *Analysis) epochState(index int, chuck airflow.Chuck, c change) *epochState {
	return &epochState{a: a, index: index, chuck: chuck, change: c, bodies: map[bodyKey]*contact.Support{}}
}

// each visits the given pieces that a step checks on their own, moment by moment, with their supports.
func (t *epochState) each(step int, pieces []int32, visit func(id int32, c check) error) error {
	return t.moments(step, pieces, func(id int32, at instant, loads []contact.Load) error {
		supports, err := t.supports(id, at.section)
		if err != nil {
			return err
		}
		return visit(id, check{at, loads, supports})
	})
}

// moments visits the given pieces that a step checks on their own with the loads of each of its moments. It skips steps
// with implausible cut data; cutDataFindings reports them.
func (t *epochState) moments(step int, pieces []int32,
	visit func(id int32, at instant, loads []contact.Load) error) (err error) {
	a := t.a
	s := a.rec.Steps.At(step)
	var load cutload.Load
	t.loads, load, err = a.loads.All(s, t.change.Change, t.loads)
	var invalid *cutload.InputError
	if errors.As(err, &invalid) {
		a.nonsense.Store(true)
		return nil
	}
	if err != nil || len(t.loads) == 0 {
		return err
	}
	m := a.prog.Moves.At(int(s.Move))
	for _, id := range pieces {
		var ok bool
		if t.instants, ok = a.instants(s, &a.rec.Pieces[id-1], t.instants); !ok {
			continue
		}
		if a.remnant(&a.air[t.index], m.Tool, id) {
			continue
		}
		if len(t.instants) == 0 {
			err = visit(id, instant{part: wholeStep}, t.loads)
		}
		for i := 0; i < len(t.instants) && err == nil; i++ {
			t.spots = a.loads.Put(load, s, toolpath.Along(&m, t.instants[i].part), t.spots[:0])
			err = visit(id, t.instants[i], t.spots)
		}
		if err != nil {
			return fmt.Errorf("piece %d: %w", id, err)
		}
	}
	return nil
}

// supports are the supports of a piece with a section: everything together, or, in brittle work, pressure and joins
// alone.
func (t *epochState) supports(id int32, section int) ([]*contact.Support, error) {
	if len(t.change.webs) > 0 {
		section = 0 // the webs of a change must hold to the end, without the present joins
	}
	if section == 0 && len(t.change.webs) == 0 || t.a.job.Stock.Material.Ductile {
		all, err := t.support(bodyKey{piece: id, section: section})
		return []*contact.Support{all}, err
	}
	pressed, err := t.support(bodyKey{piece: id})
	if err != nil {
		return nil, err
	}
	joined, err := t.support(bodyKey{piece: id, section: section, alone: true})
	return []*contact.Support{pressed, joined}, err
}

// support is the contact model of a piece; it is built once.
func (t *epochState) support(key bodyKey) (support *contact.Support, err error) {
	if support = t.bodies[key]; support == nil {
		support, err = t.build(key)
		t.bodies[key] = support
	}
	return support, err
}

func (t *epochState) build(key bodyKey) (*contact.Support, error) {
	a := t.a
	webs := a.websOf(key, t.change)
	if !key.alone && !a.job.Stock.Material.Ductile {
		webs = nil
	}
	base := bodyKey{piece: key.piece, alone: key.alone}
	plain := t.unchanged[base]
	if plain == nil && base != key && !t.change.body() {
		var err error
		if plain, err = t.support(base); err != nil {
			return nil, err
		}
	}
	if plain == nil || t.change.anchored {
		body := a.bodyOf(&a.air[t.index], key, t.chuck, t.change)
		body.Webs = webs
		if like := t.like[key]; like != nil {
			return like.Varied(body)
		}
		return contact.NewSupport(body)
	}
	tack := tackPa(a.job) + t.change.tackPa
	if key.alone {
		tack = 0
	}
	return plain.With(webs, tack)
}

// trials compares the load of a step with the hold of every piece that it touches, each at its worst moment.
func (t *epochState) trials(step int, visit func(trial)) error {
	return t.trialsOf(step, t.a.checkedIn(t.index, step), visit)
}

// trialsOf does the same for some of the pieces.
func (t *epochState) trialsOf(step int, pieces []int32, visit func(trial)) error {
	s := t.a.rec.Steps.At(step)
	m := t.a.prog.Moves.At(int(s.Move))
	var found []trial
	err := t.each(step, pieces, func(id int32, c check) error {
		last := len(found) - 1
		limit := math.Inf(1)
		if last >= 0 && found[last].piece == id {
			// A moment no worse than another of the step needs no exact margin.
			if limit = found[last].margin; limit < 1 {
				if less := c.share(limit); less.stands(1) {
					return nil
				}
				limit = math.Inf(1)
			}
		} else {
			last = -1
		}
		out, way, worst, below := c.worst(limit)
		if !below {
			return nil
		}
		if out.Err != nil {
			return out.Err
		}
		load := c.loads[max(worst, 0)]
		next := trial{
			step: step, piece: id, epoch: t.index, mode: out.Mode, margin: out.Margin,
			holdN: c.supports[0].NormalN(), liftN: max(0, load.ZN), loadN: out.LoadN, at: orb.Point{load.X, load.Y},
			line: int(m.Line), tool: int(m.Tool), instant: c.instant, alone: way > 0,
		}
		switch {
		case last < 0:
			found = append(found, trial{})
			last = len(found) - 1
		case !(next.margin < found[last].margin):
			return nil
		}
		if c.part == wholeStep {
			next.timeS = t.a.clock.TimeS(s.Begin())
		} else {
			next.timeS = t.a.clock.TimeS(sweep.Progress(s.Move) + sweep.Progress(c.part))
			next.falls = append(found[last].falls, fall{t.a.clock.TimeS(c.since), out.Margin})
		}
		found[last] = next
		return nil
	})
	for _, one := range found {
		visit(one)
	}
	return err
}

// misses lists the given pieces that do not reach a margin of their own (1 or more) in a step; that is much faster than
// to compute the margins. tried is the number of moments checked.
func (t *epochState) misses(step int, pieces []int32, margin marginOf) (missed []int32, tried int, err error) {
	err = t.each(step, pieces, func(id int32, c check) error {
		tried++
		if n := len(missed); !(n > 0 && missed[n-1] == id) && !c.stands(margin(id)) {
			missed = append(missed, id)
		}
		return nil
	})
	return missed, tried, err
}

// marginOf is a margin of each piece.
type marginOf func(piece int32) float64

// sweepPart checks every step of a part on every piece in program order and passes each trial to found. It keeps the
// supports of pieces with low margins for the remedy search.
func (a *Analysis) sweepPart(p epochPart, chuck airflow.Chuck, found func(trial)) error {
	e := &a.air[p.epoch]
	t := a.epochState(p.epoch, chuck, change{})
	below := map[int32]bool{}
	for step := p.from; step < p.to; step++ {
		err := t.trials(step, func(t trial) {
			found(t)
			if t.margin < likelyLow*a.asked {
				below[t.piece] = true
			}
		})
		if err != nil {
			return err
		}
	}
	a.keeping.Lock()
	defer a.keeping.Unlock()
	if e.bodies == nil {
		e.bodies = map[bodyKey]*contact.Support{}
	}
	for key, body := range t.bodies {
		if below[key.piece] {
			e.bodies[key] = body
		}
	}
	return nil
}
