package drawing

import (
	"testing"

	"github.com/paulmach/orb"
)

// A full circle ends where it begins, to the last digit, wherever it lies: its copies have as many points as it has.
func TestAFullCircleClosesExactly(t *testing.T) {
	for _, at := range []orb.Point{{0, 0}, {26, 26}, {0.1, -7.3}, {1e5, 3}} {
		for _, r := range []float64{0.3, 8, 38} {
			points := circle(at, r, 0.7, 0.7+6.283185307179586, 0.01)
			if first, last := points[0], points[len(points)-1]; first != last {
				t.Errorf("radius %g about %v: from %v to %v", r, at, first, last)
			}
		}
	}
}
