package machine

import (
	"slices"
	"sort"
	"strings"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// Power is what of the machine is on: the pump, the zones that are open, the clamps that press.
type Power struct {
	Pump   bool
	Zones  []bool
	Clamps []bool
}

// OpenZones gives for each zone whether the job says that it is open.
func OpenZones(j *job.Job) []bool {
	open := make([]bool, len(j.Zones))
	for i := range open {
		open[i] = j.Zones[i].Open
	}
	return open
}

// Plan is what is on from move to move. It does not change.
type Plan struct {
	prog    *parse.Program
	job     *job.Job
	changes []powerChange
}

// powerChange is what is on from a move on.
type powerChange struct {
	move int
	Power
}

// NewPlan follows the outputs that the program switches. Before the first switch of a thing it is taken to be the other
// way round: what a program turns on was off.
func NewPlan(prog *parse.Program, j *job.Job) *Plan {
	now := Power{Pump: true, Zones: OpenZones(j), Clamps: make([]bool, len(j.Clamps))}
	for i := range now.Clamps {
		now.Clamps[i] = true
	}
	switches := map[string]job.Switch{}
	for _, s := range j.Machine.Outputs {
		switches[s.Output.String()] = s
	}
	seen := Power{Zones: make([]bool, len(now.Zones)), Clamps: make([]bool, len(now.Clamps))}
	for _, c := range prog.Outputs {
		s := switches[c.Output.String()]
		for _, t := range now.things(s, j) {
			if first := seen.same(t, &now); !*first {
				*first, *t = true, !s.On
			}
		}
	}
	plan := []powerChange{{0, now.clone()}}
	for _, c := range prog.Outputs {
		s := switches[c.Output.String()]
		for _, t := range now.things(s, j) {
			*t = s.On
		}
		last := &plan[len(plan)-1]
		switch {
		case last.move == c.Move:
			last.Power = now.clone()
		case !last.equal(now):
			plan = append(plan, powerChange{c.Move, now.clone()})
		}
	}
	return &Plan{prog, j, plan}
}

func (p Power) clone() Power {
	return Power{p.Pump, slices.Clone(p.Zones), slices.Clone(p.Clamps)}
}

func (p Power) equal(q Power) bool {
	return p.Pump == q.Pump && slices.Equal(p.Zones, q.Zones) && slices.Equal(p.Clamps, q.Clamps)
}

// things gives what an output switches.
func (p *Power) things(s job.Switch, j *job.Job) (out []*bool) {
	switch s.What {
	case job.SwitchesPump:
		return []*bool{&p.Pump}
	case job.SwitchesZone:
		for i := range j.Zones {
			if s.Name == "" || s.Name == j.Zones[i].Name {
				out = append(out, &p.Zones[i])
			}
		}
	case job.SwitchesClamp:
		for i := range j.Clamps {
			if s.Name == "" || s.Name == j.Clamps[i].Name {
				out = append(out, &p.Clamps[i])
			}
		}
	}
	return out
}

// same gives the thing of p that a thing of q is.
func (p *Power) same(thing *bool, q *Power) *bool {
	for i := range q.Zones {
		if thing == &q.Zones[i] {
			return &p.Zones[i]
		}
	}
	for i := range q.Clamps {
		if thing == &q.Clamps[i] {
			return &p.Clamps[i]
		}
	}
	return &p.Pump
}

// At is what is on when a move begins.
func (p *Plan) At(move int) *Power {
	i := sort.Search(len(p.changes), func(i int) bool { return p.changes[i].move > move })
	return &p.changes[max(i-1, 0)].Power
}

// SwitchesZones tells whether the program opens or closes zones itself.
func (p *Plan) SwitchesZones() bool {
	return slices.ContainsFunc(p.job.Machine.Outputs, func(s job.Switch) bool {
		return s.What == job.SwitchesZone && slices.ContainsFunc(p.prog.Outputs, func(c parse.OutputChange) bool {
			return c.Output.String() == s.Output.String()
		})
	})
}

// Cutting tells whether anything is cut without any vacuum, and whether anything is cut with other zones open than the
// job says.
func (p *Plan) Cutting(steps *sweep.Steps) (noVacuum, otherZones bool) {
	if len(p.changes) == 1 {
		return !p.changes[0].Pump && steps.Len() > 0, false
	}
	for i := range steps.Len() {
		now := p.At(int(steps.At(i).Move))
		noVacuum = noVacuum || !now.Vacuum()
		for k := range now.Zones {
			otherZones = otherZones || now.Zones[k] != p.job.Zones[k].Open
		}
	}
	return noVacuum, otherZones
}

// Vacuum tells whether any is drawn.
func (p *Power) Vacuum() bool { return p.Pump && slices.Contains(p.Zones, true) }

// ClampOn tells whether a clamp presses at a moment; on the border of two moves it must press in both.
func (p *Plan) ClampOn(i int, at sweep.Progress) bool {
	move := at.Move()
	on := p.At(move).Clamps[i]
	if sweep.Progress(move) == at && move > 0 {
		on = on && p.At(move - 1).Clamps[i]
	}
	return on
}

// Switches are the moves from which on something else is on, in rising order.
func (p *Plan) Switches() (moves []int) {
	for _, c := range p.changes[1:] {
		moves = append(moves, c.move)
	}
	return moves
}

// Statements say what the program switches is taken to be.
func (p *Plan) Statements() []string {
	if len(p.prog.Outputs) == 0 {
		return nil
	}
	var off []string
	first := &p.changes[0].Power
	if !first.Pump {
		off = append(off, "the pump")
	}
	for i := range p.job.Zones {
		if p.job.Zones[i].Open && !first.Zones[i] {
			off = append(off, "zone "+p.job.Zones[i].Name)
		}
	}
	for i, on := range first.Clamps {
		if !on {
			off = append(off, "clamp "+p.job.Clamps[i].Name)
		}
	}
	out := []string{"pump, zones and clamps are on as the program switches them ([machine.output])"}
	if len(off) > 0 {
		out = append(out, strings.Join(off, ", ")+": off until the program turns it on")
	}
	return out
}
