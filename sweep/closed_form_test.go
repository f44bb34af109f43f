package sweep

import (
	"math"
	"testing"

	"staydown/internal/testrun"
	"staydown/parse"
	"staydown/sweep/internal/shape"
	"staydown/sweep/internal/testprog"
)

func tool(t Tool) map[int]Tool { t.Number = 1; return map[int]Tool{1: t} }

// volumeLeft adds up what the grid says is left.
func volumeLeft(r *Record) float64 {
	sum := 0.0
	for iy := 0; iy < r.Grid.NY; iy++ {
		for ix := 0; ix < r.Grid.NX; ix++ {
			sum += r.HeightMM(ix, iy)
		}
	}
	return sum * r.Grid.CellMM * r.Grid.CellMM
}

func lowest(r *Record) float64 {
	low := math.Inf(1)
	for iy := 0; iy < r.Grid.NY; iy++ {
		for ix := 0; ix < r.Grid.NX; ix++ {
			if r.CutAt(ix, iy) != 0 {
				low = min(low, r.HeightMM(ix, iy))
			}
		}
	}
	return low
}

// Source: cusp left between two passes of a ball of radius R at distance s, R - sqrt(R^2 - s^2/4).
func TestBallLeavesScallops(t *testing.T) {
	const r, s, deep, cell = 3.0, 1.5, 1.0, 0.05
	p := testprog.New(1).Enter(5, 10, -deep).Line(25, 10, -deep).Line(25, 10+s, -deep).Line(5, 10+s, -deep).Up()
	rec := sweep(t, p, tool(Tool{Shape: Ball, DiameterMM: 2 * r}), testprog.Plate(30, 20, 4), cell)
	ix := int((15 - rec.Grid.OriginX) / cell)
	top := 0.0
	for y := 10.0; y < 10+s; y += cell / 2 {
		top = max(top, rec.HeightMM(ix, int((y-rec.Grid.OriginY)/cell)))
	}
	want := 4 - deep + r - math.Sqrt(r*r-s*s/4)
	// The nearest center lies half a cell off the ridge at most, where the cusp falls with slope s/2/sqrt(R^2-s^2/4).
	near(t, "cusp", top, want, cell/2*(s/2)/math.Sqrt(r*r-s*s/4)+1e-4)
	near(t, "floor", lowest(rec), 4-deep, cell*cell/(8*r)+1e-4)
}

// Source: a cone of angle a at depth d cuts a groove 2 d tan(a/2) wide.
func TestVeeCutsAGrooveOfItsWidth(t *testing.T) {
	const angle, deep, cell = math.Pi / 3, 2.0, 0.05
	p := testprog.New(1).Enter(5, 10, -deep).Line(25, 10, -deep).Up()
	rec := sweep(t, p, tool(Tool{Shape: Vee, DiameterMM: 12, AngleRad: angle}), testprog.Plate(30, 20, 6), cell)
	n := 0
	ix := int((15 - rec.Grid.OriginX) / cell)
	for iy := 0; iy < rec.Grid.NY; iy++ {
		if h := rec.HeightMM(ix, iy); rec.CutAt(ix, iy) != 0 && h < 6-1e-3 {
			n++
		}
	}
	near(t, "width", float64(n)*cell, 2*deep*math.Tan(angle/2), cell)
}

// Source: a drill of diameter D and point angle a whose tip is d deep removes a cone of height c = (D/2)/tan(a/2) and a
// cylinder above it: pi D^2/4 (d - 2c/3).
func TestDrillRemovesConeAndCylinder(t *testing.T) {
	const d, deep, cell = 8.0, 5.0, 0.05
	angle := 118 * math.Pi / 180
	p := testprog.New(1).Enter(10, 10, -deep).Up()
	rec := sweep(t, p, tool(Tool{Shape: Drill, DiameterMM: d, AngleRad: angle}), testprog.Plate(20, 20, 12), cell)
	c := d / 2 / math.Tan(angle/2)
	near(t, "volume", rec.RemovedMM3, math.Pi*d*d/4*(deep-2*c/3), 0.002*rec.RemovedMM3)
}

