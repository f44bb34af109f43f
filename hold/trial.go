package hold

import (
	"errors"
	"fmt"
	"maps"

	"github.com/paulmach/orb"

	"staydown/hold/contact"
	"staydown/hold/cutload"
	"staydown/sweep"
)

// modes translates the contact model's words.
var modes = map[contact.Mode]Mode{contact.Lift: Lift, contact.Slip: Slip, contact.Twist: Twist, contact.Tip: Tip}

// enough is how many times the margin asked for the quick and safe estimate of the contact model must show before
// the exact reckoning is left out.
const enough = 3

// change is what a remedy would alter. The zero value alters nothing.
type change struct {
	feedMMMin float64       // greatest feed; rapids stay as they are
	passMM    float64       // greatest depth of the cut
	skinMM    float64       // height above the table below which the tool does not go in the blocks that are raised
	raised    blocks        // nil: all
	plunge    bool          // straight down where the tool goes along now, through the last of the material
	webs      []contact.Web // that hold the piece besides its own
	downCut   bool          // a flute of the other hand
	tackPa    float64       // besides that of the layer
	anchored  bool
}

// body tells whether the change concerns what holds the piece, and not its load alone.
func (c change) body() bool { return len(c.webs) > 0 || c.tackPa > 0 || c.anchored }

// setting is the table of one epoch with the chuck at an absolute pressure and a change applied. Bodies are built once and kept.
type setting struct {
	a       *Analysis
	index   int // of the epoch
	chuckPa float64
	change  change
	bodies  map[bodyKey]*contact.Support
	plain   map[bodyKey]*contact.Support // without the change, as far as they are known
	loads   []contact.Load               // of the step under way
}

func (a *Analysis) setting(index int, chuckPa float64, c change) *setting {
	return &setting{a: a, index: index, chuckPa: chuckPa, change: c, bodies: map[bodyKey]*contact.Support{}}
}

// each visits those of the pieces that count on their own by the end of a step, with the step's loads at hand. Steps whose load makes no sense
// yield nothing; cutDataFindings reports them.
func (t *setting) each(step int, pieces []int32, visit func(id int32, s *contact.Support) error) (err error) {
	a := t.a
	s := &a.rec.Steps[step]
	t.loads, _, err = a.loadsOf(s, t.change, t.loads)
	var nonsense *cutload.SenseError
	if errors.As(err, &nonsense) {
		a.nonsense.Store(true)
		return nil
	}
	if err != nil || len(t.loads) == 0 {
		return err
	}
	until := a.air[t.index].until
	for _, id := range pieces {
		if p := &a.rec.Pieces[id-1]; p.Freed <= until && settled(a.rec, s) < p.Freed || hungIn(p, until) && len(a.wholeWebs(p, until, 0)) == 0 {
			// The last of its webs goes later in this epoch. It is checked without any from the step that frees it, which
			// is the harder test.
			continue
		}
		if a.remnant(&a.air[t.index], a.prog.Moves.At(int(s.Move)).Tool, id) {
			continue
		}
		support, err := t.support(s, id)
		if err == nil {
			err = visit(id, support)
		}
		if err != nil {
			return fmt.Errorf("piece %d: %w", id, err)
		}
	}
	return nil
}

// support is what holds a piece while a step goes on.
func (t *setting) support(s *sweep.Step, id int32) (support *contact.Support, err error) {
	e := &t.a.air[t.index]
	key := t.a.keyOf(e, s, id)
	if support = t.bodies[key]; support == nil {
		support, err = t.build(e, key)
		t.bodies[key] = support
	}
	return support, err
}

func (t *setting) build(e *epoch, key bodyKey) (*contact.Support, error) {
	if plain := t.plain[key]; plain != nil && !t.change.anchored {
		return plain.With(t.a.websOf(e, key, t.change), t.a.tackPa()+t.change.tackPa)
	}
	return contact.NewSupport(t.a.bodyOf(e, key, t.chuckPa, t.change))
}

// trials sets the load of a step against the hold of every piece that it touches.
func (t *setting) trials(step int, visit func(trial)) error {
	s := &t.a.rec.Steps[step]
	m := t.a.prog.Moves.At(int(s.Move))
	return t.each(step, t.a.touchedIn(step), func(id int32, support *contact.Support) error {
		out, worst := support.Worst(t.loads)
		if out.Err != nil {
			return out.Err
		}
		if out.Margin < 1 {
			out, worst = standing(support, t.loads, out, worst)
		}
		load := t.loads[max(worst, 0)]
		visit(trial{
			step: step, piece: id, epoch: t.index, mode: modes[out.Mode], margin: out.Margin,
			holdN: support.NormalN(), liftN: max(0, load.ZN), loadN: out.LoadN, at: orb.Point{load.X, load.Y},
			timeS: t.a.timeS(begin(s)), line: int(m.Line), tool: int(m.Tool),
		})
		return nil
	})
}

// misses lists those of the pieces that a step leaves with less than a margin of 1 or more, which is much quicker than to find the margins.
// tried is the number of pieces that were looked at.
func (t *setting) misses(step int, pieces []int32, margin float64) (missed []int32, tried int, err error) {
	err = t.each(step, pieces, func(id int32, support *contact.Support) error {
		tried++
		if !support.Stands(t.loads, margin) {
			missed = append(missed, id)
		}
		return nil
	})
	return missed, tried, err
}

// sweepEpoch checks every step of an epoch on every piece in program order. The bodies of pieces below the margin asked for are kept, since a way
// out will be looked for.
func (a *Analysis) sweepEpoch(index int, chuckPa float64) ([]trial, error) {
	e := &a.air[index]
	t := a.setting(index, chuckPa, change{})
	var trials []trial
	ailing := map[int32]bool{}
	for step := e.firstStep; step < e.lastStep; step++ {
		err := t.trials(step, func(t trial) {
			trials = append(trials, t)
			if t.margin < a.asked {
				ailing[t.piece] = true
			}
		})
		if err != nil {
			return nil, err
		}
	}
	maps.DeleteFunc(t.bodies, func(key bodyKey, _ *contact.Support) bool { return !ailing[key.piece] })
	e.bodies = t.bodies
	return trials, nil
}
