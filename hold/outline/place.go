package outline

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/job"
	"staydown/parse/drawing"
)

// manyParts is the number of parts from which a moved drawing is judged in one place only: parts that many lie on the
// grooves in all ways.
const manyParts = 100

// place moves parts onto the stock. A drawing that lies on it stays where it is; any other is moved as a whole to the
// middle of the first blank, and judged in four places half a groove's pitch apart, because nobody has said where it is
// to lie. It fails if the drawing is larger than the blank.
func place(parts []drawing.Part, j *job.Job) (at []orb.Point, moved bool, err error) {
	if onStock(parts, j, orb.Point{}) {
		return []orb.Point{{}}, false, nil
	}
	box := parts[0].Ring.Bound()
	for _, p := range parts[1:] {
		box = box.Union(p.Ring.Bound())
	}
	blank := j.Stock.Blanks[0].Outline.Bound()
	to := orb.Point{blank.Center()[0] - box.Center()[0], blank.Center()[1] - box.Center()[1]}
	if !onStock(parts, j, to) {
		return nil, false, fmt.Errorf("the parts take %.5g x %.5g mm and do not fit the blank of %.5g x %.5g mm; "+
			"give the size of the blank that they are to be cut from, or split the drawing", box.Max[0]-box.Min[0],
			box.Max[1]-box.Min[1], blank.Max[0]-blank.Min[0], blank.Max[1]-blank.Min[1])
	}
	at = []orb.Point{to}
	half := 0.0
	for _, z := range j.Zones {
		if z.Open && z.Groove != nil {
			half = math.Max(half, z.Groove.PitchMM/2)
		}
	}
	if half == 0 || len(parts) > manyParts {
		return at, true, nil
	}
	for _, by := range []orb.Point{{half, 0}, {0, half}, {half, half}} {
		// Towards the middle or away from it: whichever stays on the blank.
		for _, sign := range []float64{1, -1} {
			if p := (orb.Point{to[0] + sign*by[0], to[1] + sign*by[1]}); onStock(parts, j, p) {
				at = append(at, p)
				break
			}
		}
	}
	return at, true, nil
}

// onStock tells whether all outlines lie on a blank when they are moved.
func onStock(parts []drawing.Part, j *job.Job, by orb.Point) bool {
	for _, p := range parts {
		if !onBlank(p.Ring, j, by) {
			return false
		}
	}
	return true
}

func onBlank(ring orb.Ring, j *job.Job, by orb.Point) bool {
	const touching = 1e-6 // mm: an outline may lie on the edge
	for _, b := range j.Stock.Blanks {
		box, all := b.Outline.Bound().Pad(touching), true
		for _, p := range ring {
			q := orb.Point{p[0] + by[0], p[1] + by[1]}
			if !box.Contains(q) || !planar.RingContains(b.Outline[0], q) &&
				planar.DistanceFrom(orb.LineString(b.Outline[0]), q) > touching {
				all = false
				break
			}
		}
		if all {
			return true
		}
	}
	return false
}
