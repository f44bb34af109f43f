package dryrun

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

func rectangle(x, y, w, h float64) orb.Ring {
	return orb.Ring{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}, {x, y}}
}

// disc is a polygon of the area of a disc, so that its closed forms hold for it.
func disc(x, y, r float64) orb.Ring {
	const n = 720
	r *= math.Sqrt(2 * math.Pi / n / math.Sin(2*math.Pi/n))
	var out orb.Ring
	for k := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / n)
		out = append(out, orb.Point{x + r*cos, y + r*sin})
	}
	return append(out, out[0])
}

func TestFollowKeepsTheRadius(t *testing.T) {
	slot := orb.Ring{{0, 0}, {100, 0}, {100, 50}, {52, 50}, {52, 20}, {48, 20}, {48, 50}, {0, 50}, {0, 0}}
	for _, tc := range []struct {
		name     string
		ring     orb.Ring
		hole     bool
		diameter float64
		// area inside all loops together, and what the tool is too wide for
		area, uncut float64
	}{
		// Area of a parallel body: A + P r + pi r^2 (Steiner, 1840).
		{"square", rectangle(10, 20, 40, 40), false, 6, 1600 + 160*3 + 9*math.Pi, 0},
		{"square, small tool", rectangle(10, 20, 40, 40), false, 1, 1600 + 160*0.5 + 0.25*math.Pi, 0},
		{"square, far away", rectangle(-3e4, 7.4e4, 40, 40), false, 6, 1600 + 160*3 + 9*math.Pi, 0},
		{"disc", disc(0, 0, 20), false, 6, math.Pi * 23 * 23, 0},
		{"round hole", disc(0, 0, 20), true, 6, math.Pi * 17 * 17, 0},
		{"square hole", rectangle(0, 0, 40, 40), true, 6, 34 * 34, 0},
		// The slot is 4 mm wide: all of it stays, but for the segment of the tool that reaches in between its walls.
		// Between the arcs round its two corners the path dips by 12 - 2 (sqrt 5 + 9/2 asin 2/3).
		{"slot too narrow", slot, false, 6, 5000 + 300*3 + 9*math.Pi - 12 + 2*(math.Sqrt(5)+4.5*math.Asin(2.0/3)),
			120 - segmentMM2(3, 4)},
		{"hole too small", disc(0, 0, 2.9), true, 6, 0, math.Pi * 2.9 * 2.9},
	} {
		for _, ring := range []orb.Ring{tc.ring, reversed(tc.ring)} {
			p := Follow(ring, tc.hole, tc.diameter)
			area, length := 0.0, 0.0
			for _, loop := range p.Loops {
				area += math.Abs(planar.Area(loop))
				length += planar.Length(loop)
				for i := 1; i < len(loop); i++ {
					for _, at := range []orb.Point{loop[i], between(loop[i-1], loop[i], 0.5)} {
						if d := planar.DistanceFrom(orb.LineString(ring), at); d < tc.diameter/2-offsetMM-chordMM {
							t.Fatalf("%s: path comes to %.4f mm of the outline at %v", tc.name, d, at)
						}
					}
				}
				// Climb: the outline on the right of the first move.
				a, b := loop[0], loop[1]
				right := orb.Point{(a[0]+b[0])/2 + (b[1]-a[1])/planar.Distance(a, b)*0.1,
					(a[1]+b[1])/2 - (b[0]-a[0])/planar.Distance(a, b)*0.1}
				if planar.DistanceFrom(orb.LineString(ring), right) > planar.DistanceFrom(orb.LineString(ring), a) {
					t.Errorf("%s: the outline is on the left", tc.name)
				}
			}
			if math.Abs(area-tc.area) > (offsetMM+chordMM)*length {
				t.Errorf("%s: the path encloses %.3f mm2, want %.3f", tc.name, area, tc.area)
			}
			if math.Abs(p.UncutMM2-tc.uncut) > 0.05*tc.uncut {
				t.Errorf("%s: uncut %.3f mm2, want %.3f", tc.name, p.UncutMM2, tc.uncut)
			}
		}
	}
}

// segmentMM2 is the area of a segment of a circle of radius r with a chord.
func segmentMM2(r, chord float64) float64 {
	half := math.Asin(chord / 2 / r)
	return r*r*half - chord/2*r*math.Cos(half)
}

func reversed(r orb.Ring) orb.Ring {
	r = r.Clone()
	r.Reverse()
	return r
}
