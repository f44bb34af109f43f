package contact

import "math"

// raster divides a rectangle into cells of about the same size, square where it can be.
type raster struct {
	low          [2]float64
	sideX, sideY float64
	nx, ny       int
}

// newRaster gives about as many cells as are aimed at.
func newRaster(low, high [2]float64, aim float64) raster {
	width, height := high[0]-low[0], high[1]-low[1]
	side := max(math.Sqrt(width*height/aim), max(width, height)/aim)
	if side <= 0 {
		side = 1 // all at one place
	}
	r := raster{low: low, nx: int(width/side) + 1, ny: int(height/side) + 1}
	r.sideX, r.sideY = max(width, side)/float64(r.nx), max(height, side)/float64(r.ny)
	return r
}

// at is the index of the cell of a place.
func (r *raster) at(x, y float64) int {
	return min(int((y-r.low[1])/r.sideY), r.ny-1)*r.nx + min(int((x-r.low[0])/r.sideX), r.nx-1)
}

// moments sums up nodes: weight, first and second moments, and weight times their own spread.
type moments struct{ w, x, y, xx, xy, yy, self float64 }

func (h *moments) add(n node) {
	h.w += n.weight
	h.x += n.weight * n.x
	h.y += n.weight * n.y
	h.xx += n.weight * n.x * n.x
	h.xy += n.weight * n.x * n.y
	h.yy += n.weight * n.y * n.y
	h.self += n.weight * n.s2
}

// spread gives the center and the covariance of the places.
func (h *moments) spread() (x, y, xx, xy, yy float64) {
	x, y = h.x/h.w, h.y/h.w
	return x, y, h.xx/h.w - x*x, h.xy/h.w - x*y, h.yy/h.w - y*y
}
