package airflow

import (
	"math"

	"staydown/hold/job"
	"staydown/sweep"
)

// stripe gathers some rows of air cells. What it shares with other stripes it writes only at cells of its own.
type stripe struct {
	*air
	src    source
	region *region
	layer  *job.Layer
	reach  float64 // of the layer, t s
	slots  *slots

	low, high int // rows of the sweep whose cells are counted: low <= iy < high

	raw      [2]rawRow // by parity of the air row: those that the current row of fine cells and the one below can add to
	order    []int32   // scratch of flush
	lastWall struct {
		depthMM float32
		leak    float64
	}
	flushed int // air rows done

	groups []group
	ends   []int32 // of the groups of each air cell
	events []event
	parts  map[partKey]parting
	opened []Breach // earliest per zone

	leakMM2, orificeMM2 float64 // exposed at the start
}

type partKey struct {
	face int32
	slot int64
}

// fineRow is a row of the sweep's cells with a ghost cell at each end.
type fineRow struct {
	*rowCells
	covered []bool           // material lies there when the program starts
	cut     []sweep.Progress // start where nothing lies
	label   []int32
	depthMM []float32
	slot    []int64 // of cut
	runs    []int32 // first cells of the runs of cells of one air column that are alike; one more entry for the end
}

func newStripe(a *air, src source, j *job.Job, reg *region, slots *slots) *stripe {
	own := *reg // with scratch of its own
	own.cuts = nil
	b := &stripe{air: a, src: src, region: &own, layer: j.Layer, slots: slots, parts: map[partKey]parting{}}
	if l := j.Layer; l != nil {
		b.reach = l.ThicknessMM * math.Sqrt(l.AlongM2/l.ThroughM2)
	}
	for i := range b.raw {
		b.raw[i] = newRawRow(a.grid.NX)
	}
	return b
}

func (g *stripe) owns(iy int) bool { return iy >= g.low && iy < g.high }

// run gathers the air rows from on up to, but without, to.
func (g *stripe) run(from, to int) {
	last := g.src.grid.NY // the ghost row above the grid
	g.low, g.high, g.flushed = from*g.m, to*g.m, from
	if from == 0 {
		g.low = -1
	}
	if to == g.grid.NY {
		g.high = last + 1
	}
	below, row := g.newRow(), g.newRow()
	g.fill(from*g.m-1, below)
	for iy := from * g.m; iy <= min(to*g.m, last); iy++ {
		for (g.flushed+1)*g.m < iy {
			g.flush()
		}
		g.fill(iy, row)
		g.count(iy, row, below)
		below, row = row, below
	}
	for g.flushed < to {
		g.flush()
	}
}

func (g *stripe) newRow() *fineRow {
	n := g.src.grid.NX + 2
	return &fineRow{
		rowCells: newRowCells(n), covered: make([]bool, n), cut: make([]sweep.Progress, n), label: make([]int32, n), depthMM: make([]float32, n),
		slot: make([]int64, n),
	}
}

// fill reads row iy; rows and columns just outside the grid are bare.
func (g *stripe) fill(iy int, row *fineRow) {
	g.region.fill(iy, row.rowCells)
	n := g.src.grid.NX
	if iy >= 0 && iy < g.src.grid.NY {
		g.src.read(iy, row.cut[1:n+1], row.label[1:n+1], row.depthMM[1:n+1])
		row.label[0], row.label[n+1] = 0, 0
		row.depthMM[0], row.depthMM[n+1] = 0, 0
	} else {
		clear(row.label)
		clear(row.depthMM)
	}
	taped := g.layer != nil && g.layer.Edge == job.SealedEdge
	for i, label := range row.label {
		row.covered[i] = label > 0
		if label <= 0 {
			row.cut[i] = start
		}
		if taped && !row.inside[i] {
			row.cut[i] = sweep.Never // no air comes from there
		}
	}
	row.split(g.m, g.slots)
}

