package joins

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/parse"
)

// evenly gives places along a closed ring, at its sharp corners and about a step apart between them.
func evenly(ring orb.Ring, stepMM float64) (out []orb.Point) {
	n := len(ring) - 1
	sharp := func(i int) bool {
		p, q, r := ring[(i+n-1)%n], ring[i%n], ring[(i+1)%n]
		ax, ay, bx, by := q[0]-p[0], q[1]-p[1], r[0]-q[0], r[1]-q[1]
		return ax*bx+ay*by < sharpCos*math.Hypot(ax, ay)*math.Hypot(bx, by)
	}
	first := 0
	for first < n-1 && !sharp(first) {
		first++
	}
	for i := 0; i < n; {
		run := orb.LineString{ring[(first+i)%n]}
		for i++; ; i++ {
			run = append(run, ring[(first+i)%n])
			if i >= n || sharp(first+i) {
				break
			}
		}
		out = append(out, along(run, stepMM)...)
		if len(out) > maxSpokes {
			return nil
		}
	}
	return out
}

// along gives the beginning of a line and places about a step apart, without its end.
func along(run orb.LineString, stepMM float64) (out []orb.Point) {
	total := planar.Length(run)
	n := math.Ceil(total / stepMM)
	if !(n >= 1) || n > maxSpokes {
		return run[:1]
	}
	step, next, along := total/n, 0.0, 0.0
	for i := 1; i < len(run); i++ {
		p, q := run[i-1], run[i]
		d := planar.Distance(p, q)
		for next < along+d-step*1e-6 && next < total-step/2 {
			f := (next - along) / d
			out = append(out, partWay(p, q, f))
			next += step
		}
		along += d
	}
	return out
}

// sharpCos is the cosine of the turn from which a corner of a ring has a place of its own.
const sharpCos = 0.9

// cornerSin is the sine of the turn of a wall between two spokes from which it counts as a corner.
const cornerSin = 0.2

// boxOf bounds what may lie beside the places that share their strokes.
func (v *heightField) boxOf(points []orb.Point, first int, slackMM float64) orb.Bound {
	n := len(points)
	box := orb.Bound{Min: points[first], Max: points[first]}
	for i := first; i <= min(n, first+chunkSpoke); i++ {
		box = box.Extend(points[i%n])
	}
	return box.Pad(v.s.Largest/2 + slackMM)
}

// lookBeside finds the paths beside places of the wall, from one of them on.
func (v *heightField) lookBeside(points []orb.Point, first int, spokes []spoke, slackMM float64) {
	n := len(points)
	var least [chunkSpoke]float64
	for i := range spokes {
		before, p, after := points[(first+i+n-1)%n], points[first+i], points[(first+i+1)%n]
		dx, dy := after[0]-before[0], after[1]-before[1]
		long := math.Hypot(dx, dy)
		spokes[i] = spoke{wall: p, outward: orb.Point{dy / long, -dx / long}}
		least[i] = slackMM
	}
	v.eachStroke(v.boxOf(points, first, slackMM), func(g *stroke, _ parse.Point) {
		for i := range spokes {
			k := &spokes[i]
			d, at := g.away(k.wall)
			if d-g.tool.R >= least[i] {
				continue
			}
			// What was cut inside the piece is not beside it.
			if (at[0]-k.wall[0])*k.outward[0]+(at[1]-k.wall[1])*k.outward[1] < -0.3*d {
				continue
			}
			least[i], k.mid, k.reachMM = d-g.tool.R, at, g.tool.R
		}
	})
	for i := range spokes {
		spokes[i].draw(v.s.Grid.CellMM)
	}
}

// withCorners adds spokes at the corners of a piece that jut out, where a line straight from one spoke to the next
// would go through the piece: from where the walls beside both meet to where the middles of the cut do.
func (v *heightField) withCorners(spokes []spoke) []spoke {
	out := make([]spoke, 0, len(spokes)+len(spokes)/spokesIn)
	for i := range spokes {
		a, b := &spokes[i], &spokes[(i+1)%len(spokes)]
		out = append(out, *a)
		if a.bare || b.bare || cross(a.outward, b.outward) < cornerSin {
			continue
		}
		wall, okWall := meet(a, b, a.wall, b.wall)
		mid, okMid := meet(a, b, a.mid, b.mid)
		if okWall && okMid && v.led(mid) {
			out = append(out, spoke{wall: wall, mid: mid, outward: a.outward, reachMM: a.reachMM, corner: true})
		}
	}
	return out
}

// led tells whether the path of a tool comes near a place: none does between the two sides of a bridge.
func (v *heightField) led(at orb.Point) (yes bool) {
	v.eachStroke(orb.Bound{Min: at, Max: at}, func(g *stroke, _ parse.Point) {
		d, _ := g.away(at)
		yes = yes || d < g.tool.R/2
	})
	return yes
}

func (v *heightField) smallestR() float64 {
	_, d := v.s.Smallest()
	return d / 2
}
