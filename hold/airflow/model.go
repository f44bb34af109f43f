package airflow

import (
	"slices"

	"github.com/paulmach/orb"

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

// Model is the pressure under the stock as it changes with the program. It is not safe for concurrent use.
type Model struct {
	job   *job.Job
	air   *air
	faces *Faces

	field  *field // nil without a layer
	solver *solver

	now       sweep.Progress
	events    int // that have happened
	exposed   int // of them, those that the field knows, and a few more
	closures  int
	lookahead int // how many events the field may be ahead

	exposure // so far
	work     *porousWork
	plenums  []plenum // of zones with ducts of their own, from 1; nil where zones share one

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
	if err := checkJob(j, src.grid); err != nil {
		return nil, err
	}
	m := &Model{job: j, now: start}
	multiple, why := cellSize(src.grid, j, src.pieces, opt)
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
	m.work = newPorousWork(j, src.stock, src.floorMM)
	m.plenums = plenumsOf(j)
	for i := range m.air.groups {
		g := &m.air.groups[i]
		if g.support == gasketed {
			m.air.byZone[m.air.zone[g.cell]].gasketSeepMM += float64(g.seep)
		}
		if m.plenums != nil && g.support.held() && g.area > 0 {
			m.plenums[m.air.zone[g.cell]].holds = true
		}
	}
	m.assumed = append(m.assumed, assumptions(j, m.work, m.air.grid.CellMM)...)
	m.faces = newFaces(m.air, src.pieceAt)
	if j.Layer == nil {
		return m, nil
	}
	return m, m.lay(opt.Tol)
}

// lay finds the field of the layer at the start.
func (m *Model) lay(tol float64) error {
	if !(tol > 0) {
		tol = defaultTol
	}
	var work *layerPorosity
	if m.work != nil {
		on := m.work.on(m.job.Layer)
		work = &on
	}
	m.field = newField(m.air, newSheetMM(m.job), work, coarseLandMM(m.job, m.air.grid.CellMM))
	m.field.zonesApart = m.plenums != nil
	m.faces.lay(m.field)
	m.solver = newSolver(m.field, tol, m.faces.touch)
	m.lookahead = eventsAhead * m.solver.reachTiles * m.solver.reachTiles
	return m.solver.solveAll()
}

// Advance exposes all that is cut through by the moment p and finds the field for it. A moment before one already
// reached changes nothing.
func (m *Model) Advance(p sweep.Progress) (Leak, error) {
	if p > m.now {
		m.now = p
		m.faces.advance(p)
	}
	for ; m.events < len(m.air.events) && m.air.events[m.events].at <= p; m.events++ {
		e := &m.air.events[m.events]
		g := &m.air.groups[e.group]
		g.apply(e)
		m.faces.count(g, e)
		way := m.air.wayOfCut(e.at)
		if g.support == gasketed {
			way = Gaskets
		}
		m.orificeMM2[way] += float64(e.orificeMM2)
		zone := &m.air.byZone[m.air.zone[g.cell]]
		zone.orificeMM2 += float64(e.orificeMM2)
		if g.support == gasketed {
			zone.gasketSeepMM += float64(e.seep)
		}
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
	until := min(m.events+m.lookahead, len(m.air.events))
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
		if m.field.expose(g, e, way) {
			m.faces.touch(g.cell)
			changed = append(changed, g.cell)
		}
	}
	for ; m.closures < len(m.air.closures) && m.air.closures[m.closures].at <= upTo; m.closures++ {
		changed = append(changed, m.field.close(m.air.closures[m.closures]))
	}
	return m.solver.solve(changed)
}

// HeldAreaMM2 is the area of the piece that lies on open zones, less what is cut away, at the current moment.
func (m *Model) HeldAreaMM2(piece int32) float64 { return m.faces.heldAreaMM2(piece) }

// Patches gives the contact face of a piece on open zones at the current moment, in at most 512 patches that together
// have its exact area and first moment. The order is the same for the same record and moment.
func (m *Model) Patches(piece int32) []Patch { return m.faces.of(piece) }

// PatchesWithin gives the contact face inside an outline at the current moment, whoever it belongs to: the body of a
// piece that only webs still join to its surroundings. There are at most 512 of them.
//
// What lies in an air cell across the outline counts wholly or not at all, by its middle; the areas are scaled down
// when their sum exceeds that of the outline, so that they never overstate it.
func (m *Model) PatchesWithin(outline orb.MultiPolygon) []Patch { return m.faces.within(outline) }

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
