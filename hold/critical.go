package hold

import (
	"cmp"
	"math"
	"slices"
)

// A piece has one step with its least margin, but when figures are off another may be the worst: one with another tool,
// or where it tips and does not slip. The few steps that may be are critical.
const (
	criticalReach = 1.5 // times the least margin: what may become the least
	maxCritical   = 3   // steps of a piece
)

// noteCritical keeps the worst trial of a piece by way of failing, as far as it is near the least so far.
func (a *Analysis) noteCritical(t trial) {
	if t.margin > criticalReach*a.least[t.piece].margin || math.IsInf(t.margin, 1) {
		return
	}
	list := a.critical[t.piece]
	for i := range list {
		if u := &list[i]; u.mode == t.mode && u.tool == t.tool && u.alone == t.alone &&
			(u.section > 0) == (t.section > 0) {
			if t.worse(*u) {
				*u = t
			}
			return
		}
	}
	a.critical[t.piece] = append(list, t)
}

// criticalSteps gives the critical trials of a piece, the least margin first; none where nothing loads it.
func (a *Analysis) criticalSteps(piece int32) []trial {
	list := a.critical[piece]
	slices.SortStableFunc(list, func(t, u trial) int { return cmp.Compare(t.margin, u.margin) })
	for i := range list {
		if i == maxCritical || list[i].margin > criticalReach*list[0].margin {
			return list[:i]
		}
	}
	return list
}
