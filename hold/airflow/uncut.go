package airflow

import (
	"reflect"
	"slices"
	"sync"

	"github.com/paulmach/orb"

	"staydown/hold/airflow/internal/field"
	"staydown/hold/airflow/internal/gather"
	"staydown/hold/airflow/internal/zones"
	"staydown/hold/job"
	"staydown/sweep"
)

// UncutSheets keeps the air under sheets that nothing is cut of yet, for the models of many programs that each cut
// little of the same sheet. The zero value is usable, by several models at once. What a model made from it tells
// differs from what it tells on its own by no more than the solver's tolerance.
type UncutSheets struct {
	mu     sync.Mutex
	sheets []*uncutSheet
}

// mostUncut bounds the sheets that are kept: each keeps its air cells.
const mostUncut = 4

// uncutSheet is the air under one sheet.
type uncutSheet struct {
	of     sheetInput
	once   sync.Once
	cells  *gather.Uncut
	solver *field.Solver // nil without a layer
	err    error
}

// sheetInput is all that the air under an uncut sheet of tight work depends on.
type sheetInput struct {
	grid       sweep.Grid
	multiple   int
	blanks     []orb.Polygon
	layer      *job.Layer
	zones      []job.Zone
	zonesApart bool
	tol        float64
}

// sheet gives the sheet of an input, whose air is yet to be found.
func (u *UncutSheets) sheet(of sheetInput) *uncutSheet {
	u.mu.Lock()
	defer u.mu.Unlock()
	for _, s := range u.sheets {
		if reflect.DeepEqual(s.of, of) {
			return s
		}
	}
	s := &uncutSheet{of: of}
	if len(u.sheets) == mostUncut {
		u.sheets = slices.Delete(u.sheets, 0, 1)
	}
	u.sheets = append(u.sheets, s)
	return s
}

// fromUncut makes the air cells of the model from those of the uncut sheet, and gives the solution of that sheet's
// field; it leaves them nil where all must be gathered.
func (m *Model) fromUncut(src gather.Source, raster *zones.Raster, multiple int, opt Options) (*field.Solver, error) {
	if opt.Uncut == nil || m.work != nil {
		return nil, nil
	}
	of := sheetInput{grid: src.Grid, multiple: multiple, layer: m.job.Layer, zones: m.job.Zones,
		zonesApart: m.plenums != nil, tol: opt.Tol}
	for _, b := range src.Stock.Blanks {
		of.blanks = append(of.blanks, b.Outline)
	}
	s := opt.Uncut.sheet(of)
	s.once.Do(func() {
		s.cells = gather.NewUncut(src, m.job, raster, multiple)
		if m.job.Layer != nil {
			s.solver, s.err = m.solveStart(s.cells.Air(), opt.Tol, func(int32) {})
		}
	})
	if s.err != nil {
		return nil, s.err
	}
	var err error
	if m.air, err = s.cells.Cells(src, m.job, raster); m.air == nil {
		return nil, err
	}
	return s.solver, nil
}
