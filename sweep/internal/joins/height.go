package joins

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/parse"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
)

// The grid tells which cells are gone. How wide a bridge between two cuts is it tells only to a cell; the paths of the
// tools tell it exactly, since a tool takes what lies below its lower surface along its path and nothing else. The
// surface over a straight stroke is convex, so that on a line between two places no stroke leaves more than the higher
// of what it leaves at both.

// heightField tells how high material stands at a place and a moment. It serves one goroutine.
type heightField struct {
	s      *plan.Setup
	c      *raster.Cells
	near   *plan.MoveIndex
	necks  *necks
	pool   []float64   // scratch of lines
	kept   strokes     // of the loop at hand
	list   []strokeRun // likewise, for its spokes
	before []strokeRun // strokes kept for the spokes before those at hand
	now    gatherScratch
}

// eachStroke calls f for those that may take material within a box, in the order of the program. A stroke lasts until
// f returns; to is its end.
func (v *heightField) eachStroke(box orb.Bound, f func(g *stroke, to parse.Point)) {
	bottom := v.s.Stock.BottomMM
	var g stroke
	v.near.Each(box, func(i int, m *parse.Move) {
		tool := v.s.Cutters[m.Tool]
		reach := box.Pad(tool.R)
		n := m.Chords(v.s.Chord)
		from := m.Start
		for k := 1; k <= n; k++ {
			to := m.End
			if k < n {
				to = m.At(float64(k) / float64(n))
			}
			if min(from.X, to.X) <= reach.Max[0] && max(from.X, to.X) >= reach.Min[0] &&
				min(from.Y, to.Y) <= reach.Max[1] && max(from.Y, to.Y) >= reach.Min[1] {
				g = stroke{ax: from.X, ay: from.Y, az: from.Z - bottom, bz: to.Z - bottom,
					tool: tool, move: int32(i), part: int32(k - 1), parts: int32(n), done: 1}
				dx, dy := to.X-from.X, to.Y-from.Y
				if g.len = math.Hypot(dx, dy); g.len > 1e-9 {
					g.ux, g.uy, g.climb = dx/g.len, dy/g.len, (g.bz-g.az)/g.len
				} else {
					g.len = 0
				}
				f(&g, to)
			}
			from = to
		}
	})
}

// uncut is the height of the blank at a place before any cut: 0 beside it.
func (v *heightField) uncut(p orb.Point) float64 {
	g := v.s.Grid
	x, y := int(math.Floor((p[0]-g.OriginX)/g.CellMM)), int(math.Floor((p[1]-g.OriginY)/g.CellMM))
	if x < 0 || y < 0 || x >= g.NX || y >= g.NY {
		return 0
	}
	i, k := (y>>raster.TileBits)*v.c.TX+x>>raster.TileBits, (y&raster.TileMask)<<raster.TileBits|x&raster.TileMask
	if t := v.c.Tiles[i]; t != nil && t.Rim { // the outline tells what the cells do not
		for n := range v.s.Stock.Blanks {
			if planar.PolygonContains(v.s.Stock.Blanks[n].Outline, p) {
				return v.c.Tops[n].MM()
			}
		}
		return 0
	}
	if v.c.CutAt(x, y) < raster.FirstTick {
		return 0
	}
	return v.c.Tops[v.c.BlankOf(i, k)].MM()
}

// rim is a place just beyond the rim nearest to a place in a blank.
func (v *heightField) rim(p orb.Point) (at orb.Point, ok bool) {
	least := math.Inf(1)
	for _, b := range v.s.Stock.Blanks {
		for _, ring := range b.Outline {
			for i, from := range ring {
				to := ring[(i+1)%len(ring)]
				dx, dy := to[0]-from[0], to[1]-from[1]
				f := 0.0
				if dd := dx*dx + dy*dy; dd > 0 {
					f = max(0, min(1, ((p[0]-from[0])*dx+(p[1]-from[1])*dy)/dd))
				}
				q := orb.Point{from[0] + f*dx, from[1] + f*dy}
				if d := planar.Distance(p, q); d < least && d > 0 {
					over := (d + beyondRimMM) / d
					least, at, ok = d, orb.Point{p[0] + (q[0]-p[0])*over, p[1] + (q[1]-p[1])*over}, true
				}
			}
		}
	}
	return at, ok
}

