package patches

import "staydown/hold/airflow/internal/cells"

// chuckParts are the parts of the chuck that may be at different pressures.
type chuckParts struct {
	parts  []Part
	ofCell []uint16 // index among parts; nil where there is one
}

// onePart is a chuck at one pressure.
var onePart = chuckParts{parts: []Part{{}}}

func (c *chuckParts) partOf(cell int32) uint16 {
	if c.ofCell == nil {
		return 0
	}
	return c.ofCell[cell]
}

// CellParts gives the part of every air cell; nil where all are at one pressure.
func (c *chuckParts) CellParts() []Part {
	if c.ofCell == nil {
		return nil
	}
	out := make([]Part, len(c.ofCell))
	for cell, at := range c.ofCell {
		out[cell] = c.parts[at]
	}
	return out
}

// PartZones keeps zones apart. On zones with a layer, which is what layered (from 1) tells, a cell no more than a
// reach, in air cells, from another one counts as beside it.
func (f *Faces) PartZones(layered []bool, reach int) {
	beside := besides(f.air, layered, reach)
	f.chuckParts = chuckParts{ofCell: make([]uint16, len(beside))}
	index := map[Part]uint16{}
	for cell, zone := range f.air.Zone {
		part := Part{zone, beside[cell]}
		at, known := index[part]
		if !known {
			at = uint16(len(f.parts))
			index[part] = at
			f.parts = append(f.parts, part)
		}
		f.ofCell[cell] = at
	}
}

// besides gives the zone that each cell is beside, straight along X or Y; 0 for none.
func besides(a *cells.Air, layered []bool, reach int) []uint16 {
	nx, ny := a.Grid.NX, a.Grid.NY
	out := make([]uint16, nx*ny)
	for iy := range ny {
		besideAlong(a.Zone, out, layered, reach, line{iy * nx, 1, nx})
		besideAlong(a.Zone, out, layered, reach, line{iy*nx + nx - 1, -1, nx})
	}
	for ix := range nx {
		besideAlong(a.Zone, out, layered, reach, line{ix, nx, ny})
		besideAlong(a.Zone, out, layered, reach, line{(ny-1)*nx + ix, -nx, ny})
	}
	return out
}

// line is a row or column of cells in one direction.
type line struct{ first, step, n int }

// besideAlong looks back along a line of cells for another zone.
func besideAlong(zone, beside []uint16, layered []bool, reach int, l line) {
	var last, other uint16 // zone that was passed last, and the one before it
	lastAt, otherAt := 0, 0
	for i := range l.n {
		cell := l.first + i*l.step
		z := zone[cell]
		if z == 0 || !layered[z] {
			continue
		}
		if z != last {
			other, otherAt = last, lastAt
		}
		last, lastAt = z, i
		if other > 0 && i-otherAt <= reach && beside[cell] == 0 {
			beside[cell] = other
		}
	}
}
