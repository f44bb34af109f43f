package contact

import (
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"
)

func area(pts []orb.Point) float64 {
	var sum float64
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		sum += p[0]*q[1] - p[1]*q[0]
	}
	return sum / 2
}

// TestHullAgainstReference compares with the convex hull of a general-purpose geometry library.
func TestHullAgainstReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 60).Draw(t, "n")
		pts := make([]orb.Point, n)
		xys := make([]geom.Point, n)
		for i := range pts {
			pts[i] = orb.Point{float64(rapid.IntRange(-20, 20).Draw(t, "x")),
				float64(rapid.IntRange(-20, 20).Draw(t, "y"))}
			xys[i] = geom.XY{X: pts[i][0], Y: pts[i][1]}.AsPoint()
		}
		want := geom.NewMultiPoint(xys).ConvexHull().Area()
		got := hull(pts)
		if len(got) < 3 {
			if want != 0 {
				t.Fatalf("no hull of %v, reference area %g", pts, want)
			}
			return
		}
		if math.Abs(area(got)-want) > 1e-9*want { // up to 32 corners nothing is left out
			t.Fatalf("area %g, reference %g", area(got), want)
		}
	})
}

// TestHullOfManyPointsStaysInside: a disc loses at most 1 - cos(pi/32) of its reach in any direction, and nothing is
// added.
func TestHullOfManyPointsStaysInside(t *testing.T) {
	for _, n := range []int{33, 100, 1000, manyPoints + 1, 20000} {
		pts := make([]orb.Point, n)
		for i := range pts {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			pts[i] = orb.Point{50 * cos, 50 * sin}
		}
		h := hull(pts)
		if len(h) > maxCorners {
			t.Fatalf("%d points: %d corners", n, len(h))
		}
		for i, p := range h {
			if math.Abs(math.Hypot(p[0], p[1])-50) > 1e-9 {
				t.Errorf("%d points: corner %v is not one of them", n, p)
			}
			// Between two corners kept the chord may span two of 32 even sectors.
			if in := axisThrough(p, h[(i+1)%len(h)]).inside(0, 0); in < 50*math.Cos(2*math.Pi/maxCorners) {
				t.Errorf("%d points: edge %g from the centre", n, in)
			}
		}
	}
}

// TestFaceOfManyElements: the corners of a slanted rectangle are found among its elements.
func TestFaceOfManyElements(t *testing.T) {
	b := Body{Elements: rectangle(300, 200, 60, 40, even(5e4))}
	h := hull(corners(b.Elements))
	if math.Abs(area(h)-300*200) > 1e-6 || len(h) != 4 {
		t.Errorf("%d corners, area %g", len(h), area(h))
	}
	rb, _ := moved(b, Load{}, 0.4, 1)
	if a := area(hull(corners(rb.Elements))); a < 300*200*0.99 || a > 300*200*1.06 {
		t.Errorf("slanted: area %g of %g", a, 300.0*200)
	}
}

// TestLeftOutCornersAreNoneOfTheHull: the hull is that of all corners of all squares, corner by corner.
func TestLeftOutCornersAreNoneOfTheHull(t *testing.T) {
	left := 0
	rapid.Check(t, func(t *rapid.T) {
		var elements []Element
		var all []orb.Point
		even := rapid.Bool().Draw(t, "even")
		slant := rapid.SampledFrom([]float64{0, 0, 0.3, 0.7}).Draw(t, "slant")
		for i := rapid.IntRange(1, 400).Draw(t, "squares"); i > 0; i-- {
			x, y := float64(rapid.IntRange(-20, 20).Draw(t, "x")), float64(rapid.IntRange(-20, 20).Draw(t, "y"))
			side := 1.0
			if !even {
				side = rapid.SampledFrom([]float64{0.25, 0.5, 1, 8}).Draw(t, "side")
			}
			p := Element{X: x + slant*y, Y: y - slant*x, AreaMM2: side * side}
			elements = append(elements, p)
			for _, way := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
				all = append(all, orb.Point{p.X + way[0]*side/2, p.Y + way[1]*side/2})
			}
		}
		n := len(all)
		few := corners(elements)
		left += n - len(few)
		if got, want := hull(few), hull(all); !slices.Equal(got, want) {
			t.Fatalf("%v, want %v", got, want)
		}
	})
	if left == 0 {
		t.Error("nothing is left out")
	}
}

