package chart

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/job"
)

// place is where a part lies: its middle, or its lower left corner.
type place struct {
	name    string
	at      orb.Point
	corner  bool    // at is its corner
	pitchMM float64 // so far on along both axes is another like it; 0: there is none
}

// findPlaces lists the fixed places: on a groove crossing, on the land between grooves and on one groove, all near the
// middle; across the border of two zones; and in the lower left corner of the blank.
func (t *table) findPlaces() (out []place) {
	middle := t.free.Center()
	z := t.zoneAt(middle)
	if z != nil && z.Groove != nil {
		// The middle of the first groove is half a pitch from the lowest corner of its zone (package airflow).
		g, low := z.Groove, z.Area.Bound().Min
		near := func(axis int, share float64) float64 {
			first := low[axis] + share*g.PitchMM
			return first + math.Round((middle[axis]-first)/g.PitchMM)*g.PitchMM
		}
		out = append(out,
			place{name: "on a groove crossing", at: orb.Point{near(0, 0.5), near(1, 0.5)}, pitchMM: g.PitchMM},
			place{name: "on the land between grooves", at: orb.Point{near(0, 0), near(1, 0)}, pitchMM: g.PitchMM},
			place{name: "along a groove", at: orb.Point{near(0, 0), near(1, 0.5)}, pitchMM: g.PitchMM})
	} else {
		out = append(out, place{name: "in the middle of the blank", at: middle})
	}
	if border, ok := t.zoneBorder(); ok {
		out = append(out, place{name: "across the edge of a zone", at: border})
	}
	web := (1 + webDiameters) * t.tool.DiameterMM
	return append(out, place{name: "in the corner of the blank", corner: true,
		at: orb.Point{t.free.Min[0] + web, t.free.Min[1] + web}})
}

// zoneAt is the open zone below a point; nil: none.
func (t *table) zoneAt(p orb.Point) *job.Zone {
	for i := range t.job.Zones {
		if z := &t.job.Zones[i]; z.Open && planar.PolygonContains(z.Area, p) {
			return z
		}
	}
	return nil
}

// zoneBorder is the middle of that side of an open zone which lies nearest the middle of the blank and well inside it.
func (t *table) zoneBorder() (best orb.Point, ok bool) {
	nearest := math.Inf(1)
	inside := t.free.Pad(-4 * t.tool.DiameterMM)
	for _, z := range t.job.Zones {
		if !z.Open {
			continue
		}
		ring := z.Area[0]
		for i := 1; i < len(ring); i++ {
			p := orb.Point{(ring[i-1][0] + ring[i][0]) / 2, (ring[i-1][1] + ring[i][1]) / 2}
			if d := planar.Distance(p, t.free.Center()); inside.Contains(p) && d < nearest {
				best, nearest, ok = p, d, true
			}
		}
	}
	return best, ok
}

// outline is a part of a shape and size in a place; ok is false where the blank has no room for it there.
func (t *table) outline(s Shape, sizeMM float64, p place) (ring orb.Ring, ok bool) {
	w, h := sizeMM, sizeMM
	if s == Strip {
		w = stripRatio * sizeMM
	}
	c := p.at
	if p.corner {
		c = orb.Point{c[0] + w/2, c[1] + h/2}
	}
	if s == Disc {
		ring = discRing(c, sizeMM/2)
	} else {
		x0, y0, x1, y1 := c[0]-w/2, c[1]-h/2, c[0]+w/2, c[1]+h/2
		ring = orb.Ring{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}
	}
	room := ring.Bound().Pad((1 + webDiameters) * t.tool.DiameterMM * (1 - 1e-9))
	if !t.free.Contains(room.Min) || !t.free.Contains(room.Max) {
		return nil, false
	}
	for _, corner := range room.ToRing() {
		if !planar.PolygonContains(t.blank, corner) {
			return nil, false
		}
	}
	return ring, true
}

const (
	stripRatio = 4.0
	chordMM    = 0.005 // by which the sides of a disc lie inside it
)

func discRing(c orb.Point, r float64) orb.Ring {
	n := 4 * int(math.Ceil(math.Pi/4/math.Acos(1-chordMM/r)))
	ring := make(orb.Ring, 0, n+1)
	for k := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		ring = append(ring, orb.Point{c[0] + r*cos, c[1] + r*sin})
	}
	return append(ring, ring[0])
}

func (p place) String() string { return fmt.Sprintf("%s (X%.4g Y%.4g)", p.name, p.at[0], p.at[1]) }
