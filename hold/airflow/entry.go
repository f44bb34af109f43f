package airflow

import (
	"cmp"
	"slices"
)

// rawEntry is an event of one air cell before it is merged with its like.
type rawEntry struct {
	label  int32
	ground ground
	slot   int64 // of the program
	event
	next int32 // earlier entry of the same air cell, -1 for none
}

// mostLooked is how many entries of an air cell are looked through for one that is alike before a new one is made.
// Those that are missed are merged in the end.
const mostLooked = 8

// rawRow holds the entries of one row of air cells.
type rawRow struct {
	entries []rawEntry
	latest  []int32 // per air column, -1 for none
}

func newRawRow(columns int) rawRow {
	r := rawRow{latest: make([]int32, columns)}
	r.clear()
	return r
}

func (r *rawRow) clear() {
	r.entries = r.entries[:0]
	for column := range r.latest {
		r.latest[column] = -1
	}
}

// add files an event of a cell in a slot, joining it to one of the same air cell where it is alike.
func (g *stripe) add(at fineCell, slot int64, e event) {
	raw, column := &g.raw[at.row.iy/g.m%2], (at.i-1)/g.m
	k := raw.latest[column]
	for looked := 0; k >= 0 && looked < mostLooked; looked++ {
		if o := &raw.entries[k]; o.slot == slot && o.label == at.label && o.ground == at.ground {
			o.join(&e)
			return
		}
		k = raw.entries[k].next
	}
	raw.entries = append(raw.entries, rawEntry{label: at.label, ground: at.ground, slot: slot, event: e,
		next: raw.latest[column]})
	raw.latest[column] = int32(len(raw.entries)) - 1
}

func (e *rawEntry) like(o *rawEntry) bool {
	return e.label == o.label && e.ground == o.ground && e.slot == o.slot
}

func (e *event) join(o *event) {
	e.at = min(e.at, o.at)
	e.area += o.area
	e.sumX += o.sumX
	e.sumY += o.sumY
	e.sides.add(o.sides, 1)
	e.leakMM2 += o.leakMM2
	e.orificeMM2 += o.orificeMM2
	e.seep += o.seep
}

// flushParts sets down partings, in any order: they are sorted in the end.
func (g *stripe) flushParts(parts map[partKey]parting) {
	for _, p := range parts {
		g.partings = append(g.partings, p)
	}
	clear(parts)
}

// flush sets down the partings of the next air row and turns its entries into groups and events.
func (g *stripe) flush() {
	g.flushParts(g.parts[g.flushed%2])
	raw := &g.raw[g.flushed%2]
	for column, k := range raw.latest {
		order := g.order[:0]
		for ; k >= 0; k = raw.entries[k].next {
			order = append(order, k)
		}
		slices.SortFunc(order, raw.compare)
		cell := int32(g.flushed*g.grid.NX + column)
		for len(order) > 0 {
			head := &raw.entries[order[0]]
			at := group{cell: cell, label: head.label, ground: head.ground}
			id := int32(len(g.groups))
			for len(order) > 0 && raw.entries[order[0]].of(&at) {
				merged := raw.entries[order[0]]
				for order = order[1:]; len(order) > 0 && raw.entries[order[0]].like(&merged); order = order[1:] {
					merged.join(&raw.entries[order[0]].event)
				}
				merged.group = id
				if merged.at == start {
					at.apply(&merged.event)
				} else if merged.event != (event{at: merged.at, group: id}) {
					g.events = append(g.events, merged.event)
				}
			}
			g.groups = append(g.groups, at)
		}
		g.ends = append(g.ends, int32(len(g.groups)))
		g.order = g.order[:0]
	}
	raw.clear()
	g.flushed++
}

// compare orders entries of one air cell by label, ground, slot and their filing.
func (r *rawRow) compare(i, j int32) int {
	a, b := &r.entries[i], &r.entries[j]
	switch {
	case a.label != b.label:
		return cmp.Compare(a.label, b.label)
	case a.ground != b.ground:
		return cmp.Compare(a.ground, b.ground)
	case a.slot != b.slot:
		return cmp.Compare(a.slot, b.slot)
	}
	return cmp.Compare(i, j)
}

// of tells whether the entry belongs to the group.
func (e *rawEntry) of(q *group) bool { return e.label == q.label && e.ground == q.ground }

func (q *group) apply(e *event) {
	q.area += e.area
	q.sumX += e.sumX
	q.sumY += e.sumY
	q.sides.add(e.sides, 1)
	q.seep += e.seep
}
