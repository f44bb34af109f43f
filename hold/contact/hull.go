package contact

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

const (
	// maxCorners bounds the corners of the hull, so that a check of the stock costs no more than one of a square. Corners are
	// only left out, so the hull shrinks and the tip margin with it, by at most 0.5 % for a disc (1 - cos(pi/32)).
	maxCorners = 32
	// Beyond manyPoints (outlines) or a quarter as many patches only the outermost point of each of directions is kept before the hull
	// is made: for a disc another 0.03 % (half of 1 - cos(pi/128)) less, for a polygon with no more corners than that as a rule nothing.
	manyPoints = 2048
	directions = 128
)

// hull gives the corners of the convex hull of pts, counter-clockwise, at most maxCorners; fewer than three when pts lie on a line.
// It reorders pts. Source: monotone chain, A. M. Andrew, Inf. Process. Lett. 9 (1979) 216-219.
func hull(pts []orb.Point) []orb.Point {
	if len(pts) > manyPoints {
		pts = outermost(pts)
	}
	slices.SortFunc(pts, func(p, q orb.Point) int {
		return cmp.Or(cmp.Compare(p[0], q[0]), cmp.Compare(p[1], q[1]))
	})
	if len(pts) < 3 {
		return pts
	}
	chain := make([]orb.Point, 0, 2*len(pts))
	for pass := 0; pass < 2; pass++ {
		base := len(chain)
		for k := range pts {
			p := pts[k]
			if pass == 1 {
				p = pts[len(pts)-1-k]
			}
			for len(chain) >= base+2 && turn(chain[len(chain)-2], chain[len(chain)-1], p) <= 0 {
				chain = chain[:len(chain)-1]
			}
			chain = append(chain, p)
		}
		chain = chain[:len(chain)-1]
	}
	for len(chain) > maxCorners {
		least, at := math.Inf(1), 0
		for i := range chain {
			if t := turn(chain[(i+len(chain)-1)%len(chain)], chain[i], chain[(i+1)%len(chain)]); t < least {
				least, at = t, i
			}
		}
		chain = append(chain[:at], chain[at+1:]...)
	}
	return chain
}

// turn is twice the area of the triangle, positive when it runs counter-clockwise.
func turn(a, b, c orb.Point) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}

// outermost keeps the points farthest out in evenly spread directions.
func outermost(pts []orb.Point) []orb.Point {
	out := make([]orb.Point, directions)
	for k := range out {
		s, c := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / directions)
		best := math.Inf(-1)
		for _, p := range pts {
			if d := c*p[0] + s*p[1]; d > best {
				best, out[k] = d, p
			}
		}
	}
	return out
}

// corners gives the corners of squares that have the patches' areas; of many patches only those that are farthest out.
func corners(patches []Patch) []orb.Point {
	many := len(patches) > manyPoints/4
	if many {
		patches = outermostPatches(patches)
	}
	pts := make([]orb.Point, 0, 4*len(patches))
	for _, p := range patches {
		if p.AreaMM2 > 0 {
			h := math.Sqrt(p.AreaMM2) / 2
			pts = append(pts, orb.Point{p.X - h, p.Y - h}, orb.Point{p.X + h, p.Y - h}, orb.Point{p.X + h, p.Y + h}, orb.Point{p.X - h, p.Y + h})
		}
	}
	return pts
}

// outermostPatches keeps, for every one of the directions, the patch whose square reaches farthest.
func outermostPatches(patches []Patch) []Patch {
	out := make([]Patch, directions)
	var sin, cos, best [directions]float64
	for k := range out {
		sin[k], cos[k] = math.Sincos(2 * math.Pi * (float64(k) + 0.5) / directions)
		best[k] = math.Inf(-1)
	}
	for _, p := range patches {
		if p.AreaMM2 <= 0 {
			continue
		}
		h := math.Sqrt(p.AreaMM2) / 2
		for k := range out {
			if d := cos[k]*p.X + sin[k]*p.Y + h*(math.Abs(cos[k])+math.Abs(sin[k])); d > best[k] {
				best[k], out[k] = d, p
			}
		}
	}
	return out
}
