package job

import (
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"
)

// reference hands a closed ring to the reference library; the error says which rule of a polygon it breaks.
func reference(ring orb.Ring) (geom.Geometry, error) {
	xy := make([]float64, 0, 2*len(ring))
	for _, p := range ring {
		xy = append(xy, p[0], p[1])
	}
	line := geom.NewLineString(geom.NewSequence(xy, geom.DimXY))
	p := geom.NewPolygon([]geom.LineString{line})
	return p.AsGeometry(), p.Validate()
}

// corners draws corners on a coarse raster, where touching, folding and collinear sides are frequent.
func corners(t *rapid.T, label string) []orb.Point {
	n := rapid.IntRange(3, 8).Draw(t, label)
	var all []orb.Point
	for range n {
		all = append(all, orb.Point{float64(rapid.IntRange(0, 6).Draw(t, "x")),
			float64(rapid.IntRange(0, 6).Draw(t, "y"))})
	}
	return all
}

// An outline is taken exactly when the OGC rules for simple rings, as checked by the reference library, take it.
func TestOutlinesAgainstReferenceLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring := distinct(corners(t, "n"))
		if len(ring) < 4 {
			return
		}
		_, _, crosses := crossing(ring)
		taken := !crosses && math.Abs(signedArea(ring)) >= leastAreaMM2
		g, err := reference(ring)
		if taken != (err == nil) {
			t.Fatalf("%v: taken %v, reference %v", ring, taken, err)
		}
		if !taken {
			return
		}
		if a := math.Abs(signedArea(ring)); math.Abs(a-g.Area()) > 1e-9 {
			t.Fatalf("%v: area %g, reference %g", ring, a, g.Area())
		}
		if p := interior(ring); !inside(ring, p) {
			t.Fatalf("%v: %v is not inside", ring, p)
		}
	})
}

// Two outlines overlap exactly when the reference library finds an intersection with area, and one is within the other
// exactly when it lies in its inside.
func TestOverlapAgainstReferenceLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := distinct(corners(t, "a")), distinct(corners(t, "b"))
		if len(a) < 4 || len(b) < 4 {
			return
		}
		ga, err := reference(a)
		if err != nil {
			return
		}
		gb, err := reference(b)
		if err != nil {
			return
		}
		common, err := geom.Intersection(ga, gb)
		if err != nil {
			return
		}
		if got, want := overlap(a, b), common.Area() > 1e-6; got != want {
			t.Fatalf("%v and %v: overlap %v, reference area %g", a, b, got, common.Area())
		}
		relation, err := geom.Relate(ga, gb)
		if err != nil {
			return
		}
		// DE-9IM: the first's inside and rim meet only the inside of the second.
		want := relation[0] == '2' && strings.HasPrefix(relation[1:], "FF") && relation[4] == 'F' && relation[5] == 'F'
		if got := within(a, b); got != want {
			t.Fatalf("%v in %v: %v, reference %s", a, b, got, relation)
		}
	})
}

// A disc stays in its circle, reaches its four outermost points, and lacks little of its area.
func TestDisc(t *testing.T) {
	for _, d := range []float64{0.1, 3, 25, 300, 2000, 20000} {
		ring := disc(orb.Point{100, -50}, d)
		r := d / 2
		box := ring.Bound()
		for _, miss := range []float64{box.Min[0] - (100 - r), box.Max[0] - (100 + r), box.Min[1] - (-50 - r),
			box.Max[1] - (-50 + r)} {
			if math.Abs(miss) > 1e-9*d {
				t.Errorf("diameter %g: box %v", d, box)
			}
		}
		for i := 0; i+1 < len(ring); i++ {
			mid := math.Hypot((ring[i][0]+ring[i+1][0])/2-100, (ring[i][1]+ring[i+1][1])/2+50)
			if mid > r || r-mid > math.Max(circleSagMM, 0.005*r)*1.0001 {
				t.Errorf("diameter %g: side %d at %g from the middle", d, i, mid)
			}
		}
		if a := signedArea(ring); a > math.Pi*r*r || a < math.Pi*r*r*0.99 {
			t.Errorf("diameter %g: area %g", d, a)
		}
	}
}
