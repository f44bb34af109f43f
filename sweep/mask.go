package sweep

import (
	"encoding/binary"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/paulmach/orb/simplify"
)

// outlineCells is how far, in cells, an outline may be moved to lose its steps.
const outlineCells = 0.6

// extent is a range of cells, both ends included.
type extent struct{ x0, y0, x1, y1 int32 }

var noExtent = extent{1 << 30, 1 << 30, -1, -1}

func (e extent) with(x, y int32) extent {
	return extent{min(e.x0, x), min(e.y0, y), max(e.x1, x), max(e.y1, y)}
}

func (e extent) union(o extent) extent {
	return extent{min(e.x0, o.x0), min(e.y0, o.y0), max(e.x1, o.x1), max(e.y1, o.y1)}
}

// mask is a small raster with a border of empty cells all round.
type mask struct {
	e    extent
	w, h int
	in   []uint8 // 1: part of the piece, 2: its lower edge was traced
}

// rings walks round the marked cells with them on the left. Points are the middles of the cells' edges, so that a
// straight edge along the raster stays exact and a slanted one loses half its steps.
func (m *mask) rings(g Grid) []orb.Ring {
	var out []orb.Ring
	for y := 1; y < m.h-1; y++ {
		row, below := m.in[y*m.w:(y+1)*m.w], m.in[(y-1)*m.w:y*m.w]
		for x := 1; x < m.w-1; x++ {
			// Mostly both rows are the same for a while.
			for x+8 < m.w && binary.NativeEndian.Uint64(row[x:]) == binary.NativeEndian.Uint64(below[x:]) {
				x += 8
			}
			if x < m.w-1 && row[x] == 1 && below[x] == 0 {
				out = append(out, m.trace(g, x, y))
			}
		}
	}
	return out
}

// trace follows one ring from the lower edge of cell x, y, going right. Directions: 0 right, 1 up, 2 left, 3 down.
func (m *mask) trace(g Grid, x, y int) orb.Ring {
	dx, dy := [4]int{1, 0, -1, 0}, [4]int{0, 1, 0, -1}
	var ring orb.Ring
	x0, y0, d := x, y, 0
	for {
		// The middle of the edge of (x, y) that lies on the right of the direction.
		r := (d + 3) & 3
		ring = append(ring, orb.Point{
			g.OriginX + (float64(int(m.e.x0)+x-1)+0.5+0.5*float64(dx[r]))*g.CellMM,
			g.OriginY + (float64(int(m.e.y0)+y-1)+0.5+0.5*float64(dy[r]))*g.CellMM,
		})
		if d == 0 {
			m.in[y*m.w+x] = 2
		}
		ax, ay := x+dx[d], y+dy[d]
		switch {
		case m.in[ay*m.w+ax] == 0:
			d = (d + 1) & 3
		case m.in[(ay+dy[r])*m.w+ax+dx[r]] != 0:
			x, y, d = ax+dx[r], ay+dy[r], r
		default:
			x, y = ax, ay
		}
		if x == x0 && y == y0 && d == 0 {
			return append(ring, ring[0])
		}
	}
}

// outline gives the shape of the marked cells.
func (m *mask) outline(g Grid) orb.MultiPolygon {
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

// sums adds up the indices of the marked cells.
func (m *mask) sums() (sx, sy, n float64) {
	for y := 1; y < m.h-1; y++ {
		for x := 1; x < m.w-1; x++ {
			if m.in[y*m.w+x] != 0 {
				sx += float64(int(m.e.x0) + x - 1)
				sy += float64(int(m.e.y0) + y - 1)
				n++
			}
		}
	}
	return sx, sy, n
}
