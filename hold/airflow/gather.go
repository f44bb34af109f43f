package airflow

import (
	"cmp"
	"math"
	"slices"

	"staydown/hold/job"
	"staydown/sweep"
)

// start is earlier than every moment of a program: what is exposed then was never covered.
const start sweep.Progress = -1

// group is what the pieces of one label cover of one air cell, on one kind of ground. Counts are in cells of the sweep.
type group struct {
	cell       int32
	label      int32
	ground     ground
	area       int32
	sumX, sumY int32 // of the covered cells' offsets within the air cell
	sides            // towards what is exposed
}

// event changes a group at a moment.
type event struct {
	at         sweep.Progress
	group      int32
	area       int32
	sumX, sumY int32
	sides              // gained or lost
	leakMM2    float32 // layer that is exposed, widened by how deep it is cut
	orificeMM2 float32 // opened straight into the chuck, geometric
}

// parting closes a stretch of the face between two air cells for flow under the stock. Face 2i is the east side of cell i,
// 2i+1 its north side.
type parting struct {
	at   sweep.Progress
	face int32
	n    int32
}

// air is the grid of the field with all that the sweep knows of it.
type air struct {
	grid   sweep.Grid // of the air cells
	m      int        // cells of the sweep along an air cell
	fineMM float64    // cell of the sweep

	groups   []group // in order of cell, then label, then ground
	first    []int32 // groups[first[i]:first[i+1]] lie in cell i
	events   []event // in order of time, then group
	partings []parting
	contact  []uint16 // width of each face under the stock, in cells of the sweep
	rim      []uint16 // per air cell: sides of layer without grooves towards grooves
	deepMM   []float32
	atRim    []bool // the layer's open rim passes through or beside the cell

	leakMM2, orificeMM2 float64  // exposed at the start
	breaches            []Breach // of the whole program, in order of time
}

// fineRow is a row of the sweep's cells with a ghost cell at each end.
type fineRow struct {
	*rowCells
	covered []bool           // material lies there when the program starts
	cut     []sweep.Progress // start where nothing lies
	label   []int32
	depthMM []float32
}

// rawEntry is an event before it is merged with its like.
type rawEntry struct {
	cell   int32
	label  int32
	ground ground
	slot   int64 // of the program
	event
}

type partKey struct {
	face int32
	slot int64
}

type gatherer struct {
	*air
	src     source
	region  *region
	layer   *job.Layer
	slots   *slots
	raw     [2][]rawEntry // by parity of the air row: those that the current row of fine cells and the one below can add to
	last    [2][]int32    // index of the latest entry per air column
	order   []int32       // scratch of flush
	flushed int           // air rows done
	parts   map[partKey]parting
	opened  []Breach // earliest per zone
}

// gather reads the sweep once, row by row, and sorts what happens by air cell and time.
func gather(src source, j *job.Job, reg *region, m int) (*air, error) {
	slots, err := newSlots(src, m)
	if err != nil {
		return nil, err
	}
	across := func(fine int) int { return (fine + m - 1) / m }
	a := &air{
		grid: sweep.Grid{
			OriginX: src.grid.OriginX, OriginY: src.grid.OriginY, CellMM: float64(m) * src.grid.CellMM,
			NX: across(src.grid.NX), NY: across(src.grid.NY),
		},
		m: m, fineMM: src.grid.CellMM,
	}
	cells := a.grid.NX * a.grid.NY
	a.first = make([]int32, 1, cells+1)
	a.contact = make([]uint16, 2*cells)
	a.rim = make([]uint16, cells)
	a.deepMM = make([]float32, cells)
	a.atRim = make([]bool, cells)
	g := &gatherer{air: a, src: src, region: reg, layer: j.Layer, slots: slots, parts: map[partKey]parting{}}
	for _, zone := range j.Zones {
		g.opened = append(g.opened, Breach{Zone: zone.Name, At: sweep.Never})
	}
	for i := range g.last {
		g.last[i] = make([]int32, a.grid.NX)
		for k := range g.last[i] {
			g.last[i][k] = -1
		}
	}
	below, row := g.newRow(), g.newRow()
	g.fill(-1, below)
	for iy := 0; iy <= src.grid.NY; iy++ {
		for (g.flushed+1)*m < iy {
			g.flush()
		}
		g.fill(iy, row)
		g.count(iy, row, below)
		below, row = row, below
	}
	for g.flushed < a.grid.NY {
		g.flush()
	}
	g.finish(j)
	return a, nil
}

