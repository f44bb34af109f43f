package airflow

import (
	"fmt"
	"math"
	"slices"

	"staydown/hold/job"
	"staydown/sweep"
)

// Options of New; the zero value is good.
type Options struct {
	// of the air grid; 0: chosen from the layer, the grooves, the sweep's grid and MaxCells, and stated
	CellMM   float64
	Tol      float64 // bound on the error of w; 0: 3e-5
	MaxCells int     // budget of air cells; 0: 1.2 million
}

// Breach is the moment and place at which a gasketed zone is opened.
type Breach struct {
	Zone string
	At   sweep.Progress
	X, Y float64 // mm
}

// Model is the pressure under the stock as it changes with the program. It is not safe for concurrent use.
type Model struct {
	job *job.Job
	src source
	air *air
	tol float64

	field  *field // nil without a layer
	solver *solver

	now      sweep.Progress
	events   int // that have happened
	exposed  int // of them, those that the field knows, and a few more
	partings int
	ahead    int // how many events the field may be ahead

	exposure // so far
	work     *porousWork
	plenums  []plenum   // of zones with ducts of their own, from 1; nil where zones share one
	flows    []rowFlows // per row of air cells

	labels  []int32         // distinct, rising
	ofLabel [][]int32       // groups of each label on open zones
	held    []int64         // per label: cells of the sweep on open zones
	heldBy  map[int32]int64 // per piece, now; nil when not summed yet
	piece   []int32         // of each label, now
	pieceOK bool

	blocks   blockGrid
	faces    map[int32]*face // of large pieces
	portions []portion
	quilt    quilt // scratch of Patches

	assumed []string
}

// New reads the sweep's record once and stands at the moment before the program starts. It fails for a job that cannot
// be computed (no grid, a zone that needs a layer where there is none, figures that are not positive).
func New(j *job.Job, rec *sweep.Record, opt Options) (*Model, error) {
	src, err := recordSource(rec)
	if err != nil {
		return nil, err
	}
	return newModel(j, src, opt)
}

func newModel(j *job.Job, src source, opt Options) (*Model, error) {
	if err := checkJob(j, src); err != nil {
		return nil, err
	}
	m := &Model{job: j, src: src, now: start, tol: opt.Tol}
	if !(m.tol > 0) {
		m.tol = defaultTol
	}
	multiple, why := layout(src.grid, j, src.pieces, opt)
	m.assumed = append(m.assumed, why)
	fringeMM := 0.0
	if j.Layer != nil {
		fringeMM = newSheetMM(j).lambda()
	}
	var err error
	if m.air, err = gather(src, j, newRegion(src.grid, src.stock, j, fringeMM), multiple); err != nil {
		return nil, err
	}
	m.exposure = m.air.exposure
	m.work = newPorousWork(j, src)
	m.plenums = plenumsOf(j)
	for i := range m.air.groups {
		g := &m.air.groups[i]
		if g.ground == gasketed {
			m.air.byZone[m.air.zone[g.cell]].gasketSeepMM += float64(g.seep)
		}
		if m.plenums != nil && g.ground.held() && g.area > 0 {
			m.plenums[m.air.zone[g.cell]].holds = true
		}
	}
	m.assumed = append(m.assumed, assumptions(j, src, m.air.grid.CellMM)...)
	m.indexLabels()
	m.blocks = newBlockGrid(m.air.grid.NX, m.air.grid.NY)
	m.faces = map[int32]*face{}
	if j.Layer == nil {
		return m, nil
	}
	m.field = newField(m.air, src, j)
	m.field.zonesApart = m.plenums != nil
	m.solver = newSolver(m.field, m.tol)
	m.solver.moved = m.blocks.touch
	m.ahead = eventsAhead * m.solver.reachTiles * m.solver.reachTiles
	m.flows = make([]rowFlows, m.air.grid.NY)
	return m, m.settle(m.field.cells())
}

func checkJob(j *job.Job, src source) error {
	g := src.grid
	switch {
	case !(g.CellMM > 0) || g.NX <= 0 || g.NY <= 0 || math.IsInf(g.CellMM, 0):
		return fmt.Errorf("the grid of %d x %d cells of %g mm is empty; give a stock with a size", g.NX, g.NY, g.CellMM)
	case float64(g.NX)*float64(g.NY) > mostFineCells:
		return fmt.Errorf("the grid of %d x %d cells is too large; choose larger cells", g.NX, g.NY)
	case len(j.Zones) > mostZones:
		return fmt.Errorf("the job has %d zones; at most %d can be computed", len(j.Zones), mostZones)
	}
	points := 0
	for _, zone := range j.Zones {
		for _, ring := range zone.Area {
			points += len(ring)
		}
		if zone.Seal == job.LayerSeal && j.Layer == nil && zone.Open {
			return fmt.Errorf("zone %q is to be sealed by a layer, but the job has none; add [layer] or write seal "+
				"= \"gasket\"", zone.Name)
		}
		if zone.Groove != nil && (!(zone.Groove.PitchMM > 0) || !(zone.Groove.WidthMM > 0)) {
			return fmt.Errorf("the grooves of zone %q need a pitch and a width above 0", zone.Name)
		}
	}
	if points > mostZonePoints {
		return fmt.Errorf("the zones have %d corners; at most %d can be computed", points, mostZonePoints)
	}
	if l := j.Layer; l != nil {
		for _, figure := range []struct {
			name  string
			value float64
		}{{"thickness", l.ThicknessMM}, {"through", l.ThroughM2}, {"along", l.AlongM2}} {
			if !(figure.value > 0) || math.IsInf(figure.value, 0) {
				return fmt.Errorf("the layer's %s is %g; give a figure above 0", figure.name, figure.value)
			}
		}
	}
	return nil
}

