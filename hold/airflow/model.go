package airflow

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/field"
	"staydown/hold/airflow/internal/gather"
	"staydown/hold/airflow/internal/layer"
	"staydown/hold/airflow/internal/patches"
	"staydown/hold/airflow/internal/suction"
	"staydown/hold/airflow/internal/zones"
	"staydown/hold/job"
	"staydown/parse/units"
	"staydown/sweep"
)

// Options of New; the zero value is good.
type Options struct {
	// of the air grid; 0: chosen from the layer, the grooves, the sweep's grid and MaxCells, and stated
	CellMM   float64
	Tol      float64      // bound on the error of w; 0: 3e-5
	MaxCells int          // budget of air cells; 0: 1.2 million
	Units    units.System // of what is assumed
	// Uncut keeps sheets that nothing is cut of yet, from which the models of programs that cut little of them are
	// made; nil: all is computed from the record.
	Uncut *UncutSheets
}

// Model is the pressure under the stock as it changes with the program. It is not safe for concurrent use.
type Model struct {
	job   *job.Job
	air   *cells.Air
	faces *patches.Faces

	field  *field.Field // nil without a layer
	solver *field.Solver

	now       sweep.Progress
	events    int // that have happened
	exposed   int // of them, those that the field knows, and a few more
	closures  int
	lookahead int // how many events the field may be ahead

	cells.Exposure              // so far
	sheet          *layer.Sheet // nil without a layer
	work           *layer.Work
	plenums        []suction.Plenum // of zones with ducts of their own, from 1; nil where zones share one

	assumed []string
}

// New reads the sweep's record once and stands at the moment before the program starts. It fails for a job that cannot
// be computed (no grid, a zone that needs a layer where there is none, figures that are not positive).
func New(j *job.Job, rec *sweep.Record, opt Options) (*Model, error) {
	src, err := gather.FromRecord(rec)
	if err != nil {
		return nil, err
	}
	return newModel(j, src, opt)
}

func newModel(j *job.Job, src gather.Source, opt Options) (*Model, error) {
	if err := checkJob(j, src.Grid); err != nil {
		return nil, err
	}
	m := &Model{job: j, now: cells.Start}
	multiple, why := cellSize(src.Grid, j, src.Pieces, opt)
	m.assumed = append(m.assumed, why)
	fringeMM := 0.0
	if j.Layer != nil {
		m.sheet = layer.NewSheet(j)
		fringeMM = m.sheet.Lambda()
	}
	raster := zones.New(src.Grid, src.Stock, j, fringeMM)
	m.work = layer.NewWork(j, src.Stock, src.FloorMM)
	m.plenums = suction.Plenums(j)
	uncut, err := m.fromUncut(src, raster, multiple, opt)
	if err != nil {
		return nil, err
	}
	if m.air == nil {
		if m.air, err = gather.Cells(src, j, raster, multiple); err != nil {
			return nil, err
		}
	}
	m.Exposure = m.air.Exposure
	for i := range m.air.Groups {
		g := &m.air.Groups[i]
		if g.Support == cells.Gasketed {
			m.air.ByZone[m.air.Zone[g.Cell]].GasketSeepMM += float64(g.Seep)
		}
		if m.plenums != nil && g.Support.Held() && g.Area > 0 {
			m.plenums[m.air.Zone[g.Cell]].Holds = true
		}
	}
	m.assumed = append(m.assumed, assumptions(j, m.work, m.air.Grid.CellMM, opt.Units)...)
	m.faces = patches.New(m.air, src.PieceAt)
	m.partZones()
	if j.Layer == nil {
		return m, nil
	}
	return m, m.lay(opt.Tol, uncut)
}

// partZones keeps zones apart that have ducts of their own. Under the cover, squared pressure differs from that of the
// zone below by half of what two zones differ by at their border, and by 18 % of it one decay length away; in sum that
// is a strip half a decay length wide. Counting the weaker vacuum over a whole one understates the hold.
func (m *Model) partZones() {
	open := 0
	layered := make([]bool, len(m.job.Zones)+1)
	reachMM := 0.0
	for i, zone := range m.job.Zones {
		if !zone.Open {
			continue
		}
		open++
		if zone.Seal == job.LayerSeal {
			layered[i+1] = true
			reachMM = math.Max(reachMM, m.sheet.Lambda())
			if g := zone.Groove; g != nil {
				reachMM = math.Max(reachMM, (g.PitchMM-g.WidthMM)/2)
			}
		}
	}
	if open > 1 && m.plenums != nil {
		m.faces.PartZones(layered, int(math.Ceil(reachMM/m.air.Grid.CellMM)))
	}
}

