package plan

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"staydown/parse"
	"staydown/sweep/internal/raster"
)

// niceCells are the cells that a sweep chooses from, in mm.
var niceCells = [...]float64{0.05, 0.1, 0.2, 0.25, 0.5, 1, 2, 5, 10}

// bytesPerCell is what a touched cell takes while a sweep runs: height, time, label and its share of what is
// needed to find the pieces. bytesPerWeb comes on top in programs that leave webs, bytesPerMoment where the moments are
// kept at which cells become such.
const (
	bytesPerCell   = 16
	bytesPerWeb    = 4
	bytesPerMoment = 4
)

// chooseCell settles the cell and the grid: a twelfth of the smallest tool, coarser when the touched tiles would
// not fit the memory.
func (s *Setup) chooseCell() error {
	tool, d := s.Smallest()
	cell := s.Opt.CellMM
	if cell != 0 {
		if !(cell >= minCellMM && cell <= maxCellMM) {
			return faultf(0, "the cell is %s; give one from %s to %s", s.mm(cell), s.mm(minCellMM), s.mm(maxCellMM))
		}
		if d > 0 && cell > d/2 {
			most := math.Floor(d/2/minCellMM) * minCellMM // never rounded up, or it would be refused again
			return faultf(0, "the cell of %s is too coarse for tool %d of %s diameter; give a cell of at most "+
				"%s", s.mm(cell), tool, s.mm(d), s.Opt.Units.Length().Down(most))
		}
		g, need, err := s.layGrid(cell)
		if err != nil {
			return err
		}
		if need > s.Opt.MemoryBytes {
			return faultf(0, "cells of %s need %d MiB for this program, more than the %d MiB allowed; give a "+
				"larger cell or more memory",
				s.mm(cell), need>>20, s.Opt.MemoryBytes>>20)
		}
		s.Grid = g
		return nil
	}
	want := niceCells[0]
	for _, c := range niceCells {
		if c <= d/12 || d == 0 && c <= 0.5 {
			want = c
		}
	}
	for _, c := range niceCells {
		if c < want {
			continue
		}
		if d > 0 && c > d/2 {
			return faultf(0, "no cell is fine enough for tool %d of %s diameter and fits %d MiB; allow more memory",
				tool, s.mm(d), s.Opt.MemoryBytes>>20)
		}
		g, need, err := s.layGrid(c)
		if err != nil || need > s.Opt.MemoryBytes {
			continue
		}
		s.Grid = g
		why := "a twelfth of the smallest tool, rounded down to a handy figure"
		if c > want {
			why = fmt.Sprintf("finer cells would not fit %d MiB", s.Opt.MemoryBytes>>20)
		}
		s.Assumed = append(s.Assumed, fmt.Sprintf("cell of %s: %s", s.mm(c), why))
		return nil
	}
	return faultf(0, "the stock is too large for the memory of %d MiB; allow more", s.Opt.MemoryBytes>>20)
}

// layGrid places a grid over the stock and estimates the memory for the program on it.
func (s *Setup) layGrid(cell float64) (raster.Grid, int64, error) {
	box := s.Stock.Blanks[0].Outline.Bound()
	for _, b := range s.Stock.Blanks[1:] {
		box = box.Union(b.Outline.Bound())
	}
	grow := math.Ceil(s.Largest/cell) + 2
	nx := math.Ceil((box.Max[0]-box.Min[0])/cell-1e-6) + 2*grow
	ny := math.Ceil((box.Max[1]-box.Min[1])/cell-1e-6) + 2*grow
	if nx*ny > maxCells {
		return raster.Grid{}, 0, faultf(0, "cells of %s give %.3g of them over the stock; give a larger cell",
			s.mm(cell), nx*ny)
	}
	g := raster.Grid{OriginX: box.Min[0] - grow*cell, OriginY: box.Min[1] - grow*cell, CellMM: cell, NX: int(nx),
		NY: int(ny)}
	tiles := s.countTiles(g, box)
	if tiles > maxTileSlots {
		return raster.Grid{}, 0, faultf(0, "cells of %s touch %d tiles; give a larger cell", s.mm(cell), tiles)
	}
	index := int64(nx*ny) / raster.TileArea * 16
	return g, int64(tiles)*raster.TileArea*s.bytes() + index, nil
}

// bytes gives the memory of one touched cell for the program.
func (s *Setup) bytes() int64 {
	for i := range s.Moves.Len() {
		m := s.Moves.At(i)
		if z := m.End.Z - s.Stock.BottomMM; s.Cutters[m.Tool] != nil && m.Kind != parse.Dwell && z > raster.ThroughMM &&
			z <= s.Opt.WebMM {
			if s.Opt.KeepWebs {
				return bytesPerCell + bytesPerWeb + bytesPerMoment
			}
			return bytesPerCell + bytesPerWeb
		}
	}
	return bytesPerCell
}

// countTiles counts the tiles that the program or the rim of the stock touches.
func (s *Setup) countTiles(g raster.Grid, box orb.Bound) int {
	tw := g.CellMM * raster.TileSide
	nx, ny := (g.NX+raster.TileSide-1)/raster.TileSide, (g.NY+raster.TileSide-1)/raster.TileSide
	seen := make([]uint64, (nx*ny+63)/64)
	n := 0
	mark := func(x0, y0, x1, y1 float64) {
		ax, bx := int(math.Floor((x0-g.OriginX)/tw)), int(math.Floor((x1-g.OriginX)/tw))
		ay, by := int(math.Floor((y0-g.OriginY)/tw)), int(math.Floor((y1-g.OriginY)/tw))
		for y := max(ay, 0); y <= min(by, ny-1); y++ {
			for x := max(ax, 0); x <= min(bx, nx-1); x++ {
				i := y*nx + x
				if seen[i/64]&(1<<(i%64)) == 0 {
					seen[i/64] |= 1 << (i % 64)
					n++
				}
			}
		}
	}
	along := func(x0, y0, x1, y1, r float64) {
		x0, y0, x1, y1, ok := raster.ClipLine(x0, y0, x1, y1, box, r)
		if !ok {
			return
		}
		k := max(1, math.Ceil(math.Hypot(x1-x0, y1-y0)/tw))
		for i := 0.0; i < k; i++ {
			xa, ya := x0+(x1-x0)*i/k, y0+(y1-y0)*i/k
			xb, yb := x0+(x1-x0)*(i+1)/k, y0+(y1-y0)*(i+1)/k
			mark(min(xa, xb)-r, min(ya, yb)-r, max(xa, xb)+r, max(ya, yb)+r)
		}
	}
	low := s.Stock.BottomMM + s.Top
	for i := range s.Moves.Len() {
		m := s.Moves.At(i)
		c := s.Cutters[m.Tool]
		if c == nil {
			continue
		}
		z := m.LowestZ()
		if z >= low {
			continue
		}
		r := min(c.R, c.Within(low-z))
		k := m.Chords(tw / 8)
		p := m.Start
		for j := 1; j <= k; j++ {
			q := m.At(float64(j) / float64(k))
			along(p.X, p.Y, q.X, q.Y, r)
			p = q
		}
	}
	for _, b := range s.Stock.Blanks {
		for _, ring := range b.Outline {
			for i := range ring {
				q := ring[(i+1)%len(ring)]
				along(ring[i][0], ring[i][1], q[0], q[1], g.CellMM)
			}
		}
	}
	return n
}
