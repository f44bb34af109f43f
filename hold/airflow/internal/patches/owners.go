package patches

import (
	"slices"

	"staydown/hold/airflow/internal/cells"
	"staydown/sweep"
)

// owners tells which piece each label of the sweep belongs to at the moment: a part belongs to the sheet until it is
// freed.
type owners struct {
	pieceAt func(label int32, p sweep.Progress) int32

	labels  []int32         // distinct, rising
	ofLabel [][]int32       // groups of each label on open zones
	held    []int64         // per label: cells of the sweep on open zones
	heldBy  map[int32]int64 // per piece, now; nil when not summed yet
	piece   []int32         // of each label, now
	now     sweep.Progress
	fresh   bool // piece holds for now
}

// newOwners lists the groups of each label. From here on the label of a group is its index among them.
func newOwners(a *cells.Air, pieceAt func(label int32, p sweep.Progress) int32) owners {
	o := owners{pieceAt: pieceAt, now: cells.Start}
	seen := map[int32]bool{}
	for i := range a.Groups {
		seen[a.Groups[i].Label] = true
	}
	for label := range seen {
		o.labels = append(o.labels, label)
	}
	slices.Sort(o.labels)
	index := make(map[int32]int32, len(o.labels))
	for i, label := range o.labels {
		index[label] = int32(i)
	}
	o.ofLabel = make([][]int32, len(o.labels))
	o.held = make([]int64, len(o.labels))
	o.piece = make([]int32, len(o.labels))
	for i := range a.Groups {
		g := &a.Groups[i]
		g.Label = index[g.Label]
		if g.Support.Held() {
			o.ofLabel[g.Label] = append(o.ofLabel[g.Label], int32(i))
			o.held[g.Label] += int64(g.Area)
		}
	}
	return o
}

// Advance goes on to a moment.
func (o *owners) Advance(p sweep.Progress) { o.now, o.fresh, o.heldBy = p, false, nil }

// update finds the piece of each label at the moment, and calls changed for the groups of those that have changed
// hands.
func (o *owners) update(changed func(groups []int32)) []int32 {
	if o.fresh {
		return o.piece
	}
	at := max(o.now, 0)
	for i, label := range o.labels {
		if owner := o.pieceAt(label, at); owner != o.piece[i] {
			o.piece[i] = owner
			changed(o.ofLabel[i])
		}
	}
	o.fresh = true
	return o.piece
}

// heldCells is how many cells of a piece lie on open zones; update comes first.
func (o *owners) heldCells(piece int32) int64 {
	if o.heldBy == nil {
		o.heldBy = make(map[int32]int64)
		for i, owner := range o.piece {
			o.heldBy[owner] += o.held[i]
		}
	}
	return o.heldBy[piece]
}
