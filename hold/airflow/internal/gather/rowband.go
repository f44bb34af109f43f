package gather

import (
	"staydown/hold/airflow/internal/cells"
	"staydown/sweep"
)

// rowBand gathers some rows of air cells, or a part of them.
type rowBand struct {
	input
	out found

	cells.Extent     // that is gathered
	low, high    int // rows of the sweep whose cells are counted: low <= iy < high
	first, last  int // cells of a row that are counted: first <= i < last
	west, east   int // cells at the ends of what is looked at: ghosts, or those beside the ones counted
	flushed      int // air rows done
	// fromUncut tells that widths of faces and rims are those of the sheet before anything is cut, and known.
	fromUncut bool

	// By parity of the air row: those that the current row of fine cells and the one below can add to.
	pending [2]pendingRow

	order    []int32 // scratch of flush
	lastWall struct {
		depthMM float32
		leak    float64
	}
}

// newRowBand makes a band that has gathered nothing yet; opened are the zones' names, at no moment.
func newRowBand(in input, opened []cells.Breach) *rowBand {
	if in.work != nil {
		own := *in.work // with a memory of its own
		in.work = &own
	}
	b := &rowBand{input: in}
	b.out = found{opened: opened, edgeWays: cells.EdgeWays{}, byZone: make([]cells.ZoneArea, len(opened)+1)}
	for i := range b.pending {
		b.pending[i] = newPendingRow(in.Grid.NX)
	}
	return b
}

func (g *rowBand) ownsRow(iy int) bool { return iy >= g.low && iy < g.high }

func (g *rowBand) owns(c fineCell) bool { return g.ownsRow(c.row.iy) && c.i >= g.first && c.i < g.last }

// run gathers the air cells of an extent. At the rim of the grid the ghost cells beyond it belong to it.
func (g *rowBand) run(e cells.Extent) {
	last := g.src.Grid.NY // the ghost row above the grid
	g.Extent, g.low, g.high, g.flushed = e, e.Y0*g.Ratio, e.Y1*g.Ratio, e.Y0
	if e.Y0 == 0 {
		g.low = -1
	}
	if e.Y1 == g.Grid.NY {
		g.high = last + 1
	}
	g.west, g.east = e.X0*g.Ratio, min(e.X1*g.Ratio, g.src.Grid.NX)+1
	g.first, g.last = g.west+1, g.east
	if e.X0 == 0 {
		g.first = 0
	}
	if e.X1 == g.Grid.NX {
		g.last = g.east + 1
	}
	n := (e.Y1 - e.Y0) * (e.X1 - e.X0)
	g.out.ends, g.out.groups = make([]int32, 0, n), make([]cells.Group, 0, n+n/4)
	below, row := newFineRow(g.src.Grid.NX, g.work), newFineRow(g.src.Grid.NX, g.work)
	g.fill(e.Y0*g.Ratio-1, below)
	for iy := e.Y0 * g.Ratio; iy <= min(e.Y1*g.Ratio, last); iy++ {
		for (g.flushed+1)*g.Ratio < iy {
			g.flush()
		}
		g.fill(iy, row)
		g.count(row, below)
		below, row = row, below
	}
	for g.flushed < e.Y1 {
		g.flush()
	}
	for k := range g.pending {
		g.flushClosures(&g.pending[k]) // of the row below the band, if it has one row
	}
}