// split finds the runs, and the slots of what they are cut by. The ghost cells are runs of their own.
func (row *fineRow) split(m int, slots *slots) {
	n := len(row.cut)
	row.runs = append(row.runs[:0], 0)
	row.slot[0] = slots.of(row.cut[0])
	border := 1
	for i := 1; i < n; i++ {
		if i == border {
			border += m
		} else if i < n-1 && row.cut[i] == row.cut[i-1] && row.label[i] == row.label[i-1] && row.depthMM[i] == row.depthMM[i-1] &&
			row.ground[i] == row.ground[i-1] && row.leaky[i] == row.leaky[i-1] && row.zone[i] == row.zone[i-1] && row.inside[i] == row.inside[i-1] {
			row.slot[i] = row.slot[i-1]
			continue
		}
		row.runs = append(row.runs, int32(i))
		row.slot[i] = row.slot[i-1]
		if row.cut[i] != row.cut[i-1] {
			row.slot[i] = slots.of(row.cut[i])
		}
	}
	row.runs = append(row.runs, int32(n))
}

// count adds what row iy holds, and its sides towards the row below.
func (g *stripe) count(iy int, row, below *fineRow) {
	if g.owns(iy) {
		for k, from := range row.runs[:len(row.runs)-1] {
			i := int(from)
			if i == 0 {
				continue
			}
			if iy < g.src.grid.NY && i <= g.src.grid.NX {
				g.own(iy, i, int(row.runs[k+1])-i, row)
			}
			g.pair(iy, i, row, iy, i-1, row, besideEachOther)
		}
	}
	from, r, b := 0, 1, 1
	for from < len(row.cut) {
		to := int(min(row.runs[r], below.runs[b]))
		g.countBelow(iy, from, to, row, below)
		if int(row.runs[r]) == to {
			r++
		}
		if int(below.runs[b]) == to {
			b++
		}
		from = to
	}
}

// countBelow counts the sides and corners that cells from up to, but without, to share with those below. All of them are alike in both rows.
func (g *stripe) countBelow(iy, from, to int, row, below *fineRow) {
	n := g.src.grid.NX
	if row.cut[from] != below.cut[from] || row.depthMM[from] != below.depthMM[from] || row.ground[from] != below.ground[from] {
		for i := from; i < to; i++ {
			g.corners(iy, i, i, row, below)
			if i >= 1 && i <= n {
				g.pair(iy, i, row, iy-1, i, below, aboveEachOther)
			}
		}
		return
	}
	g.corners(iy, from, to-1, row, below)
	switch {
	case from == 0 || from > n || iy/g.m == (iy-1)/g.m && iy > 0:
	case row.cut[from] == sweep.Never && row.inside[from] && below.inside[from]:
		if g.owns(iy) && row.covered[from] && below.covered[from] && row.ground[from].onLayer() {
			g.contact[2*g.cellOf(iy-1, from)+1] += uint16(to - from)
		}
	default:
		for i := from; i < to; i++ {
			g.pair(iy, i, row, iy-1, i, below, aboveEachOther)
		}
	}
}

// corners counts the corners that cell first shares with the one below and to the west of it, and cell last to the east.
func (g *stripe) corners(iy, first, last int, row, below *fineRow) {
	if first >= 1 {
		g.pair(iy, first, row, iy-1, first-1, below, cornerwise)
	}
	if last <= g.src.grid.NX {
		g.pair(iy, last, row, iy-1, last+1, below, cornerwise)
	}
}

// own counts a run of n cells of one air cell that are alike, from i on.
func (g *stripe) own(iy, i, n int, row *fineRow) {
	what := row.ground[i]
	if what == noGround && !row.covered[i] {
		return
	}
	area := float64(n) * g.fineMM * g.fineMM
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
	x, y := int32(n*((i-1)%g.m)+n*(n-1)/2), int32(n*(iy%g.m))
	g.add(iy, i, row, startSlot, event{at: start, area: int32(n), sumX: x, sumY: y})
	if cut < sweep.Never {
		g.add(iy, i, row, row.slot[i], event{
			at: cut, area: -int32(n), sumX: -x, sumY: -y,
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

func (g *stripe) cellOf(iy, i int) int32 {
	return int32(iy/g.m)*int32(g.grid.NX) + int32((i-1)/g.m)
}

func (g *stripe) centre(iy, i int) (x, y float64) {
	return g.src.grid.OriginX + (float64(i)-0.5)*g.fineMM, g.src.grid.OriginY + (float64(iy)+0.5)*g.fineMM
}