func (g *gatherer) newRow() *fineRow {
	n := g.src.grid.NX + 2
	return &fineRow{
		rowCells: newRowCells(n), covered: make([]bool, n), cut: make([]sweep.Progress, n), label: make([]int32, n), depthMM: make([]float32, n),
	}
}

// fill reads row iy; rows and columns just outside the grid are bare.
func (g *gatherer) fill(iy int, row *fineRow) {
	g.region.fill(iy, row.rowCells)
	n := g.src.grid.NX
	for i := range row.cut {
		row.cut[i], row.label[i], row.depthMM[i] = start, 0, 0
	}
	if iy >= 0 && iy < g.src.grid.NY {
		g.src.read(iy, row.cut[1:n+1], row.label[1:n+1], row.depthMM[1:n+1])
	}
	for i := range row.cut {
		row.covered[i] = row.label[i] > 0
		if !row.covered[i] {
			row.cut[i] = start
		}
		if g.layer != nil && !row.inside[i] && g.layer.Edge == job.SealedEdge {
			row.cut[i] = sweep.Never // tape: no air comes from there
		}
	}
}

// count adds what row iy holds and its sides towards the row below.
func (g *gatherer) count(iy int, row, below *fineRow) {
	n := g.src.grid.NX
	for i := 1; i <= n+1; i++ {
		if iy < g.src.grid.NY && i <= n {
			g.own(iy, i, row)
		}
		g.pair(iy, i, row, iy, i-1, row, besideEachOther)
		g.pair(iy, i, row, iy-1, i-1, below, cornerwise)
		if i <= n {
			g.pair(iy, i, row, iy-1, i, below, aboveEachOther)
			g.pair(iy, i, row, iy-1, i+1, below, cornerwise)
		}
	}
	g.pair(iy, 0, row, iy-1, 1, below, cornerwise)
}

// own counts the cell itself.
func (g *gatherer) own(iy, i int, row *fineRow) {
	what := row.ground[i]
	if what == noGround && !row.covered[i] {
		return
	}
	area := g.fineMM * g.fineMM
	var leak, orifice float64
	through := g.layer != nil && float64(row.depthMM[i]) >= g.layer.ThicknessMM
	switch {
	case what == gasketed:
		orifice = area
	case !what.onLayer():
	case through && what == breathing:
		orifice = area
	case row.leaky[i] && !through:
		leak = area * deepening(float64(row.depthMM[i]), g.layer.ThicknessMM)
	}
	cut := row.cut[i]
	if what == gasketed && cut < g.opened[row.zone[i]].At {
		x, y := g.centre(iy, i)
		g.opened[row.zone[i]] = Breach{Zone: g.opened[row.zone[i]].Zone, At: cut, X: x, Y: y}
	}
	if what.onLayer() && cut < sweep.Never {
		cell := g.cellOf(iy, i)
		g.deepMM[cell] = max(g.deepMM[cell], row.depthMM[i])
	}
	if !row.covered[i] {
		g.leakMM2 += leak
		g.orificeMM2 += orifice
		return
	}
	x, y := int32((i-1)%g.m), int32(iy%g.m)
	g.add(iy, i, row, event{at: start, area: 1, sumX: x, sumY: y})
	if cut < sweep.Never {
		g.add(iy, i, row, event{
			at: cut, area: -1, sumX: -x, sumY: -y,
			leakMM2: float32(leak), orificeMM2: float32(orifice),
		})
	}
}

// deepening is how much more a layer leaks that is cut to the given depth; the limit keeps a paper-thin rest finite.
func deepening(depthMM, thicknessMM float64) float64 {
	if depthMM <= 0 {
		return 1
	}
	return math.Min(1/(1-depthMM/thicknessMM), maxDeepening)
}

