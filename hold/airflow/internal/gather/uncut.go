package gather

import (
	"maps"
	"runtime"
	"slices"

	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/zones"
	"staydown/hold/job"
	"staydown/sweep"
	"staydown/sweep/parallel"
)

// Uncut is a sheet of tight work as it lies on the table before anything is cut. The air cells of a program that cuts a
// small part of it are made from those of the sheet, and are the same as when all is gathered:
//
//	. . . . . . . .    .  as on the uncut sheet, with the label of the piece that they end up in
//	. o o o o o . .    #  something is cut
//	. o # # # o . .    o  beside that: gathered with it, since sides and corners count on both sides
//	. o o o o o . .
type Uncut struct {
	air    *cells.Air // which nobody changes
	opened []cells.Breach
}

// NewUncut gathers the sheet of a program before it is cut, in air cells of m by m cells.
func NewUncut(src Source, j *job.Job, zones *zones.Raster, m int) *Uncut {
	read := src.Read
	src.Pieces, src.Drilled, src.FloorMM = nil, nil, 0
	src.Read = func(from, to, iy int, cut []sweep.Progress, label []int32, depthMM []float32) {
		read(from, to, iy, cut, label, depthMM)
		for ix := from; ix < to; ix++ {
			depthMM[ix] = 0
			if label[ix] > 0 {
				cut[ix], label[ix] = sweep.Never, 1
			}
		}
	}
	g := newGatherer(src, j, zones, m)
	return &Uncut{air: g.whole(src, j, nil), opened: g.opened}
}

// Air gives the air cells of the sheet. They may not be changed.
func (u *Uncut) Air() *cells.Air { return u.air }

const (
	// besideCut: air cells so near to what is cut are gathered with it.
	besideCut = 1
	// mostCut of the air cells may be gathered anew: with more of them it is quicker to gather all.
	mostCut = 0.5
	// extentRows is how many rows of air cells are gathered together at most.
	extentRows = 8
	// leastGap: stretches of a row that are less air cells apart are gathered as one.
	leastGap = 8
)

// Cells gathers the air cells of a program on the sheet. Nil: it cuts more than mostCut, or so near to the rim of the
// sheet or the grid that all must be gathered.
func (u *Uncut) Cells(src Source, j *job.Job, zones *zones.Raster) (*cells.Air, error) {
	s, err := surveyed(src, u.air.Ratio, true)
	if err != nil {
		return nil, err
	}
	extents := u.extents(s.byCell)
	if extents == nil {
		return nil, nil
	}
	g := newGatherer(src, j, zones, u.air.Ratio)
	in := g.input(src, j, s.byMove)
	parts := make([]found, len(extents))
	parallel.For(runtime.GOMAXPROCS(0), len(extents), func(_, k int) {
		b := newRowBand(in, slices.Clone(u.opened))
		b.fromUncut = true
		b.run(extents[k])
		parts[k] = b.out
	})
	g.opened = slices.Clone(u.opened)
	g.takeOver(u.air)
	g.fillIn(u.air, s.byCell, extents, parts)
	g.sort()
	g.listBreaches()
	return g.Air, nil
}

// takeOver takes over all that does not depend on what is cut.
func (g *gatherer) takeOver(from *cells.Air) {
	g.FaceWidth, g.Rim, g.Zone, g.AtRim = slices.Clone(from.FaceWidth), slices.Clone(from.Rim), slices.Clone(from.Zone),
		slices.Clone(from.AtRim)
	g.Exposure, g.ByZone = from.Exposure, slices.Clone(from.ByZone)
	g.EdgeWays = maps.Clone(from.EdgeWays)
	for cell, ways := range g.EdgeWays {
		own := *ways
		g.EdgeWays[cell] = &own
	}
}

