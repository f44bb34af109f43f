package airflow

import (
	"staydown/sweep"
)

// rowBand gathers some rows of air cells.
type rowBand struct {
	input
	out found

	low, high int // rows of the sweep whose cells are counted: low <= iy < high
	flushed   int // air rows done

	// By parity of the air row: those that the current row of fine cells and the one below can add to.
	pending [2]pendingRow

	order    []int32 // scratch of flush
	lastWall struct {
		depthMM float32
		leak    float64
	}
}

// newRowBand makes a band that has gathered nothing yet; opened are the zones' names, at no moment.
func newRowBand(in input, opened []Breach) *rowBand {
	in.zones = in.zones.clone()
	if in.work != nil {
		own := *in.work // with a memory of its own
		in.work = &own
	}
	b := &rowBand{input: in}
	b.out = found{opened: opened, edgeWays: edgeWays{}, byZone: make([]zoneArea, len(opened)+1)}
	for i := range b.pending {
		b.pending[i] = newPendingRow(in.grid.NX)
	}
	return b
}

func (g *rowBand) owns(iy int) bool { return iy >= g.low && iy < g.high }

// run gathers the air rows from on up to, but without, to.
func (g *rowBand) run(from, to int) {
	last := g.src.grid.NY // the ghost row above the grid
	g.low, g.high, g.flushed = from*g.m, to*g.m, from
	if from == 0 {
		g.low = -1
	}
	if to == g.grid.NY {
		g.high = last + 1
	}
	cells := (to - from) * g.grid.NX
	g.out.ends, g.out.groups = make([]int32, 0, cells), make([]group, 0, cells+cells/4)
	below, row := newFineRow(g.src.grid.NX, g.work), newFineRow(g.src.grid.NX, g.work)
	g.fill(from*g.m-1, below)
	for iy := from * g.m; iy <= min(to*g.m, last); iy++ {
		for (g.flushed+1)*g.m < iy {
			g.flush()
		}
		g.fill(iy, row)
		g.count(row, below)
		below, row = row, below
	}
	for g.flushed < to {
		g.flush()
	}
	for k := range g.pending {
		g.flushClosures(&g.pending[k]) // of the row below the band, if it has one row
	}
}

// count adds what a row holds, and its sides towards the row below.
func (g *rowBand) count(row, below *fineRow) {
	if g.owns(row.iy) {
		for k := 1; k+1 < len(row.runs); k++ {
			from := row.runs[k].from
			g.pair(row.cell(k, from), row.cell(k-1, from-1), besideEachOther)
			if row.iy >= 0 && row.iy < g.src.grid.NY && from <= g.src.grid.NX {
				g.countRun(row, k)
			}
		}
	}
	r, b := 0, 0
	for from := 0; from < len(row.label); {
		to := min(row.runs[r+1].from, below.runs[b+1].from)
		g.countBelow(from, to, row, r, below, b)
		if row.runs[r+1].from == to {
			r++
		}
		if below.runs[b+1].from == to {
			b++
		}
		from = to
	}
}

// countRun counts the cells of run k, air cell by air cell.
func (g *rowBand) countRun(row *fineRow, k int) {
	from, to := row.runs[k].from, row.runs[k+1].from
	way := Kerfs
	if at := row.cell(k, from); !at.covered {
		x, y := g.centre(at)
		way = wayOfStart(g.src.stock, x, y)
	}
	for column := (from - 1) / g.m; from < to; column++ {
		next := min(to, (column+1)*g.m+1)
		g.own(row, k, from, next, way)
		if here := row.cell(k, next-1); next < to && here.creeps() {
			g.link(faceOf(g.cellOf(here), besideEachOther), 1, min(here.cut, row.cell(k, next).cut), here.bin)
		}
		from = next
	}
}

// countBelow counts the sides and corners that cells from up to, but without, to of run r share with those below, which
// belong to run b.
func (g *rowBand) countBelow(from, to int, row *fineRow, r int, below *fineRow, b int) {
	n := g.src.grid.NX
	if !row.runs[r].alike(&below.runs[b].kind) {
		for i := from; i < to; i++ {
			g.corners(i, i, row, r, below, b)
			if i >= 1 && i <= n {
				g.pair(row.cell(r, i), below.cell(b, i), aboveEachOther)
			}
		}
		return
	}
	g.corners(from, to-1, row, r, below, b)
	border := row.iy == 0 || row.iy/g.m != below.iy/g.m
	if border && g.owns(row.iy) && row.runs[r].creeps() && below.runs[b].creeps() {
		g.linkBelow(from, to, row, r, below, b)
	}
}

