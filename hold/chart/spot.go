package chart

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// spot is where a part of a size is cut to compare a place with others: there, or as many pitches of the grooves away
// that it has room beside the others.
type spot struct {
	size  int // in the ladder
	place place
	ring  orb.Ring
}

// apartPitches lie between parts that are cut together, and between them and the rim of zone and blank: kerfs and rims
// take no vacuum from as far away, which TestPlaceFoundWithOthersBeside bears out.
const apartPitches = 1.5

// sideBySide gives a spot for each place in which the blank has room for a part of each of some sizes, in groups that
// one program can cut.
func (t *table) sideBySide(s Shape, sizes []int) (groups [][]spot) {
	for _, size := range sizes {
		for _, p := range t.places {
			ring, fits := t.outline(s, t.sizes[size], p)
			if !fits {
				continue
			}
			home, added := spot{size, p, ring}, false
			for g := 0; g < len(groups) && !added; g++ {
				var beside spot
				if beside, added = t.beside(groups[g], home); added {
					groups[g] = append(groups[g], beside)
				}
			}
			if !added {
				groups = append(groups, []spot{home})
			}
		}
	}
	return groups
}

// beside finds a spot for a part beside those of a group; ok is false where there is none.
func (t *table) beside(group []spot, home spot) (found spot, ok bool) {
	for _, by := range t.shifts(home) {
		ring := home.ring.Clone()
		for i := range ring {
			ring[i][0], ring[i][1] = ring[i][0]+by[0], ring[i][1]+by[1]
		}
		room := ring.Bound().Pad(t.apartMM())
		if by != (orb.Point{}) && !t.inOneZone(room) {
			continue
		}
		if !slices.ContainsFunc(group, func(o spot) bool { return o.ring.Bound().Intersects(room) }) {
			return spot{home.size, home.place, ring}, true
		}
	}
	return home, false
}

func (t *table) apartMM() float64 {
	pitch := 0.0
	for _, p := range t.places {
		pitch = math.Max(pitch, p.pitchMM)
	}
	return math.Max(apartPitches*pitch, 2*(1+webDiameters)*t.tool.DiameterMM)
}

// shifts are the ways by which a part may be moved onto grooves that lie alike, none first, those on the blank only.
func (t *table) shifts(home spot) []orb.Point {
	none := []orb.Point{{}}
	box := home.ring.Bound()
	if home.place.pitchMM == 0 || !t.inOneZone(box.Pad(t.apartMM())) {
		return none
	}
	// Steps of half a part are fine enough to find a spot.
	step := func(axis int) float64 {
		p := home.place.pitchMM
		return p * math.Ceil((box.Max[axis]-box.Min[axis])/2/p)
	}
	var out []orb.Point
	for x := -math.Floor((box.Min[0]-t.free.Min[0])/step(0)) * step(0); box.Max[0]+x <= t.free.Max[0]; x += step(0) {
		for y := -math.Floor((box.Min[1]-t.free.Min[1])/step(1)) * step(1); box.Max[1]+y <= t.free.Max[1]; y += step(
			1) {
			out = append(out, orb.Point{x, y})
		}
	}
	slices.SortStableFunc(out, func(a, b orb.Point) int {
		return cmp.Compare(math.Hypot(a[0], a[1]), math.Hypot(b[0], b[1]))
	})
	return out
}

// inOneZone tells whether a box lies on the blank and over the zone of the middle.
func (t *table) inOneZone(box orb.Bound) bool {
	z := t.zoneAt(t.free.Center())
	if z == nil || !t.free.Contains(box.Min) || !t.free.Contains(box.Max) {
		return false
	}
	for _, corner := range box.ToRing() {
		if !planar.PolygonContains(z.Area, corner) || !planar.PolygonContains(t.blank, corner) {
			return false
		}
	}
	return true
}