// A bull's groove: flat in the middle, quarter rounds of radius c at the sides. Section for depth >= c:
// D depth - 2 c^2 (1 - pi/4).
func TestBullLeavesFillets(t *testing.T) {
	const d, c, deep, long, cell = 6.0, 1.0, 2.0, 20.0, 0.05
	tools := tool(Tool{Shape: Bull, DiameterMM: d, CornerMM: c})
	// From beyond one edge of the plate to beyond the other: no caps.
	p := testprog.New(1).Enter(-10, 10, -deep).Line(long+10, 10, -deep).Up()
	rec := sweep(t, p, tools, testprog.Plate(long, 20, 4), cell)
	want := (d*deep - 2*c*c*(1-math.Pi/4)) * long
	near(t, "volume", rec.RemovedMM3, want, 0.002*want)
}

// A helix of radius a with a tool of radius R > a bores a hole of radius a + R.
func TestHelixBoresAHole(t *testing.T) {
	testrun.NotForRaces(t)
	const a, r, cell = 2.0, 3.0, 0.1
	for _, shape := range []Tool{{Shape: Flat, DiameterMM: 2 * r}, {Shape: Bull, DiameterMM: 2 * r, CornerMM: 1}} {
		p := testprog.New(1).Enter(15+a, 15, 0.5).Arc(15, 15, -8*math.Pi, -7.5).Arc(15, 15, -2*math.Pi, -7.5).Up()
		rec := sweep(t, p, tool(shape), testprog.Plate(30, 30, 6), cell)
		area := math.Pi * (a + r) * (a + r)
		// A raster of a disc of radius 5 with 0.1 mm cells is right within 0.1 % (Gauss circle problem: error of order
		// (radius/cell)^(2/3) cells); chords take away less than a 64th of a cell at the rim.
		near(t, "volume", rec.RemovedMM3, 6*area, 0.003*6*area)
		if len(rec.Pieces) != 1 {
			t.Errorf("%d pieces", len(rec.Pieces))
		}
	}
}

// A straight ramp of a square end with the slope m from the face down to depth d in length L, and back at that depth:
// what is left is level, so the volume is that of the capsule.
func TestRampAndBackIsALevelSlot(t *testing.T) {
	const r, l, d, cell = 2.0, 20.0, 3.0, 0.1
	p := testprog.New(1).Enter(10, 10, 0).Line(10+l, 10, -d).Line(10, 10, -d).Up()
	rec := sweep(t, p, testprog.EndMill(2*r), testprog.Plate(40, 20, 6), cell)
	want := d * (math.Pi*r*r + 2*r*l)
	near(t, "volume", rec.RemovedMM3, want, 0.003*want)
}

// The floor of a ramp cut by a square end: along the middle line the tool's trailing edge is the last to pass, when the
// tool's center is R further on: the floor at x is the height at center x + R.
func TestRampOfASquareEndIsExact(t *testing.T) {
	const r, cell = 2.0, 0.1
	p := testprog.New(1).Enter(5, 10, 0).Line(35, 10, -3).Rapid(35, 10, 5)
	rec := sweep(t, p, testprog.EndMill(2*r), testprog.Plate(40, 20, 6), cell)
	iy := int((10 - rec.Grid.OriginY) / cell)
	y := rec.Grid.OriginY + (float64(iy)+0.5)*cell
	q := math.Sqrt(r*r - (y-10)*(y-10))
	for _, x := range []float64{10, 20, 30} {
		ix := int((x - rec.Grid.OriginX) / cell)
		cx := rec.Grid.OriginX + (float64(ix)+0.5)*cell
		near(t, "floor", rec.HeightMM(ix, iy), 6-(cx+q-5)*0.1, 2e-5)
	}
}

// A ball on a ramp of slope m touches the plane that is its envelope: below the path by R (sqrt(1+m^2) - 1) less.
// The lowest point over the middle line is z(x) + R - R sqrt(1+m^2), tip heights taken along the path at x.
func TestRampOfABallIsExact(t *testing.T) {
	const r, cell = 3.0, 0.1
	p := testprog.New(1).Enter(5, 10.05, 0).Line(35, 10.05, -3).Rapid(35, 10.05, 5)
	rec := sweep(t, p, tool(Tool{Shape: Ball, DiameterMM: 2 * r}), testprog.Plate(40, 20, 6), cell)
	iy := int((10.05 - rec.Grid.OriginY) / cell)
	y := rec.Grid.OriginY + (float64(iy)+0.5)*cell
	for _, x := range []float64{12, 20, 28} {
		ix := int((x - rec.Grid.OriginX) / cell)
		cx := rec.Grid.OriginX + (float64(ix)+0.5)*cell
		s := y - 10.05
		want := 6 - (cx-5)*0.1 + r - math.Sqrt(1+0.01)*math.Sqrt(r*r-s*s)
		near(t, "floor", rec.HeightMM(ix, iy), want, 2e-5)
	}
}