// indexLabels lists the groups of each label.
func (m *Model) indexLabels() {
	seen := map[int32]bool{}
	for i := range m.air.groups {
		seen[m.air.groups[i].label] = true
	}
	for label := range seen {
		m.labels = append(m.labels, label)
	}
	slices.Sort(m.labels)
	index := make(map[int32]int32, len(m.labels))
	for i, label := range m.labels {
		index[label] = int32(i)
	}
	m.ofLabel = make([][]int32, len(m.labels))
	m.held = make([]int64, len(m.labels))
	m.piece = make([]int32, len(m.labels))
	for i := range m.air.groups {
		g := &m.air.groups[i]
		g.label = index[g.label] // from here on
		if g.ground.held() {
			m.ofLabel[g.label] = append(m.ofLabel[g.label], int32(i))
			m.held[g.label] += int64(g.area)
		}
	}
}

// Advance exposes all that is cut through by the moment p and finds the field for it. A moment before one already
// reached changes nothing.
func (m *Model) Advance(p sweep.Progress) (Leak, error) {
	if p > m.now {
		m.now, m.pieceOK, m.heldBy = p, false, nil
	}
	for ; m.events < len(m.air.events) && m.air.events[m.events].at <= p; m.events++ {
		e := &m.air.events[m.events]
		g := &m.air.groups[e.group]
		g.apply(e)
		if g.ground.held() {
			m.held[g.label] += int64(e.area)
		}
		way := m.air.wayOfCut(e.at)
		if g.ground == gasketed {
			way = Gaskets
		}
		m.orificeMM2[way] += float64(e.orificeMM2)
		zone := &m.air.byZone[m.air.zone[g.cell]]
		zone.orificeMM2 += float64(e.orificeMM2)
		if g.ground == gasketed {
			zone.gasketSeepMM += float64(e.seep)
		}
		m.blocks.touch(g.cell)
	}
	if err := m.advanceField(p); err != nil {
		return Leak{}, err
	}
	return m.leak(), nil
}

// advanceField exposes the field's cells. Each solution costs the same for one cell as for a stretch of kerf, so when
// one is due the next few events of the program are taken with it: hold and leak are those of a tool that is a little
// further on. Areas, openings and breaches keep to the moment asked for.
func (m *Model) advanceField(p sweep.Progress) error {
	if m.field == nil || m.exposed >= m.events {
		return nil
	}
	until := min(m.events+m.ahead, len(m.air.events))
	upTo := max(p, m.air.events[until-1].at)
	for until < len(m.air.events) && m.air.events[until].at == upTo {
		until++
	}
	var changed []int32
	for ; m.exposed < until; m.exposed++ {
		e := &m.air.events[m.exposed]
		g := &m.air.groups[e.group]
		way := m.air.wayOfCut(e.at)
		m.leakMM2[way] += float64(e.leakMM2)
		m.air.byZone[m.air.zone[g.cell]].leakMM2 += float64(e.leakMM2)
		if g.ground.onLayer() {
			if length := e.sides.length(); way == Holes && length > 0 {
				if row := int(g.cell) / m.air.grid.NX; m.field.edgeWays[g.cell] == nil {
					m.field.mixed[row] = append(m.field.mixed[row], g.cell)
				}
				m.field.edgeWays.add(g.cell, Holes, length)
			}
			m.field.expose(g, e)
			m.blocks.touch(g.cell)
			changed = append(changed, g.cell)
		}
	}
	for ; m.partings < len(m.air.partings) && m.air.partings[m.partings].at <= upTo; m.partings++ {
		part := m.air.partings[m.partings]
		m.air.contact[part.face] -= uint16(part.n)
		changed = append(changed, part.face/2)
	}
	return m.settle(m.field.update(changed))
}

// settle solves the field where the given cells changed, and what it lets through there.
func (m *Model) settle(changed []int32) error {
	if err := m.solver.settle(changed); err != nil {
		return err
	}
	for _, cell := range changed {
		m.solver.rowDirty[int(cell)/m.air.grid.NX] = true
	}
	for row, dirty := range m.solver.rowDirty {
		if dirty {
			m.flows[row] = m.field.flowsOf(row)
			m.solver.rowDirty[row] = false
		}
	}
	return nil
}

// pieceOf gives the piece that each label belongs to at the current moment. What is kept of the blocks of one that has
// changed hands is void.
func (m *Model) pieceOf() []int32 {
	if m.pieceOK {
		return m.piece
	}
	at := max(m.now, 0)
	for i, label := range m.labels {
		owner := m.src.pieceAt(label, at)
		if owner == m.piece[i] {
			continue
		}
		m.piece[i] = owner
		for _, id := range m.ofLabel[i] {
			m.blocks.touch(m.air.groups[id].cell)
		}
	}
	m.pieceOK = true
	return m.piece
}

// HeldAreaMM2 is the area of the piece that lies on open zones, less what is cut away, at the current moment.
func (m *Model) HeldAreaMM2(piece int32) float64 {
	owners := m.pieceOf()
	if m.heldBy == nil {
		m.heldBy = make(map[int32]int64)
		for i, owner := range owners {
			m.heldBy[owner] += m.held[i]
		}
	}
	return float64(m.heldBy[piece]) * m.air.fineMM * m.air.fineMM
}

// Breached lists the gasketed zones that are open at the current moment, in order of time.
func (m *Model) Breached() []Breach {
	var open []Breach
	for _, breach := range m.air.breaches {
		if breach.At <= max(m.now, 0) {
			open = append(open, breach)
		}
	}
	return open
}

// Assumed lists every value that the model chose for want of one given, in words.
func (m *Model) Assumed() []string { return slices.Clone(m.assumed) }