// pair counts the side (or corner) that two fine cells share.
func (g *gatherer) pair(ya, ia int, a *fineRow, yb, ib int, b *fineRow, how adjacency) {
	if a.cut[ia] == b.cut[ib] && a.depthMM[ia] == b.depthMM[ib] && a.ground[ia] == b.ground[ib] && (how == cornerwise || g.cellOf(ya, ia) == g.cellOf(yb, ib)) {
		return
	}
	if g.layer != nil {
		g.wall(ya, ia, a, ib, b, how)
		g.wall(yb, ib, b, ia, a, how)
	}
	if a.covered[ia] && a.ground[ia].onLayer() {
		g.side(ya, ia, a, g.mirrored(ib, b, ia, a, how), how)
	}
	if b.covered[ib] && b.ground[ib].onLayer() {
		g.side(yb, ib, b, g.mirrored(ia, a, ib, b, how), how)
	}
	if how == cornerwise || !a.covered[ia] || !b.covered[ib] || !a.ground[ia].onLayer() || !b.ground[ib].onLayer() {
		return
	}
	if (a.ground[ia] == breathing) != (b.ground[ib] == breathing) {
		if a.ground[ia] != breathing {
			g.rim[g.cellOf(ya, ia)]++
		} else {
			g.rim[g.cellOf(yb, ib)]++
		}
	}
	ca, cb := g.cellOf(ya, ia), g.cellOf(yb, ib)
	if ca == cb {
		return
	}
	face := 2 * cb // b lies west or south of a
	if ya != yb {
		face++
	}
	g.contact[face]++
	if at := min(a.cut[ia], b.cut[ib]); at < sweep.Never {
		key := partKey{face, g.slots.of(at)}
		p, ok := g.parts[key]
		if !ok {
			p = parting{at: at, face: face}
		}
		p.at = min(p.at, at)
		p.n++
		g.parts[key] = p
	}
}

// wall counts what the wall of a cut into the layer, or the layer's open rim, lets in beyond the band beside it: from the moment the deeper
// of two cells is exposed, for good.
func (g *gatherer) wall(iy, i int, row *fineRow, k int, other *fineRow, how adjacency) {
	if row.ground[i] != breathing || row.cut[i] == sweep.Never && other.inside[k] {
		return
	}
	reach := g.layer.ThicknessMM * math.Sqrt(g.layer.AlongM2/g.layer.ThroughM2)
	wide, at := wallLeak(g.share(row.depthMM[i]))-wallLeak(g.share(other.depthMM[k])), row.cut[i]
	if !other.inside[k] {
		if g.layer.Edge == job.SealedEdge {
			return
		}
		gap := leastRimGap
		if groove := g.region.zones[row.zone[i]].Groove; groove != nil {
			gap = math.Max(gap, (groove.PitchMM-groove.WidthMM)/2/reach)
		}
		wide, at = rimLeak(gap)-wallLeak(g.share(row.depthMM[i])), start
	}
	if wide <= 0 {
		return
	}
	side := how.side()
	leak := side.length() * g.fineMM * reach * wide
	if at == start {
		g.leakMM2 += leak
		return
	}
	g.add(iy, i, row, event{at: at, leakMM2: float32(leak)})
}

// share is a depth over the thickness of the layer.
func (g *gatherer) share(depthMM float32) float64 {
	return math.Min(1, float64(depthMM)/g.layer.ThicknessMM)
}

// neighbour is what a side looks at.
type neighbour struct {
	cut    sweep.Progress
	inside bool
}

// mirrored gives the neighbour k in its row b of the cell i in its row a. Across a taped rim a corner looks at the mirror image of
// what lies along the rim, so that edges which meet the tape keep their length.
func (g *gatherer) mirrored(k int, b *fineRow, i int, a *fineRow, how adjacency) neighbour {
	if how == cornerwise && !b.inside[k] && g.layer.Edge == job.SealedEdge {
		switch {
		case !b.inside[i] && a.inside[k]:
			return neighbour{a.cut[k], true}
		case !a.inside[k] && b.inside[i]:
			return neighbour{b.cut[i], true}
		}
	}
	return neighbour{b.cut[k], b.inside[k]}
}

// side counts the side of the covered cell i towards a neighbour, from the moment that one is exposed until it is itself.
func (g *gatherer) side(iy, i int, row *fineRow, other neighbour, how adjacency) {
	from, to := other.cut, row.cut[i]
	if from >= to {
		return
	}
	if !other.inside {
		g.atRim[g.cellOf(iy, i)] = true
	}
	if g.slots.of(from) == g.slots.of(to) {
		return
	}
	up, down := event{at: from, sides: how.side()}, event{at: to}
	down.sides.add(how.side(), -1)
	g.add(iy, i, row, up)
	if to < sweep.Never {
		g.add(iy, i, row, down)
	}
}

func (g *gatherer) cellOf(iy, i int) int32 {
	return int32(iy/g.m)*int32(g.grid.NX) + int32((i-1)/g.m)
}