// The envelope of a vee or bull on a ramp, checked against many stamps of the tool along the path (a slow, obvious
// sweep).
func TestRampsOfAllShapesAgreeWithStamps(t *testing.T) {
	testrun.NotForRaces(t)
	const cell = 0.2
	for _, tl := range []Tool{
		{Shape: Flat, DiameterMM: 6}, {Shape: Ball, DiameterMM: 6}, {Shape: Bull, DiameterMM: 6, CornerMM: 1.2},
		{Shape: Vee, DiameterMM: 6, AngleRad: 1.2}, {Shape: Drill, DiameterMM: 6, AngleRad: 2},
	} {
		for _, end := range []parse.Point{{X: 25, Y: 17, Z: -3}, {X: 15, Y: 22, Z: -5.5}, {X: 13, Y: 12, Z: -6}} {
			p := testprog.New(1).Enter(12, 11, -0.5).Line(end.X, end.Y, end.Z).Up()
			rec := sweep(t, p, tool(tl), testprog.Plate(40, 30, 8), cell)
			pr := shape.NewCutter(tl)
			const stamps = 4000
			for iy := 0; iy < rec.Grid.NY; iy += 3 {
				for ix := 0; ix < rec.Grid.NX; ix += 3 {
					if rec.CutAt(ix, iy) == 0 {
						continue
					}
					x, y := rec.Grid.OriginX+(float64(ix)+0.5)*cell, rec.Grid.OriginY+(float64(iy)+0.5)*cell
					want := 8.0
					for i := 0; i <= stamps; i++ {
						f := float64(i) / stamps
						dx, dy := x-12-f*(end.X-12), y-11-f*(end.Y-11)
						if d2 := dx*dx + dy*dy; d2 <= pr.R*pr.R {
							want = min(want, 8-0.5+f*(end.Z+0.5)+pr.At(math.Sqrt(d2)))
						}
					}
					// Stamps come 1/4000 of the path apart: up to 16 mm / 4000 x slope beside the true lowest.
					if got := rec.HeightMM(ix, iy); got > want+3e-5 || got < want-6e-3 {
						t.Fatalf("%v to %v: height %.5f at %.2f, %.2f, want %.5f", tl.Shape, end, got, x, y, want)
					}
				}
			}
		}
	}
}

// An arc in the ZX plane: a square end going through a quarter dip leaves the depth of the arc's lowest point.
func TestArcsInUprightPlanesDip(t *testing.T) {
	for _, plane := range []parse.Plane{parse.PlaneZX, parse.PlaneYZ} {
		p := testprog.New(1).Enter(10, 10, 0)
		// Half a turn about a center on the face: down to -4 in the middle.
		m := parse.Move{Kind: parse.Arc, Plane: plane, TurnRad: math.Pi}
		if plane == parse.PlaneZX {
			m.End, m.Centre, m.TurnRad = parse.Point{X: 18, Y: 10}, parse.Point{X: 14, Y: 10}, -math.Pi
		} else {
			m.End, m.Centre = parse.Point{X: 10, Y: 18}, parse.Point{X: 10, Y: 14}
		}
		p.Push(m)
		if z := p.Moves[len(p.Moves)-1].At(0.5).Z; math.Abs(z+4) > 1e-9 {
			t.Fatalf("plane %d: half way at Z %g, want -4", plane, z)
		}
		rec := sweep(t, p.Up(), testprog.EndMill(4), testprog.Plate(30, 30, 6), 0.1)
		near(t, "lowest", lowest(rec), 2, 0.1/64+1e-4)
	}
}

// Removed and left make up the stock: heights are whole units, so the sum is exact but for the last rounding.
func TestRemovedIsStockLessLeft(t *testing.T) {
	p := testprog.New(1).Enter(5, 5, -2).Line(25, 8, -5).Arc(20, 12, 4, -7).Line(3, 22, -1).Up()
	rec := sweep(t, p, tool(Tool{Shape: Ball, DiameterMM: 5}), testprog.Plate(30, 25, 6), 0.25)
	near(t, "removed", rec.RemovedMM3, rec.StockMM3-volumeLeft(rec), 1e-9*rec.StockMM3)
	near(t, "stock", rec.StockMM3, 30*25*6, 1e-6)
	sum := 0.0
	for _, s := range rec.Steps.All() {
		sum += s.VolumeMM3
	}
	near(t, "sum of the steps", sum, rec.RemovedMM3, 1e-4*rec.RemovedMM3)
}
