package hold

import (
	"slices"
	"sort"
	"strings"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// power is what of the machine is on: the pump, the zones that are open, the clamps that press.
type power struct {
	pump   bool
	zones  []bool
	clamps []bool
}

// openZones gives for each zone whether the job says that it is open.
func openZones(j *job.Job) []bool {
	open := make([]bool, len(j.Zones))
	for i := range open {
		open[i] = j.Zones[i].Open
	}
	return open
}

// powerChange is what is on from a move on.
type powerChange struct {
	move int
	power
}

// planPower follows the outputs that the program switches. Before the first switch of a thing it is taken to be the
// other way round: what a program turns on was off.
func (a *Analysis) planPower() []powerChange {
	now := power{pump: true, zones: openZones(a.job), clamps: make([]bool, len(a.job.Clamps))}
	for i := range now.clamps {
		now.clamps[i] = true
	}
	switches := map[string]job.Switch{}
	for _, s := range a.job.Machine.Outputs {
		switches[s.Output.String()] = s
	}
	seen := power{zones: make([]bool, len(now.zones)), clamps: make([]bool, len(now.clamps))}
	for _, c := range a.prog.Outputs {
		s := switches[c.Output.String()]
		for _, t := range now.things(s, a.job) {
			if first := seen.same(t, &now); !*first {
				*first, *t = true, !s.On
			}
		}
	}
	plan := []powerChange{{0, now.clone()}}
	for _, c := range a.prog.Outputs {
		s := switches[c.Output.String()]
		for _, t := range now.things(s, a.job) {
			*t = s.On
		}
		last := &plan[len(plan)-1]
		switch {
		case last.move == c.Move:
			last.power = now.clone()
		case !last.equal(now):
			plan = append(plan, powerChange{c.Move, now.clone()})
		}
	}
	return plan
}

func (p power) clone() power {
	return power{p.pump, slices.Clone(p.zones), slices.Clone(p.clamps)}
}

func (p power) equal(q power) bool {
	return p.pump == q.pump && slices.Equal(p.zones, q.zones) && slices.Equal(p.clamps, q.clamps)
}

// things gives what an output switches.
func (p *power) things(s job.Switch, j *job.Job) (out []*bool) {
	switch s.What {
	case job.SwitchesPump:
		return []*bool{&p.pump}
	case job.SwitchesZone:
		for i := range j.Zones {
			if s.Name == "" || s.Name == j.Zones[i].Name {
				out = append(out, &p.zones[i])
			}
		}
	case job.SwitchesClamp:
		for i := range j.Clamps {
			if s.Name == "" || s.Name == j.Clamps[i].Name {
				out = append(out, &p.clamps[i])
			}
		}
	}
	return out
}

// same gives the thing of p that a thing of q is.
func (p *power) same(thing *bool, q *power) *bool {
	for i := range q.zones {
		if thing == &q.zones[i] {
			return &p.zones[i]
		}
	}
	for i := range q.clamps {
		if thing == &q.clamps[i] {
			return &p.clamps[i]
		}
	}
	return &p.pump
}

// powerFrom is what is on when a move begins.
func (a *Analysis) powerFrom(move int) *power {
	i := sort.Search(len(a.power), func(i int) bool { return a.power[i].move > move })
	return &a.power[max(i-1, 0)].power
}

// switchesZones tells whether the program opens or closes zones itself.
func (a *Analysis) switchesZones() bool {
	return slices.ContainsFunc(a.job.Machine.Outputs, func(s job.Switch) bool {
		return s.What == job.SwitchesZone && slices.ContainsFunc(a.prog.Outputs, func(c parse.OutputChange) bool {
			return c.Output.String() == s.Output.String()
		})
	})
}

// cutPower tells whether anything is cut without any vacuum, and whether anything is cut with other zones open than the
// job says.
func (a *Analysis) cutPower() (noVacuum, otherZones bool) {
	if len(a.power) == 1 {
		p := &a.power[0]
		return !p.pump && a.rec.Steps.Len() > 0, false
	}
	for i := range a.rec.Steps.Len() {
		p := a.powerFrom(int(a.rec.Steps.At(i).Move))
		noVacuum = noVacuum || !p.vacuum()
		for k := range p.zones {
			otherZones = otherZones || p.zones[k] != a.job.Zones[k].Open
		}
	}
	return noVacuum, otherZones
}

// vacuum tells whether any is drawn.
func (p *power) vacuum() bool { return p.pump && slices.Contains(p.zones, true) }

// clampOn tells whether a clamp presses at a moment; on the border of two moves it must press in both.
func (a *Analysis) clampOn(i int, at sweep.Progress) bool {
	move := at.Move()
	on := a.powerFrom(move).clamps[i]
	if sweep.Progress(move) == at && move > 0 {
		on = on && a.powerFrom(move - 1).clamps[i]
	}
	return on
}

// powerEnds gives the moments of the switches before and after which something is cut.
func (a *Analysis) powerEnds() []sweep.Progress {
	var moves []int
	for _, c := range a.power[1:] {
		moves = append(moves, c.move)
	}
	return a.betweenCuts(moves)
}

// powerOf is what is on in an epoch: at its first cut, or at the next one where nothing is cut in it. Epochs end where
// something is switched between cuts.
func (a *Analysis) powerOf(e *epoch) *power {
	if a.rec.Steps.Len() == 0 {
		return &a.power[0].power
	}
	return a.powerFrom(int(a.rec.Steps.At(min(e.firstStep, a.rec.Steps.Len()-1)).Move))
}

// opened tells which zones are open in an epoch, as far as the air is concerned, and whether any vacuum is drawn at
// all; without any, the air is that of the zones that the job says are open.
func (a *Analysis) opened(e *epoch) (zones []bool, vacuum bool) {
	on := a.powerOf(e)
	if !on.vacuum() {
		return openZones(a.job), false
	}
	return on.zones, true
}

// powerStatements say what the program switches is taken to be.
func (a *Analysis) powerStatements() []string {
	if len(a.prog.Outputs) == 0 {
		return nil
	}
	var off []string
	first := &a.power[0].power
	if !first.pump {
		off = append(off, "the pump")
	}
	for i := range a.job.Zones {
		if a.job.Zones[i].Open && !first.zones[i] {
			off = append(off, "zone "+a.job.Zones[i].Name)
		}
	}
	for i, on := range first.clamps {
		if !on {
			off = append(off, "clamp "+a.job.Clamps[i].Name)
		}
	}
	out := []string{"pump, zones and clamps are on as the program switches them ([machine.output])"}
	if len(off) > 0 {
		out = append(out, strings.Join(off, ", ")+": off until the program turns it on")
	}
	return out
}