// lay finds the field of the layer at the start, from that of the uncut sheet where there is one.
func (m *Model) lay(tol float64, uncut *field.Solver) (err error) {
	if uncut != nil {
		m.solver, err = uncut.Cut(m.air, layer.CoarseLandMM(m.job, m.air.Grid.CellMM), m.faces.Touch)
	} else {
		m.solver, err = m.solveStart(m.air, tol, m.faces.Touch)
	}
	if err != nil {
		return err
	}
	m.field = m.solver.Field
	m.faces.Lay(m.field)
	m.lookahead = eventsAhead * m.solver.ReachTiles * m.solver.ReachTiles
	return nil
}

// solveStart solves the field of air cells as they lie at the start.
func (m *Model) solveStart(air *cells.Air, tol float64, moved func(cell int32)) (*field.Solver, error) {
	if !(tol > 0) {
		tol = defaultTol
	}
	var work *layer.Porosity
	if m.work != nil {
		on := m.work.On(m.job.Layer)
		work = &on
	}
	f := field.New(air, m.sheet, work, layer.CoarseLandMM(m.job, air.Grid.CellMM))
	f.ZonesApart = m.plenums != nil
	s := field.NewSolver(f, tol, moved)
	return s, s.SolveAll()
}

// Advance exposes all that is cut through by the moment p and finds the field for it. A moment before one already
// reached changes nothing.
func (m *Model) Advance(p sweep.Progress) (Leak, error) {
	if p > m.now {
		m.now = p
		m.faces.Advance(p)
	}
	for ; m.events < len(m.air.Events) && m.air.Events[m.events].At <= p; m.events++ {
		e := &m.air.Events[m.events]
		g := &m.air.Groups[e.Group]
		g.Apply(e)
		m.faces.Count(g, e)
		way := m.air.WayOfCut(e.At)
		if g.Support == cells.Gasketed {
			way = cells.Gaskets
		}
		m.OrificeMM2[way] += float64(e.OrificeMM2)
		zone := &m.air.ByZone[m.air.Zone[g.Cell]]
		zone.OrificeMM2[way] += float64(e.OrificeMM2)
		if g.Support == cells.Gasketed {
			zone.GasketSeepMM += float64(e.Seep)
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
	until := min(m.events+m.lookahead, len(m.air.Events))
	upTo := max(p, m.air.Events[until-1].At)
	for until < len(m.air.Events) && m.air.Events[until].At == upTo {
		until++
	}
	var changed []int32
	for ; m.exposed < until; m.exposed++ {
		e := &m.air.Events[m.exposed]
		g := &m.air.Groups[e.Group]
		way := m.air.WayOfCut(e.At)
		zone := m.air.Zone[g.Cell]
		leak := float64(e.LeakMM2)
		m.LeakMM2[way] += leak
		m.air.ByZone[zone].LeakMM2[way] += leak
		if m.field.Expose(g, e, way) {
			m.faces.Touch(g.Cell)
			changed = append(changed, g.Cell)
		}
	}
	for ; m.closures < len(m.air.Closures) && m.air.Closures[m.closures].At <= upTo; m.closures++ {
		changed = append(changed, m.field.Close(m.air.Closures[m.closures]))
	}
	return m.solver.Solve(changed)
}

// HeldAreaMM2 is the area of the piece that lies on open zones, less what is cut away, at the current moment.
func (m *Model) HeldAreaMM2(piece int32) float64 { return m.faces.HeldAreaMM2(piece) }

// Patches gives the contact face of a piece on open zones at the current moment, in at most 512 patches that together
// have its exact area and first moment. The order is the same for the same record and moment.
func (m *Model) Patches(piece int32) []patches.Patch { return m.faces.Of(piece) }

// PatchesWithin gives the contact face inside an outline at the current moment, whoever it belongs to: the body of a
// piece that only webs still join to its surroundings. There are at most 512 of them.
//
// Of an air cell across the outline as large a share of each group counts as the outline covers of the cell; the areas
// are scaled down when their sum exceeds that of the outline, so that they never overstate it.
func (m *Model) PatchesWithin(outline orb.MultiPolygon) []patches.Patch {
	return m.faces.Within(outline)
}

// Breached lists the gasketed zones that are open at the current moment, in order of time.
func (m *Model) Breached() []cells.Breach {
	var open []cells.Breach
	for _, breach := range m.air.Breaches {
		if breach.At <= max(m.now, 0) {
			open = append(open, breach)
		}
	}
	return open
}

// Assumed lists every value that the model chose for want of one given, in words.
func (m *Model) Assumed() []string { return slices.Clone(m.assumed) }

// Drilled lists the moves of a record that cut through going straight down only, in rising order: what leaks there is a
// hole and not a kerf.
func Drilled(rec *sweep.Record) []int { return gather.Drilled(rec) }