// count adds what a row holds, and its sides towards the row below.
func (g *rowBand) count(row, below *fineRow) {
	if g.ownsRow(row.iy) {
		for k := 1; k+1 < len(row.runs); k++ {
			from := row.runs[k].from
			g.pair(row.cell(k, from), row.cell(k-1, from-1), cells.BesideEachOther)
			if row.iy >= 0 && row.iy < g.src.Grid.NY && from < g.east {
				g.countRun(row, k)
			}
		}
	}
	r, b := 0, 0
	for from := g.west; from <= g.east; {
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
	way := cells.Kerfs
	if at := row.cell(k, from); !at.covered {
		x, y := g.centre(at)
		way = wayOfStart(g.src.Stock, x, y)
	}
	for column := (from - 1) / g.Ratio; from < to; column++ {
		next := min(to, (column+1)*g.Ratio+1)
		g.own(row, k, from, next, way)
		if here := row.cell(k, next-1); next < to && here.creeps() {
			g.link(faceOf(g.cellOf(here), cells.BesideEachOther), 1, min(here.cut, row.cell(k, next).cut), here.bin)
		}
		from = next
	}
}

// countBelow counts the sides and corners that cells from up to, but without, to of run r share with those below, which
// belong to run b.
func (g *rowBand) countBelow(from, to int, row *fineRow, r int, below *fineRow, b int) {
	if !row.runs[r].alike(&below.runs[b].kind) {
		for i := from; i < to; i++ {
			g.corners(i, i, row, r, below, b)
			if i > g.west && i < g.east {
				g.pair(row.cell(r, i), below.cell(b, i), cells.AboveEachOther)
			}
		}
		return
	}
	g.corners(from, to-1, row, r, below, b)
	border := row.iy == 0 || row.iy/g.Ratio != below.iy/g.Ratio
	if border && g.ownsRow(row.iy) && row.runs[r].creeps() && below.runs[b].creeps() {
		g.linkBelow(from, to, row, r, below, b)
	}
}

// linkBelow links cells from up to, but without, to with those below across a border of air cells.
func (g *rowBand) linkBelow(from, to int, row *fineRow, r int, below *fineRow, b int) {
	for from < to {
		south := below.cell(b, from)
		face := faceOf(g.cellOf(south), cells.AboveEachOther)
		next := min(to, from+g.Ratio-(from-1)%g.Ratio)
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
	if first > g.west {
		g.pair(row.cell(r, first), below.near(b, first-1), cells.Cornerwise)
	}
	if last < g.east {
		g.pair(row.cell(r, last), below.near(b, last+1), cells.Cornerwise)
	}
}

// own counts the cells of run k from column from up to, but without, to, which lie in one air cell. Way tells how air
// gets in where nothing lies.
func (g *rowBand) own(row *fineRow, k, from, to int, way cells.Way) {
	at := row.earliest(k, from, to)
	if at.Support == cells.NoSupport && !at.covered {
		return
	}
	area := float64(to-from) * g.FineMM * g.FineMM
	var leak, orifice float64
	through := g.layer != nil && float64(at.depthMM) >= g.layer.ThicknessMM
	switch {
	case at.Support == cells.Gasketed:
		orifice = area
	case !at.Support.OnLayer():
	case through && at.Support == cells.Breathing:
		orifice = area
	case at.Leaky && !through:
		leak = area * g.sheet.ThinningFactor(float64(at.depthMM), int(at.Zone))
	}
	if at.Zone >= 0 {
		g.Zone[g.cellOf(at)] = uint16(at.Zone) + 1
	}
	if at.Support == cells.Gasketed && at.cut < g.out.opened[at.Zone].At {
		x, y := g.centre(at)
		g.out.opened[at.Zone] = cells.Breach{Zone: g.out.opened[at.Zone].Zone, At: at.cut, X: x, Y: y}
	}
	if at.Support.OnLayer() && at.cut < sweep.Never {
		cell := g.cellOf(at)
		g.DeepMM[cell] = max(g.DeepMM[cell], at.depthMM)
	}
	if !at.covered {
		if way == cells.Bare && at.Zone >= 0 && g.zones.Zones[at.Zone].Covered {
			leak = 0
		}
		if at.Support == cells.Gasketed {
			way = cells.Gaskets
		}
		g.out.LeakMM2[way] += leak
		g.out.OrificeMM2[way] += orifice
		g.out.byZone[at.Zone+1].LeakMM2[way] += leak
		g.out.byZone[at.Zone+1].OrificeMM2[way] += orifice
		return
	}
	n, left := to-from, (from-1)%g.Ratio
	x, y := int32(n*left+n*(n-1)/2), int32(n*(row.iy%g.Ratio))
	seep, asWeb := float32(area)*at.seep, float32(area)*at.seepAsWeb
	g.add(at, startBin, cells.Event{At: cells.Start, Area: int32(n), SumX: x, SumY: y, Seep: seep})
	if at.webBin < noBin {
		g.add(at, at.webBin, cells.Event{At: row.firstWeb(from, to), Seep: asWeb - seep})
	}
	if at.cut < sweep.Never {
		g.add(at, at.bin, cells.Event{
			At: at.cut, Area: -int32(n), SumX: -x, SumY: -y, Seep: -asWeb,
			LeakMM2: float32(leak), OrificeMM2: float32(orifice),
		})
	}
}

// cellOf is the air cell of a cell.
func (g *rowBand) cellOf(c fineCell) int32 {
	return int32(c.row.iy/g.Ratio)*int32(g.Grid.NX) + int32((c.i-1)/g.Ratio)
}

func (g *rowBand) centre(c fineCell) (x, y float64) {
	return g.src.Grid.OriginX + (float64(c.i)-0.5)*g.FineMM, g.src.Grid.OriginY + (float64(c.row.iy)+0.5)*g.FineMM
}
