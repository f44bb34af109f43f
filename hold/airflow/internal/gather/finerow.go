package gather

import (
	"slices"
	"sort"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/layer"
	"staydown/hold/airflow/internal/zones"
	"staydown/hold/job"
	"staydown/sweep"
)

// kind is what the cells of a run have in common.
type kind struct {
	zones.Place
	covered bool  // material lies there when the program starts
	label   int32 // of the piece
	depthMM float32
	bin     int64 // time bin in which the cells are cut

	// Of work that breathes: 1/height that counts before the cells are a web and then (per mm), and the time bin in
	// which they become one.
	seep, seepAsWeb float32
	webBin          int64
}

// creeps tells cells under which air creeps sideways.
func (k *kind) creeps() bool { return k.covered && k.Support.OnLayer() }

// timed tells whether the moments within the time bin differ from cell to cell.
func (k *kind) timed() bool { return k.bin != startBin && k.bin != noBin }

// alike tells that a side between such cells counts nothing but what air creeps through it.
func (k *kind) alike(o *kind) bool {
	return k.bin == o.bin && k.depthMM == o.depthMM && k.Support == o.Support && (k.Inside && o.Inside || !k.timed())
}

// run is a stretch of cells of one kind.
type run struct {
	from int // column
	kind
}

// fineRow is a row of the sweep's cells with a ghost cell at each end, as far as the band looks.
type fineRow struct {
	zones.Row
	iy      int
	cut     []sweep.Progress
	label   []int32
	depthMM []float32
	runs    []run // the cells at both ends are runs of their own; one more for the end

	// Of work that breathes, else nil: the height left, then 1/height before a cell is a web (per mm); the least height
	// as a web, then 1/height from then on; and the moment from which it is one.
	seep, seepAsWeb []float32
	webFrom         []sweep.Progress
}

// fineCell is a cell of a row; the ghost cell before the first has the number 0.
type fineCell struct {
	row *fineRow
	i   int
	cut sweep.Progress // start where nothing lies
	*kind
}

// cell gives a cell of run k.
func (row *fineRow) cell(k, i int) fineCell {
	c := fineCell{row: row, i: i, kind: &row.runs[k].kind}
	switch c.bin {
	case startBin:
		c.cut = cells.Start
	case noBin:
		c.cut = sweep.Never
	default:
		c.cut = row.cut[i]
	}
	return c
}

// near gives a cell of run k or beside it.
func (row *fineRow) near(k, i int) fineCell {
	switch {
	case i < row.runs[k].from:
		k--
	case i >= row.runs[k+1].from:
		k++
	}
	return row.cell(k, i)
}

// find gives any cell.
func (row *fineRow) find(i int) fineCell {
	after := sort.Search(len(row.runs), func(k int) bool { return row.runs[k].from > i })
	return row.cell(after-1, i)
}

// earliest gives the first to be cut of the cells of run k from column from up to, but without, to.
func (row *fineRow) earliest(k, from, to int) fineCell {
	if row.runs[k].timed() {
		for i := from + 1; i < to; i++ {
			if row.cut[i] < row.cut[from] {
				from = i
			}
		}
	}
	return row.cell(k, from)
}

// firstWeb is the earliest moment at which one of the cells from column from up to, but without, to becomes a web.
func (row *fineRow) firstWeb(from, to int) sweep.Progress {
	return slices.Min(row.webFrom[from:to])
}

func newFineRow(columns int, work *layer.Work) *fineRow {
	n := columns + 2
	row := &fineRow{Row: zones.Row{Place: make([]zones.Place, n)}, cut: make([]sweep.Progress, n),
		label: make([]int32, n), depthMM: make([]float32, n)}
	if work != nil {
		row.seep, row.seepAsWeb, row.webFrom = make([]float32, n), make([]float32, n), make([]sweep.Progress, n)
	}
	return row
}

// fill reads row iy as far as the band looks; rows and columns just outside the grid are bare.
func (g *rowBand) fill(iy int, row *fineRow) {
	row.iy = iy
	g.zones.Fill(iy, &row.Row)
	if n := g.src.Grid.NX; iy >= 0 && iy < g.src.Grid.NY {
		g.src.Read(g.src.stretchAt(g.west-1, iy), min(n, g.east), iy, row.cut[1:n+1], row.label[1:n+1],
			row.depthMM[1:n+1])
		if g.work != nil {
			row.breathe(g)
		}
	} else {
		clear(row.label)
		clear(row.depthMM)
	}
	row.split(g)
}

// breathe finds what the work lets through.
func (row *fineRow) breathe(g *rowBand) {
	last := len(row.label) - 1
	g.src.Heights(row.iy, row.seep[1:last], row.webFrom[1:last], row.seepAsWeb[1:last])
	for i := 1; i < last; i++ {
		webMM := row.seepAsWeb[i]
		row.seep[i] = g.work.SeepOf(g.work.Before(row.cut[i], row.seep[i], webMM))
		row.seepAsWeb[i] = row.seep[i]
		if webMM > 0 {
			row.seepAsWeb[i] = max(row.seep[i], g.work.SeepOf(webMM))
		}
	}
}

// seepsAsBefore tells whether the work of cell i breathes as that of the cell before.
func (row *fineRow) seepsAsBefore(i int) bool {
	return row.seep == nil ||
		row.seep[i] == row.seep[i-1] && row.seepAsWeb[i] == row.seepAsWeb[i-1] && row.webFrom[i] == row.webFrom[i-1]
}

// split finds the runs.
func (row *fineRow) split(g *rowBand) {
	row.runs = row.runs[:0]
	taped := g.layer != nil && g.layer.Edge == job.SealedEdge
	last := g.east
	place, cut, label, depthMM := row.Place[:last+1], row.cut[:last+1], row.label[:last+1], row.depthMM[:last+1]
	end, alike := g.west+1, false // of the stretch that cell i is in
	if row.iy < 0 || row.iy >= g.src.Grid.NY {
		end = last
	}
	for i := g.west; i <= last; i++ {
		if i == end && i < last {
			end, alike = g.src.Stretch(i-1, row.iy)
			end++ // the first cell has the number 1
		}
		inner := i > g.west+1 && i < last
		if !inner || cut[i] != cut[i-1] || label[i] != label[i-1] || depthMM[i] != depthMM[i-1] ||
			place[i] != place[i-1] || !row.seepsAsBefore(i) {
			k := kind{Place: place[i], covered: label[i] > 0, label: label[i], depthMM: depthMM[i]}
			switch {
			case taped && !k.Inside:
				k.bin = noBin // no air comes from there
			case !k.covered:
				k.bin = startBin
			default:
				k.bin = g.bins.of(cut[i])
			}
			if k.webBin = noBin; row.seep != nil && k.covered {
				k.seep, k.seepAsWeb = row.seep[i], row.seepAsWeb[i]
				if k.seep != k.seepAsWeb {
					k.webBin = g.bins.of(row.webFrom[i])
				}
			}
			if !inner || k != row.runs[len(row.runs)-1].kind {
				row.runs = append(row.runs, run{i, k})
			}
		}
		if alike && i < last {
			i = min(end, int(row.Ends[i]), last) - 1
		}
	}
	row.runs = append(row.runs, run{from: last + 1})
}
