package gather

import (
	"cmp"
	"slices"

	"staydown/hold/airflow/internal/cells"
)

// rawEntry is an event of one air cell before it is merged with its like.
type rawEntry struct {
	label   int32
	support cells.Support
	bin     int64 // time bin
	cells.Event
	next int32 // earlier entry of the same air cell, -1 for none
}

// mostLooked is how many entries of an air cell are looked through for one that is alike before a new one is made.
// Those that are missed are merged in the end.
const mostLooked = 8

// pendingRow holds what happens in one row of air cells until it is merged.
type pendingRow struct {
	entries []rawEntry
	latest  []int32 // per air column, -1 for none

	closures []rawClosure
	closed   []int32 // the latest closure per face of an air row, -1 for none; two rows share it where a band begins
}

// rawClosure is the closure of a face in a time bin.
type rawClosure struct {
	cells.Closure
	bin  int64
	next int32 // earlier one at the same place, -1 for none
}

func newPendingRow(columns int) pendingRow {
	r := pendingRow{latest: make([]int32, columns), closed: make([]int32, 2*columns)}
	r.clear()
	r.clearClosures()
	return r
}

// clear forgets the entries.
func (r *pendingRow) clear() {
	r.entries = r.entries[:0]
	for column := range r.latest {
		r.latest[column] = -1
	}
}

// clearClosures forgets the closures.
func (r *pendingRow) clearClosures() {
	r.closures = r.closures[:0]
	for face := range r.closed {
		r.closed[face] = -1
	}
}

// add files an event of a cell in a time bin, joining it to one of the same air cell where it is alike.
func (g *rowBand) add(at fineCell, bin int64, e cells.Event) {
	row, column := &g.pending[at.row.iy/g.Ratio%2], (at.i-1)/g.Ratio
	k := row.latest[column]
	for looked := 0; k >= 0 && looked < mostLooked; looked++ {
		if o := &row.entries[k]; o.bin == bin && o.label == at.label && o.support == at.Support {
			o.Join(&e)
			return
		}
		k = row.entries[k].next
	}
	row.entries = append(row.entries, rawEntry{label: at.label, support: at.Support, bin: bin, Event: e,
		next: row.latest[column]})
	row.latest[column] = int32(len(row.entries)) - 1
}

func (e *rawEntry) like(o *rawEntry) bool {
	return e.label == o.label && e.support == o.support && e.bin == o.bin
}

// flushClosures sets down closures, in any order: they are sorted in the end.
func (g *rowBand) flushClosures(row *pendingRow) {
	for i := range row.closures {
		g.out.closures = append(g.out.closures, row.closures[i].Closure)
	}
	row.clearClosures()
}

// flush sets down the closures of the next air row and turns its entries into groups and events.
func (g *rowBand) flush() {
	row := &g.pending[g.flushed%2]
	g.flushClosures(row)
	compare := row.compare
	for column := g.X0; column < g.X1; column++ {
		k := row.latest[column]
		g.order = g.order[:0]
		for ; k >= 0; k = row.entries[k].next {
			g.order = append(g.order, k)
		}
		order := g.order
		if len(order) > 1 {
			slices.SortFunc(order, compare)
		}
		cell := int32(g.flushed*g.Grid.NX + column)
		for len(order) > 0 {
			head := &row.entries[order[0]]
			at := cells.Group{Cell: cell, Label: head.label, Support: head.support}
			id := int32(len(g.out.groups))
			for len(order) > 0 && row.entries[order[0]].of(&at) {
				merged := &row.entries[order[0]]
				for order = order[1:]; len(order) > 0 && row.entries[order[0]].like(merged); order = order[1:] {
					merged.Join(&row.entries[order[0]].Event)
				}
				merged.Group = id
				if merged.At == cells.Start {
					at.Apply(&merged.Event)
				} else if merged.Event != (cells.Event{At: merged.At, Group: id}) {
					g.out.addEvent(&merged.Event)
				}
			}
			g.out.groups = append(g.out.groups, at)
		}
		g.out.ends = append(g.out.ends, int32(len(g.out.groups)))
	}
	row.clear()
	g.flushed++
}

// compare orders entries of one air cell by label, support, bin and their filing.
func (r *pendingRow) compare(i, j int32) int {
	a, b := &r.entries[i], &r.entries[j]
	switch {
	case a.label != b.label:
		return cmp.Compare(a.label, b.label)
	case a.support != b.support:
		return cmp.Compare(a.support, b.support)
	case a.bin != b.bin:
		return cmp.Compare(a.bin, b.bin)
	}
	return cmp.Compare(i, j)
}

// of tells whether the entry belongs to the group.
func (e *rawEntry) of(q *cells.Group) bool { return e.label == q.Label && e.support == q.Support }