// TestOddBodies: whatever lies on the table, margins are numbers, not negative, and Check is the least of All.
func TestOddBodies(t *testing.T) {
	place := rapid.SampledFrom([]float64{0, 0, 1, -1, 1e-9, 5, 1e5, maxMM})
	size := rapid.SampledFrom([]float64{0, 0, 1e-12, 1, 50, 1e6})
	rapid.Check(t, func(t *rapid.T) {
		b := Body{
			Friction: rapid.SampledFrom([]float64{0, 0.3, 10}).Draw(t, "mu"), TackPa: size.Draw(t, "tack"),
			WeightN: size.Draw(t, "weight"),
			WeightX: place.Draw(t, "wx"), WeightY: place.Draw(t, "wy"),
			Enough: rapid.SampledFrom([]float64{0, 3}).Draw(t, "enough"),
		}
		for i := rapid.IntRange(0, 4).Draw(t, "elements"); i > 0; i-- {
			b.Elements = append(b.Elements, Element{place.Draw(t, "x"), place.Draw(t, "y"), size.Draw(t, "area"),
				size.Draw(t, "pressure")})
		}
		if rapid.IntRange(0, 9).Draw(t, "repeat") == 0 && len(b.Elements) > 0 {
			for len(b.Elements) <= spots {
				b.Elements = append(b.Elements, b.Elements...)
			}
		}
		for i := rapid.IntRange(0, 4).Draw(t, "webs"); i > 0; i-- {
			b.Webs = append(b.Webs, Web{X: place.Draw(t, "x"), Y: place.Draw(t, "y"), WidthMM: size.Draw(t, "w"),
				ThicknessMM: size.Draw(t, "t"), LengthMM: size.Draw(t, "l"),
				ShearMPa: 100, TensileMPa: 100, YieldMPa: 50})
		}
		if rapid.Bool().Draw(t, "outline") {
			b.Outline = box(40, 40)
		}
		s := drawn(t, b)
		l := Load{place.Draw(t, "fx"), place.Draw(t, "fy"), place.Draw(t, "fz"), place.Draw(t, "x"), place.Draw(t, "y"),
			size.Draw(t, "h"), place.Draw(t, "torque")}
		o, least := s.Check(l), math.Inf(1)
		for _, a := range s.All(l) {
			if !(a.Margin >= 0) {
				t.Fatalf("%+v", a)
			}
			least = math.Min(least, a.Margin)
		}
		if !(o.Margin <= least*(1+1e-9)) || b.Enough == 0 && o.Margin < least*(1-1e-9) {
			t.Fatalf("Check %g, least of All %g", o.Margin, least)
		}
		if w, i := s.Worst([]Load{l, l}); w.Margin != o.Margin || i != 0 {
			t.Fatalf("Worst %g at %d, Check %g", w.Margin, i, o.Margin)
		}
	})
}

// Squares that stand for elements reach beyond a face that lies turned on their grid, by 0.2 of their side and more
// where they are cut by its edge. Within the rim of the piece a square of side b under even pressure tips at p A b/2
// (closed form) however it is turned.
func TestElementsReachNoFurtherThanTheRim(t *testing.T) {
	const b, p0, h, cell = 24.0, 90e3, 6.0, 2.0
	for _, turn := range []float64{0, 0.3, math.Pi / 4} {
		sin, cos := math.Sincos(turn)
		var body Body
		for _, c := range box(b, b) {
			body.Rim = append(body.Rim, orb.Point{c[0]*cos - c[1]*sin, c[0]*sin + c[1]*cos})
		}
		body.Rim, body.Friction = Hull(body.Rim), 0.4
		const fine = 20 // points along a cell that tell how much of it is covered, and where
		for x := -b; x < b; x += cell {
			for y := -b; y < b; y += cell {
				var n, sx, sy float64
				for k := range fine * fine {
					u, v := x+(float64(k%fine)+0.5)*cell/fine, y+(float64(k/fine)+0.5)*cell/fine
					if math.Max(math.Abs(u*cos+v*sin), math.Abs(v*cos-u*sin)) < b/2 {
						n, sx, sy = n+1, sx+u, sy+v
					}
				}
				if n > 0 {
					body.Elements = append(body.Elements, Element{X: sx / n, Y: sy / n,
						AreaMM2: n * cell * cell / (fine * fine), PressurePa: p0})
				}
			}
		}
		s := support(t, body)
		load := p0 * 1e-6 * b * b * b / 2 / h
		for _, way := range []float64{0, 1, 2, 3} {
			dy, dx := math.Sincos(turn + way*math.Pi/2)
			m := s.All(Load{XN: load * dx, YN: load * dy, HeightMM: h})[3].Margin
			if m < 0.98 || m > 1.01 {
				t.Errorf("turned by %.2f, towards side %g: tip margin %.3f, want 1", turn, way, m)
			}
		}
	}
}
