package progcheck

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/job"
	"staydown/sweep"
)

// obstacle is a region that tool and holder must not enter: everything below topMM inside a ring, or outside it. The
// tool reaches from its tip up to the spindle, so space below an obstacle does not matter.
type obstacle struct {
	what   string // in words
	ring   orb.Ring
	bound  orb.Bound
	box    bool // the ring is its bound
	beyond bool // all outside of the ring
	topMM  float64
}

// obstacles lists clamps and fixtures, and what lies beyond the edge of the table.
func (c *Checks) obstacles() []obstacle {
	var out []obstacle
	add := func(what string, ring orb.Ring, topMM float64, beyond bool) {
		b := ring.Bound()
		box := len(ring) == 5 && planar.Area(ring) >= planar.Area(b)*(1-1e-12)
		out = append(out, obstacle{what: what, ring: ring, bound: b, box: box, beyond: beyond, topMM: topMM})
	}
	for _, clamp := range c.Job.Clamps {
		add("clamp "+clamp.Name, clamp.Footprint, clamp.TopMM, false)
	}
	for _, f := range c.Job.Fixtures {
		add("fixture "+f.Name, f.Footprint, f.TopMM, false)
	}
	if ring := c.Job.Machine.Table; ring != nil {
		add("the table's edge", ring, c.Rec.Stock.TopMM(), true)
	}
	return out
}

// touchMM is the overlap that rounding may cause: touching is not a collision.
const touchMM = 1e-6

// clear tells from boxes alone that a tool on a path stays clear of the obstacle; wide is the box round all that the
// tool covers on it.
func (o *obstacle) clear(wide *orb.Bound) bool {
	b := &o.bound
	if o.beyond {
		return o.box && wide.Min[0] >= b.Min[0] && wide.Max[0] <= b.Max[0] && wide.Min[1] >= b.Min[1] &&
			wide.Max[1] <= b.Max[1]
	}
	return wide.Max[0] < b.Min[0] || wide.Min[0] > b.Max[0] || wide.Max[1] < b.Min[1] || wide.Min[1] > b.Max[1]
}

// meets tells whether a disc that goes straight from p to q meets the obstacle.
func (o *obstacle) meets(p, q orb.Point, radiusMM float64) bool {
	const least = 1e-9
	if planar.RingContains(o.ring, p) != o.beyond {
		return true
	}
	reach := max(radiusMM-touchMM, least) // a path across is at distance 0
	box := orb.MultiPoint{p, q}.Bound().Pad(reach)
	for i := 0; i+1 < len(o.ring); i++ {
		s, t := o.ring[i], o.ring[i+1]
		if (orb.MultiPoint{s, t}).Bound().Intersects(box) && distance(p, q, s, t) < reach {
			return true
		}
	}
	return false
}

// distance is that between two straight stretches, 0 where they cross.
func distance(p, q, s, t orb.Point) float64 {
	cross := func(a, b, c orb.Point) float64 { return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0]) }
	if cross(p, q, s)*cross(p, q, t) < 0 && cross(s, t, p)*cross(s, t, q) < 0 {
		return 0
	}
	return min(planar.DistanceFromSegment(s, t, p), planar.DistanceFromSegment(s, t, q),
		planar.DistanceFromSegment(p, q, s), planar.DistanceFromSegment(p, q, t))
}

// ledge is a part of a tool that is at least so wide from a height above the tip up to the spindle.
type ledge struct {
	aboveMM, radiusMM float64
	holder            bool
}

// pointLedges is the number of ledges that stand for a point that is not flat.
const pointLedges = 32

// ledges gives a tool as a flight of ledges, wider and wider going up. A ball, a corner or a point counts as at most a
// 32nd of its width wider than it is, never narrower; a flat end and the holder are exact. The shank counts as being as
// wide as the cutter.
func ledges(t job.Tool) []ledge {
	radius := t.DiameterMM / 2
	// radius of the end's flat; height at which the tool is so much wider
	flat, height := radius, func(float64) float64 { return 0 }
	switch t.Shape {
	case sweep.Ball:
		flat, height = 0, roundTo(radius)
	case sweep.Bull:
		flat, height = radius-t.CornerMM, roundTo(t.CornerMM)
	case sweep.Vee, sweep.Drill:
		flat, height = 0, func(wide float64) float64 { return wide / math.Tan(t.AngleRad/2) }
	}
	var out []ledge
	if flat < radius {
		for i := range pointLedges {
			out = append(out, ledge{aboveMM: height((radius - flat) * float64(i) / pointLedges), radiusMM: flat +
				(radius-flat)*float64(i+1)/pointLedges})
		}
	} else {
		out = append(out, ledge{radiusMM: radius})
	}
	if t.HolderMM/2 > radius && t.GaugeMM > 0 {
		out = append(out, ledge{aboveMM: t.GaugeMM, radiusMM: t.HolderMM / 2, holder: true})
	}
	return out
}

// roundTo gives the height at which a rounding of a radius is so much wider than at its lowest.
func roundTo(radius float64) func(float64) float64 {
	return func(wide float64) float64 { return radius - math.Sqrt(math.Max(0, radius*radius-wide*wide)) }
}
