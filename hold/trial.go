package hold

import (
	"errors"
	"fmt"

	"github.com/paulmach/orb"

	"staydown/hold/contact"
	"staydown/hold/cutload"
)

// modes translates the contact model's words.
var modes = map[contact.Mode]Mode{contact.Lift: Lift, contact.Slip: Slip, contact.Twist: Twist, contact.Tip: Tip}

// enough is how many times the margin asked for the quick and safe estimate of the contact model must show before
// the exact reckoning is left out.
const enough = 3

// change is what a remedy would alter. The zero value alters nothing.
type change struct {
	feedShare float64       // of the feed in the program
	passMM    float64       // greatest depth of the cut
	skinMM    float64       // height above the table below which the tool does not go
	webs      []contact.Web // that hold the piece besides its own
	downCut   bool          // a flute of the other hand
	tackPa    float64       // besides that of the layer
	anchored  bool
}

// body tells whether the change concerns what holds the piece, and not its load alone.
func (c change) body() bool { return len(c.webs) > 0 || c.tackPa > 0 || c.anchored }

// tryStep checks one step on every piece that it touches, with the change applied. Bodies are built once per epoch and
// piece and kept in bodies; loads is scratch space. Steps whose load makes no sense yield nothing; cutDataFindings
// reports them.
func (a *Analysis) tryStep(index, step int, chuckPa float64, c change, bodies map[bodyKey]*contact.Support, loads []contact.Load, visit func(trial)) ([]contact.Load, error) {
	return a.tryPieces(index, step, a.touchedIn(step), chuckPa, c, bodies, loads, visit)
}

// tryPieces is tryStep for some of the pieces that the step touches.
func (a *Analysis) tryPieces(index, step int, pieces []int32, chuckPa float64, c change, bodies map[bodyKey]*contact.Support, loads []contact.Load, visit func(trial)) ([]contact.Load, error) {
	e, s := &a.air[index], &a.rec.Steps[step]
	loads, _, err := a.loadsOf(s, c, loads)
	var nonsense *cutload.SenseError
	switch {
	case errors.As(err, &nonsense):
		a.nonsense.Store(true)
		return loads, nil
	case err != nil:
		return loads, err
	case len(loads) == 0:
		return loads, nil
	}
	m := &a.prog.Moves[s.Move]
	for _, id := range pieces {
		if p := &a.rec.Pieces[id-1]; p.Freed <= e.until && settled(a.rec, s) < p.Freed || hungIn(p, e.until) && len(a.wholeWebs(p, e.until, 0)) == 0 {
			// The last of its webs goes later in this epoch. It is checked without any from the step that frees it, which
			// is the harder test.
			continue
		}
		key := a.keyOf(e, s, id)
		support := bodies[key]
		if support == nil {
			if support, err = contact.NewSupport(a.bodyOf(e, key, chuckPa, c)); err != nil {
				return loads, fmt.Errorf("piece %d: %w", id, err)
			}
			bodies[key] = support
		}
		out, worst := support.Worst(loads)
		if out.Err != nil {
			return loads, fmt.Errorf("piece %d: %w", id, out.Err)
		}
		if out.Margin < 1 {
			out, worst = standing(support, loads, out, worst)
		}
		load := loads[max(worst, 0)]
		visit(trial{
			step: step, piece: id, epoch: index, mode: modes[out.Mode], margin: out.Margin,
			holdN: support.NormalN(), liftN: max(0, load.ZN), loadN: out.LoadN, at: orb.Point{load.X, load.Y},
			timeS: a.timeS(begin(s)), line: int(m.Line), tool: int(m.Tool),
		})
	}
	return loads, nil
}

// sweepSteps checks every step on every piece in program order, with the chuck at the absolute pressure that chuckPa
// gives for each epoch, until visit returns false.
func (a *Analysis) sweepSteps(chuckPa func(index int) float64, visit func(trial) bool) error {
	queue := a.newQueue(visit)
	for i := range a.air {
		if on, err := queue.add(i, chuckPa(i)); !on || err != nil {
			return err
		}
	}
	return queue.drain()
}

func (a *Analysis) sweepEpoch(index int, chuckPa float64) ([]trial, error) {
	e := &a.air[index]
	bodies := make(map[bodyKey]*contact.Support, len(e.pieces))
	var trials []trial
	var loads []contact.Load
	for step := e.firstStep; step < e.lastStep; step++ {
		var err error
		loads, err = a.tryStep(index, step, chuckPa, change{}, bodies, loads, func(t trial) { trials = append(trials, t) })
		if err != nil {
			return nil, err
		}
	}
	return trials, nil
}