// beyondRimMM is how far beyond the rim a place surely lies outside.
const beyondRimMM = 1e-6

// left is the height at the end of the program, as the grid has it.
func (v *heightField) left(p orb.Point) float64 {
	g := v.s.Grid
	x, y := int(math.Floor((p[0]-g.OriginX)/g.CellMM)), int(math.Floor((p[1]-g.OriginY)/g.CellMM))
	if x < 0 || y < 0 || x >= g.NX || y >= g.NY {
		return 0
	}
	return max(0, v.c.HeightAt(x, y)).MM()
}

// spot is a place with what each of some strokes leaves there.
type spot struct {
	at     orb.Point
	uncut  float64
	left   []float64 // by stroke
	height float64
}

// spot looks at a place near a spoke.
func (v *heightField) spot(k *spoke, p orb.Point) spot {
	n := len(v.pool)
	s := spot{at: p, uncut: v.uncut(p)}
	s.height = s.uncut
	for _, r := range k.near {
		ss := v.kept.of(r)
		for i := range ss {
			h := math.Inf(1)
			if g := &ss[i]; g.done >= 0 {
				h = g.over(p[0], p[1], g.done)
			}
			s.height = min(s.height, h)
			v.pool = append(v.pool, h)
		}
	}
	if s.height <= raster.ThroughMM { // a film counts as cut
		s.height = 0
	}
	s.left = v.pool[n:len(v.pool):len(v.pool)]
	return s
}

// face is the face of material over a line: its area, the length of the line that has material, and the center of
// the face.
type face struct {
	areaMM2, longMM float64
	x, y            float64 // first moments of the area
}

func (u *face) add(o face) {
	u.areaMM2, u.longMM, u.x, u.y = u.areaMM2+o.areaMM2, u.longMM+o.longMM, u.x+o.x, u.y+o.y
}

// faceMM2 is how far, in mm2, a face may be off for each line that is looked at: 0.1 N of hard aluminium.
const faceMM2 = 5e-4

// face gives the face over the line from p to q, near a spoke.
func (v *heightField) face(k *spoke, p, q orb.Point) face {
	n := len(v.pool)
	defer func() { v.pool = v.pool[:n] }()
	a, b := v.spot(k, p), v.spot(k, q)
	return v.between(k, &a, &b)
}

// between gives the face between two places. Where heights differ, or where no stroke alone vouches for what lies
// between, the line is halved.
func (v *heightField) between(k *spoke, a, b *spot) face {
	most := max(a.uncut, b.uncut)
	for i := range a.left {
		most = min(most, max(a.left[i], b.left[i]))
	}
	long := planar.Distance(a.at, b.at)
	if most <= raster.ThroughMM || long == 0 {
		return face{}
	}
	if (most-min(a.height, b.height))*long > faceMM2 {
		n := len(v.pool)
		m := v.spot(k, orb.Point{(a.at[0] + b.at[0]) / 2, (a.at[1] + b.at[1]) / 2})
		u := v.between(k, a, &m)
		u.add(v.between(k, &m, b))
		v.pool = v.pool[:n]
		return u
	}
	area := (a.height + b.height) / 2 * long
	u := face{areaMM2: area, longMM: long, x: area * (a.at[0] + b.at[0]) / 2, y: area * (a.at[1] + b.at[1]) / 2}
	switch {
	case a.height == 0 && b.height == 0:
		u.longMM = 0
	case a.height == 0 || b.height == 0:
		u.longMM = long / 2
	}
	return u
}
