package joins

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/shape"
)

// stroke is a straight piece of a move with its tool, in mm; heights count from the table side of the stock.
type stroke struct {
	ax, ay, az, bz float64
	ux, uy         float64 // direction seen from above; 0, 0 for a plunge
	len            float64 // seen from above; 0 for a plunge
	climb          float64 // height gained per mm along
	done           float64 // share of it that is done at the moment asked for; negative before it begins
	tool           *shape.Cutter
	move           int32
	part, parts    int32 // which of how many equal parts of the move it is, from 0
}

// fractions are those of the move at which the stroke begins and ends.
func (g *stroke) fractions() (f0, f1 float64) {
	return float64(g.part) / float64(g.parts), float64(g.part+1) / float64(g.parts)
}

// advance sets strokes to a moment.
func advance(ss []stroke, at raster.Progress) {
	for i := range ss {
		g := &ss[i]
		f0, f1 := g.fractions()
		from, to := raster.Progress(float64(g.move)+f0), raster.Progress(float64(g.move)+f1)
		switch {
		case at >= to:
			g.done = 1
		case at <= from:
			g.done = -1
		default:
			g.done = float64(at-from) / float64(to-from)
		}
	}
}

// over gives the least height of the tool's surface above a place while a share of the stroke is done; +Inf where it
// does not come.
func (g *stroke) over(x, y, done float64) float64 {
	dx, dy := x-g.ax, y-g.ay
	rr := g.tool.R * g.tool.R
	if g.len == 0 {
		dd := dx*dx + dy*dy
		if dd > rr {
			return math.Inf(1)
		}
		return min(g.az, g.az+(g.bz-g.az)*done) + g.tool.At(math.Sqrt(dd))
	}
	l, side := g.ux*dx+g.uy*dy, g.ux*dy-g.uy*dx
	ss := side * side
	if ss > rr {
		return math.Inf(1)
	}
	q := math.Sqrt(rr - ss)
	u0, u1 := max(0, l-q), min(g.len*done, l+q)
	if u0 > u1 {
		return math.Inf(1)
	}
	u := max(u0, min(u1, l-g.tool.Lowest(side, q, g.climb)))
	w := l - u
	return g.az + g.climb*u + g.tool.At(math.Sqrt(ss+w*w))
}

// away is the distance of a place from the path of the stroke, and the nearest place on it.
func (g *stroke) away(p orb.Point) (float64, orb.Point) {
	u := max(0, min(g.len, g.ux*(p[0]-g.ax)+g.uy*(p[1]-g.ay)))
	at := orb.Point{g.ax + g.ux*u, g.ay + g.uy*u}
	return math.Hypot(p[0]-at[0], p[1]-at[1]), at
}

// awayDone is the same for what is done of the stroke; +Inf while nothing is.
func (g *stroke) awayDone(p orb.Point) (float64, orb.Point) {
	if g.done < 0 {
		return math.Inf(1), p
	}
	part := *g
	part.len *= g.done
	return part.away(p)
}