func (g *gatherer) centre(iy, i int) (x, y float64) {
	return g.src.grid.OriginX + (float64(i)-0.5)*g.fineMM, g.src.grid.OriginY + (float64(iy)+0.5)*g.fineMM
}

// add files an entry, joining it to the latest of the same air cell where it is alike.
func (g *gatherer) add(iy, i int, row *fineRow, e event) {
	airRow, column := iy/g.m, (i-1)/g.m
	raw, last := &g.raw[airRow%2], g.last[airRow%2]
	entry := rawEntry{
		cell: int32(airRow)*int32(g.grid.NX) + int32(column), label: row.label[i], ground: row.ground[i],
		slot: g.slots.of(e.at), event: e,
	}
	if k := last[column]; k >= 0 && entry.like(&(*raw)[k]) {
		(*raw)[k].join(&entry)
		return
	}
	last[column] = int32(len(*raw))
	*raw = append(*raw, entry)
}

func (e *rawEntry) like(o *rawEntry) bool {
	return e.cell == o.cell && e.label == o.label && e.ground == o.ground && e.slot == o.slot
}

func (e *rawEntry) join(o *rawEntry) {
	e.at = min(e.at, o.at)
	e.area += o.area
	e.sumX += o.sumX
	e.sumY += o.sumY
	e.sides.add(o.sides, 1)
	e.leakMM2 += o.leakMM2
	e.orificeMM2 += o.orificeMM2
}

// flush turns the entries of the next air row into groups and events.
func (g *gatherer) flush() {
	airRow := g.flushed
	raw := g.raw[airRow%2]
	order := g.order[:0]
	for i := range raw {
		order = append(order, int32(i))
	}
	slices.SortFunc(order, func(i, j int32) int {
		a, b := &raw[i], &raw[j]
		return cmp.Or(cmp.Compare(a.cell, b.cell), cmp.Compare(a.label, b.label),
			cmp.Compare(a.ground, b.ground), cmp.Compare(a.slot, b.slot), cmp.Compare(i, j))
	})
	k := 0
	for column := 0; column < g.grid.NX; column++ {
		cell := int32(airRow*g.grid.NX + column)
		for k < len(order) && raw[order[k]].cell == cell {
			head := &raw[order[k]]
			at := group{cell: cell, label: head.label, ground: head.ground}
			id := int32(len(g.groups))
			for k < len(order) && raw[order[k]].of(&at) {
				merged := raw[order[k]]
				for k++; k < len(order) && raw[order[k]].like(&merged); k++ {
					merged.join(&raw[order[k]])
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
		g.first = append(g.first, int32(len(g.groups)))
	}
	g.order = order
	g.raw[airRow%2] = raw[:0]
	for i := range g.last[airRow%2] {
		g.last[airRow%2][i] = -1
	}
	g.flushed++
}

// of tells whether the entry belongs to the group.
func (e *rawEntry) of(q *group) bool {
	return e.cell == q.cell && e.label == q.label && e.ground == q.ground
}

func (q *group) apply(e *event) {
	q.area += e.area
	q.sumX += e.sumX
	q.sumY += e.sumY
	q.sides.add(e.sides, 1)
}

func (g *gatherer) finish(j *job.Job) {
	slices.SortFunc(g.events, func(a, b event) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.group, b.group))
	})
	for _, p := range g.parts {
		g.partings = append(g.partings, p)
	}
	slices.SortFunc(g.partings, func(a, b parting) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.face, b.face), cmp.Compare(a.n, b.n))
	})
	for i, zone := range j.Zones {
		beyond := g.region.beyondMM2(zone)
		switch {
		case !zone.Open || beyond == 0:
		case zone.Seal == job.GasketSeal:
			g.orificeMM2 += beyond
			if g.opened[i].At > start {
				p := zone.Area.Bound().Center()
				g.opened[i] = Breach{Zone: zone.Name, At: start, X: p[0], Y: p[1]}
			}
		case j.Layer != nil:
			g.leakMM2 += beyond * g.region.leakyShare(zone)
		}
	}
	for _, breach := range g.opened {
		if breach.At < sweep.Never {
			breach.At = max(breach.At, 0)
			g.breaches = append(g.breaches, breach)
		}
	}
	slices.SortStableFunc(g.breaches, func(a, b Breach) int { return cmp.Compare(a.At, b.At) })
}
