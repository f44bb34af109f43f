package raster

import (
	"encoding/binary"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/paulmach/orb/simplify"
)

// outlineCells is how far, in cells, an outline may be moved to lose its steps.
const outlineCells = 0.6

// Extent is a range of cells, both ends included.
type Extent struct{ X0, Y0, X1, Y1 int32 }

var NoExtent = Extent{1 << 30, 1 << 30, -1, -1}

func (e Extent) With(x, y int32) Extent {
	return Extent{min(e.X0, x), min(e.Y0, y), max(e.X1, x), max(e.Y1, y)}
}

func (e Extent) Union(o Extent) Extent {
	return Extent{min(e.X0, o.X0), min(e.Y0, o.Y0), max(e.X1, o.X1), max(e.Y1, o.Y1)}
}

// Mask is a small raster with a border of empty cells all round.
type Mask struct {
	Extent Extent
	W, H   int
	In     []uint8 // 1: part of the piece, 2: its lower edge was traced
}

// rings walks round the marked cells with them on the left. Points are the middles of the cells' edges, so that a
// straight edge along the raster stays exact and a slanted one loses half its steps.
func (m *Mask) rings(g Grid) []orb.Ring {
	var out []orb.Ring
	for y := 1; y < m.H-1; y++ {
		row, below := m.In[y*m.W:(y+1)*m.W], m.In[(y-1)*m.W:y*m.W]
		for x := 1; x < m.W-1; x++ {
			// Mostly both rows are the same for a while.
			for x+8 < m.W && binary.NativeEndian.Uint64(row[x:]) == binary.NativeEndian.Uint64(below[x:]) {
				x += 8
			}
			if x < m.W-1 && row[x] == 1 && below[x] == 0 {
				out = append(out, m.trace(g, x, y))
			}
		}
	}
	return out
}

// trace follows one ring from the lower edge of cell x, y, going right. Directions: 0 right, 1 up, 2 left, 3 down.
func (m *Mask) trace(g Grid, x, y int) orb.Ring {
	dx, dy := [4]int{1, 0, -1, 0}, [4]int{0, 1, 0, -1}
	var ring orb.Ring
	x0, y0, d := x, y, 0
	for {
		// The middle of the edge of (x, y) that lies on the right of the direction.
		r := (d + 3) & 3
		ring = append(ring, orb.Point{
			g.OriginX + (float64(int(m.Extent.X0)+x-1)+0.5+0.5*float64(dx[r]))*g.CellMM,
			g.OriginY + (float64(int(m.Extent.Y0)+y-1)+0.5+0.5*float64(dy[r]))*g.CellMM,
		})
		if d == 0 {
			m.In[y*m.W+x] = 2
		}
		ax, ay := x+dx[d], y+dy[d]
		switch {
		case m.In[ay*m.W+ax] == 0:
			d = (d + 1) & 3
		case m.In[(ay+dy[r])*m.W+ax+dx[r]] != 0:
			x, y, d = ax+dx[r], ay+dy[r], r
		default:
			x, y = ax, ay
		}
		if x == x0 && y == y0 && d == 0 {
			return append(ring, ring[0])
		}
	}
}

// Outline gives the shape of the marked cells.
func (m *Mask) Outline(g Grid) orb.MultiPolygon {
	var out orb.MultiPolygon
	var holes []orb.Ring
	for _, r := range m.rings(g) {
		outer := planar.Area(r) > 0
		if s := simplify.DouglasPeucker(outlineCells * g.CellMM).Ring(r.Clone()); len(s) >= 4 {
			r = s
		}
		if outer {
			out = append(out, orb.Polygon{r})
		} else {
			holes = append(holes, r)
		}
	}
	for _, h := range holes {
		for i := range out {
			if len(out) == 1 || planar.RingContains(out[i][0], h[0]) {
				out[i] = append(out[i], h)
				break
			}
		}
	}
	return out
}

// Sums adds up the indices of the marked cells.
func (m *Mask) Sums() (sx, sy, n float64) {
	for y := 1; y < m.H-1; y++ {
		for x := 1; x < m.W-1; x++ {
			if m.In[y*m.W+x] != 0 {
				sx += float64(int(m.Extent.X0) + x - 1)
				sy += float64(int(m.Extent.Y0) + y - 1)
				n++
			}
		}
	}
	return sx, sy, n
}

// NewMask is an empty one over a range of cells.
func NewMask(e Extent) *Mask {
	m := &Mask{Extent: e, W: int(e.X1-e.X0) + 3, H: int(e.Y1-e.Y0) + 3}
	m.In = make([]uint8, m.W*m.H)
	return m
}

// Pad gives the range with so many more cells all round, as far as the grid goes.
func (e Extent) Pad(cells int, g Grid) Extent {
	n := int32(cells)
	return Extent{max(0, e.X0-n), max(0, e.Y0-n), min(int32(g.NX-1), e.X1+n), min(int32(g.NY-1), e.Y1+n)}
}
