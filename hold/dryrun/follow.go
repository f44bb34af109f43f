package dryrun

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/paulmach/orb/simplify"
)

// Path is what the middle of a tool follows along one side of an outline.
type Path struct {
	Loops []orb.Ring // closed, climb cutting: the outline lies on the right. None: the tool does not fit
	Hole  bool       // the tool goes inside the outline
	// UncutMM2 is the area on the tool's side of the outline that the tool is too wide for, without what any round tool
	// leaves in sharp corners; 0 where that is within the error of the path.
	UncutMM2 float64

	diameterMM float64
	centre     orb.Point // of the area that the outline encloses
	cleared    bool      // nothing is cut out: all inside is milled away
}

const (
	// offsetMM bounds how far the line strays from the tool's radius, on the side of the outline and away from it,
	// except at inner corners, where it stays away by up to half a grid step more.
	offsetMM = 0.005
	// chordMM bounds how far the moves along a path stray from it: the fewer moves, the less there is to compute.
	chordMM = 0.02
	// What counts as uncut: more than this share of the tool's radius squared, and of the length of the path in mm.
	uncutShare  = 0.2
	uncutPerMM  = 2 * offsetMM
	widestTurn  = 5 * math.Pi / 6 // sharper corners count as this sharp
	leastLoopMM = 0.05            // shorter loops are no paths
)

// Follow gives the path of a flat tool round the outside of a ring, or along its inside for a hole. The ring is closed
// and does not cross itself; either way round will do. diameterMM is above 0.
//
// The path is the line along which the distance from the outline is the tool's radius, taken from a grid of exact
// distances (marching squares; Lorensen and Cline, "Marching Cubes", Computer Graphics 21(4), 1987, in the plane). It
// strays from that by at most 0.025 mm. Where the outline leaves no room for the tool the path stays out: it never cuts
// into the outline to get past.
func Follow(ring orb.Ring, hole bool, diameterMM float64) Path {
	r := diameterMM / 2
	p := Path{Hole: hole, diameterMM: diameterMM}
	p.centre, _ = planar.CentroidArea(ring)
	reached, length := 0.0, 0.0 // area within reach of the tool, on the side of the material for an outside
	origin := ring.Bound().Min
	for _, loop := range newDistanceGrid(ring, origin, r).contours() {
		around := planar.Length(loop)
		if around < leastLoopMM || planar.RingContains(ring, loop[0]) != hole {
			continue
		}
		// Steiner's formula for the area beside a path at distance r on its right or left.
		area := math.Abs(planar.Area(loop))
		switch inner := loop.Orientation() == orb.CCW; {
		case inner && hole:
			reached += area + r*around + math.Pi*r*r
		case inner:
			reached -= area + r*around + math.Pi*r*r
		default:
			reached += area - r*around + math.Pi*r*r
		}
		length += around
		p.Loops = append(p.Loops, simplify.DouglasPeucker(chordMM).Ring(loop))
	}
	left := reached - math.Abs(planar.Area(ring))
	if hole {
		left = -left
	}
	left -= cornersMM2(ring, hole, r)
	if left > uncutShare*r*r+uncutPerMM*length {
		p.UncutMM2 = left
	}
	return p
}

// Clear gives the path that mills a hole away, from its middle to its rim, so that nothing falls out: paths as those of
// Follow, a tool's radius apart. So deep inside that there is none further, every place is within the tool's radius of
// the last one. diameterMM is above 0.
func Clear(ring orb.Ring, diameterMM float64) Path {
	p := Follow(ring, true, diameterMM)
	p.cleared = true
	for k := 2.0; ; k++ {
		inner := Follow(ring, true, k*diameterMM).Loops
		if len(inner) == 0 {
			return p
		}
		p.Loops = append(inner, p.Loops...)
	}
}

// Clears tells whether the path mills away all that is inside its outline.
func (p Path) Clears() bool { return p.cleared }

// cornersMM2 is what a round tool leaves in the sharp corners on its side: r^2 (tan(a/2) - a/2) for a turn by a.
func cornersMM2(ring orb.Ring, hole bool, r float64) (sum float64) {
	side := 1.0 // turns to the left leave something inside a ring that runs counter-clockwise
	if hole != (ring.Orientation() == orb.CCW) {
		side = -1
	}
	n := len(ring) - 1
	for i := range n {
		before, at, after := ring[(i+n-1)%n], ring[i], ring[(i+1)%n]
		ux, uy, vx, vy := at[0]-before[0], at[1]-before[1], after[0]-at[0], after[1]-at[1]
		turn := side * math.Atan2(float64(ux*vy)-float64(uy*vx), float64(ux*vx)+float64(uy*vy))
		if turn > 0 {
			half := math.Min(turn, widestTurn) / 2
			sum += r * r * (math.Tan(half) - half)
		}
	}
	return sum
}

// Moved is the same path elsewhere.
func (p Path) Moved(dxMM, dyMM float64) Path {
	moved := make([]orb.Ring, len(p.Loops))
	for i, loop := range p.Loops {
		moved[i] = make(orb.Ring, len(loop))
		for k, at := range loop {
			moved[i][k] = orb.Point{at[0] + dxMM, at[1] + dyMM}
		}
	}
	p.Loops = moved
	p.centre = orb.Point{p.centre[0] + dxMM, p.centre[1] + dyMM}
	return p
}

// fromFarthest turns a loop so that it begins where it is farthest from a point: there the cutter twists most.
func fromFarthest(loop orb.Ring, from orb.Point) orb.Ring {
	n, first, far := len(loop)-1, 0, -1.0
	for i, at := range loop[:n] {
		// Equal distances but for rounding are ties, so that a moved path begins at the same corner.
		if d := planar.Distance(at, from); d > far+offsetMM {
			first, far = i, d
		}
	}
	out := make(orb.Ring, 0, n+1)
	out = append(out, loop[first:n]...)
	out = append(out, loop[:first]...)
	return append(out, loop[first])
}