// fillIn lists the groups: those of the extents as they were found, all others as on the uncut sheet. Extents come row
// by row, without one above another in any row.
func (g *gatherer) fillIn(from *cells.Air, byCell []surveyedCell, extents []cells.Extent, parts []found) {
	groups, events, closures := len(from.Groups), 0, 0
	for k := range parts {
		out := &parts[k]
		groups, events, closures = groups+len(out.groups), events+out.countEvents(), closures+len(out.closures)
	}
	g.makeRoom(groups, events, closures)
	moved := make([][]int32, len(parts)) // where the groups of each extent come to lie
	for y, next := 0, 0; y < g.Grid.NY; y++ {
		for next < len(extents) && extents[next].Y1 <= y {
			next++
		}
		x := 0
		for k := next; k < len(extents) && extents[k].Y0 <= y; k++ {
			e := extents[k]
			g.asUncut(from, byCell, y*g.Grid.NX+x, y*g.Grid.NX+e.X0)
			moved[k] = g.asFound(&parts[k], (y-e.Y0)*(e.X1-e.X0), (y-e.Y0+1)*(e.X1-e.X0), moved[k])
			x = e.X1
		}
		g.asUncut(from, byCell, y*g.Grid.NX+x, (y+1)*g.Grid.NX)
	}
	for k := range parts {
		g.addHappening(&parts[k], func(group int32) int32 { return moved[k][group] })
	}
}

// asUncut lists the groups of air cells from up to, but without, to as they are on the uncut sheet.
func (g *gatherer) asUncut(uncut *cells.Air, byCell []surveyedCell, from, to int) {
	for cell := from; cell < to; cell++ {
		for k := uncut.First[cell]; k < uncut.First[cell+1]; k++ {
			group := uncut.Groups[k]
			group.Label = byCell[cell].label
			g.Groups = append(g.Groups, group)
		}
		g.First = append(g.First, int32(len(g.Groups)))
	}
}

// asFound lists the groups of some air cells of an extent, and notes where they come to lie.
func (g *gatherer) asFound(out *found, from, to int, moved []int32) []int32 {
	for cell := from; cell < to; cell++ {
		for int32(len(moved)) < out.ends[cell] {
			moved = append(moved, int32(len(g.Groups)))
			g.Groups = append(g.Groups, out.groups[len(moved)-1])
		}
		g.First = append(g.First, int32(len(g.Groups)))
	}
	return moved
}

// extents are the stretches of some rows at a time in which something is cut, row by row; nil where they do not do.
func (u *Uncut) extents(byCell []surveyedCell) []cells.Extent {
	nx, ny := u.air.Grid.NX, u.air.Grid.NY
	near := make([]bool, ny) // rows near which something is cut
	for cell := range byCell {
		for y := cell/nx - besideCut; byCell[cell].cut && y <= cell/nx+besideCut; y++ {
			near[min(max(y, 0), ny-1)] = true
		}
	}
	all, area := []cells.Extent{}, 0
	for y := 0; y < ny; y++ {
		if !near[y] {
			continue
		}
		e := cells.Extent{Y0: y}
		for ; y < min(e.Y0+extentRows, ny) && near[y]; y++ {
			e.Y1 = y + 1
		}
		y--
		for _, r := range nearCuts(byCell, nx, ny, e) {
			e.X0, e.X1 = r[0], r[1]
			if !wellInside(byCell, nx, ny, e) {
				return nil
			}
			all = append(all, e)
			area += (e.X1 - e.X0) * (e.Y1 - e.Y0)
		}
	}
	if float64(area) > mostCut*float64(nx*ny) {
		return nil
	}
	return all
}

// nearCuts gives the stretches, from and to, of some rows near which something is cut.
func nearCuts(byCell []surveyedCell, nx, ny int, rows cells.Extent) (all [][2]int) {
	for x := range nx {
		cut := false
		for y := max(0, rows.Y0-besideCut); y < min(ny, rows.Y1+besideCut) && !cut; y++ {
			cut = byCell[y*nx+x].cut
		}
		if !cut {
			continue
		}
		from, to := max(0, x-besideCut), min(nx, x+besideCut+1)
		if n := len(all); n > 0 && from < all[n-1][1]+leastGap {
			all[n-1][1] = to
		} else {
			all = append(all, [2]int{from, to})
		}
	}
	return all
}

// wellInside tells whether an extent and all beside it is covered at the start, and not at the rim of the grid.
func wellInside(byCell []surveyedCell, nx, ny int, e cells.Extent) bool {
	if e.X0 == 0 || e.Y0 == 0 || e.X1 == nx || e.Y1 == ny {
		return false
	}
	for y := e.Y0 - 1; y <= e.Y1; y++ {
		for _, p := range byCell[y*nx+e.X0-1 : y*nx+e.X1+1] {
			if p.bare {
				return false
			}
		}
	}
	return true
}