// linkBelow links cells from up to, but without, to with those below across a border of air cells.
func (g *rowBand) linkBelow(from, to int, row *fineRow, r int, below *fineRow, b int) {
	for from < to {
		south := below.cell(b, from)
		face := faceOf(g.cellOf(south), aboveEachOther)
		next := min(to, from+g.m-(from-1)%g.m)
		if !south.timed() {
			g.link(face, next-from, south.cut, south.bin)
			from = next
		}
		for ; from < next; from++ {
			g.link(face, 1, min(row.cell(r, from).cut, below.cell(b, from).cut), south.bin)
		}
	}
}

// corners counts the corners that cell first shares with the one below and to the west of it, and cell last to the
// east.
func (g *rowBand) corners(first, last int, row *fineRow, r int, below *fineRow, b int) {
	if first >= 1 {
		g.pair(row.cell(r, first), below.near(b, first-1), cornerwise)
	}
	if last <= g.src.grid.NX {
		g.pair(row.cell(r, last), below.near(b, last+1), cornerwise)
	}
}

// own counts the cells of run k from column from up to, but without, to, which lie in one air cell. Way tells how air
// gets in where nothing lies.
func (g *rowBand) own(row *fineRow, k, from, to int, way Way) {
	at := row.earliest(k, from, to)
	if at.support == noSupport && !at.covered {
		return
	}
	area := float64(to-from) * g.fineMM * g.fineMM
	var leak, orifice float64
	through := g.layer != nil && float64(at.depthMM) >= g.layer.ThicknessMM
	switch {
	case at.support == gasketed:
		orifice = area
	case !at.support.onLayer():
	case through && at.support == breathing:
		orifice = area
	case at.leaky && !through:
		leak = area * g.sheet.thinningFactor(float64(at.depthMM), int(at.zone))
	}
	if at.zone >= 0 {
		g.zone[g.cellOf(at)] = uint16(at.zone) + 1
	}
	if at.support == gasketed && at.cut < g.out.opened[at.zone].At {
		x, y := g.centre(at)
		g.out.opened[at.zone] = Breach{Zone: g.out.opened[at.zone].Zone, At: at.cut, X: x, Y: y}
	}
	if at.support.onLayer() && at.cut < sweep.Never {
		cell := g.cellOf(at)
		g.deepMM[cell] = max(g.deepMM[cell], at.depthMM)
	}
	if !at.covered {
		if at.support == gasketed {
			way = Gaskets
		}
		g.out.leakMM2[way] += leak
		g.out.orificeMM2[way] += orifice
		g.out.byZone[at.zone+1].leakMM2 += leak
		g.out.byZone[at.zone+1].orificeMM2 += orifice
		return
	}
	n, left := to-from, (from-1)%g.m
	x, y := int32(n*left+n*(n-1)/2), int32(n*(row.iy%g.m))
	seep, asWeb := float32(area)*at.seep, float32(area)*at.seepAsWeb
	g.add(at, startBin, event{at: start, area: int32(n), sumX: x, sumY: y, seep: seep})
	if at.webBin < noBin {
		g.add(at, at.webBin, event{at: row.firstWeb(from, to), seep: asWeb - seep})
	}
	if at.cut < sweep.Never {
		g.add(at, at.bin, event{
			at: at.cut, area: -int32(n), sumX: -x, sumY: -y, seep: -asWeb,
			leakMM2: float32(leak), orificeMM2: float32(orifice),
		})
	}
}

// cellOf is the air cell of a cell.
func (g *rowBand) cellOf(c fineCell) int32 {
	return int32(c.row.iy/g.m)*int32(g.grid.NX) + int32((c.i-1)/g.m)
}

func (g *rowBand) centre(c fineCell) (x, y float64) {
	return g.src.grid.OriginX + (float64(c.i)-0.5)*g.fineMM, g.src.grid.OriginY + (float64(c.row.iy)+0.5)*g.fineMM
}
