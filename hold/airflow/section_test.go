package airflow

import (
	"math"
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/airflow/internal/layer"
	"staydown/hold/airflow/internal/sheettest"
	"staydown/hold/internal/gas"
	"staydown/hold/job"
)

// section is a slow, obvious reference: the layer cut across, in its full thickness, by finite volumes of 1/n of the
// thickness. w is 1 on the plenum below and 0 on all that is bared. Lengths are in units of the thickness; the board is
// isotropic.
type section struct {
	n, columns int
	bared      func(x float64) bool // the top at x
	notch      float64              // depth of the cut where it is bared
	plenum     func(x float64) bool // the bottom at x
	openEnd    bool                 // the left end is open to the air over its whole height
}

// solve gives the integral of 1-w over the covered top, and the flow into the plenum, by successive over-relaxation.
func (s section) solve() (lost, leak float64) {
	n, deep := s.n, int(s.notch*float64(s.n)+0.5)
	w := make([]float64, n*s.columns)
	at := func(i int) float64 { return (float64(i) + 0.5) / float64(n) }
	air := func(i, k int) bool { return k >= n-deep && s.bared(at(i)) }
	// A cell's balance: its value times sum is flow plus the values of up to four neighbors; w[len-1] stays 0 for
	// those that are missing.
	type balance struct {
		cell      int
		neighbour [4]int
		flow, sum float64
	}
	w = append(w, 0)
	var cells []balance
	for k := 0; k < n; k++ {
		for i := 0; i < s.columns; i++ {
			if air(i, k) {
				continue
			}
			c := balance{cell: k*s.columns + i}
			beside := func(side, i2, k2 int) {
				c.neighbour[side] = len(w) - 1
				switch {
				case k2 < 0:
					if s.plenum(at(i2)) {
						c.sum, c.flow = c.sum+2, c.flow+2
					}
				case i2 < 0:
					if s.openEnd {
						c.sum += 2
					}
				case i2 >= s.columns:
				case k2 >= n:
					if s.bared(at(i2)) {
						c.sum += 2
					}
				case air(i2, k2):
					c.sum += 2
				default:
					c.sum++
					c.neighbour[side] = k2*s.columns + i2
				}
			}
			beside(0, i-1, k)
			beside(1, i+1, k)
			beside(2, i, k-1)
			beside(3, i, k+1)
			cells = append(cells, c)
		}
	}
	omega := 2 / (1 + math.Sin(math.Pi/float64(2*n)))
	for round := 0; round < 50000; round++ {
		worst := 0.0
		for i := range cells {
			c := &cells[i]
			flow := c.flow + w[c.neighbour[0]] + w[c.neighbour[1]] + w[c.neighbour[2]] + w[c.neighbour[3]]
			change := flow/c.sum - w[c.cell]
			w[c.cell] += omega * change
			if change < 0 {
				change = -change
			}
			if change > worst {
				worst = change
			}
		}
		if worst < 1e-10 {
			break
		}
	}
	for i := 0; i < s.columns; i++ {
		if !s.bared(at(i)) {
			top := w[(n-1)*s.columns+i]
			top += (top - w[(n-2)*s.columns+i]) / 8
			lost += (1 - top) / float64(n)
		}
		if s.plenum(at(i)) {
			leak += 2 * (1 - w[i])
		}
	}
	return lost, leak
}

// extrapolated removes the error of first order that the corners of the section leave.
func (s section) extrapolated() (lost, leak float64) {
	a, la := s.solve()
	s.n, s.columns = 2*s.n, 2*s.columns
	b, lb := s.solve()
	return 2*b - a, 2*lb - la
}

func everywhere(float64) bool { return true }
func nowhere(float64) bool    { return false }

// The two widths that the model is built on, against finite differences of the whole section. Closed form: (2 ln 2)/pi
// = 0.44127 and 8 G/pi^2 = 0.74245.
func TestBandsOfTheExactSection(t *testing.T) {
	sheettest.CloseTo(t, "surface band", layer.SurfaceLossWidth, 0.44127, 2e-5)
	sheettest.CloseTo(t, "full band", layer.FullLossWidth, 0.74245, 2e-5)
	const half = 4
	lost, leak := section{n: 20, columns: 20 * 2 * half, bared: func(x float64) bool { return x < half },
		plenum: everywhere}.extrapolated()
	sheettest.CloseTo(t, "lost beside a bared surface", lost, layer.SurfaceLossWidth, 0.005)
	sheettest.CloseTo(t, "leak beside a bared surface", leak-half, layer.SurfaceLossWidth, 0.005)
	lost, _ = section{n: 20, columns: 20 * half, bared: nowhere, plenum: everywhere, openEnd: true}.extrapolated()
	sheettest.CloseTo(t, "lost beside an open edge", lost, layer.FullLossWidth, 0.005)
}

// What the model takes for kerfs that go into the layer is never less than the section's figures, and not much more.
func TestDeepKerfsAreBoundedFromAbove(t *testing.T) {
	const half = 3
	for _, share := range []float64{0.05, 0.1, 0.25, 0.5, 0.75, 0.9} {
		s := section{n: 20, columns: 20 * 2 * half, bared: func(x float64) bool { return x < half }, notch: share,
			plenum: everywhere}
		lost, leak := s.extrapolated()
		leak -= half / (1 - share)
		if b := layer.EdgeLossWidth(share); b < lost || b > lost+0.03 {
			t.Errorf("cut to %g of the thickness: the section loses %.4f t, the model takes %.4f t", share, lost, b)
		}
		if f := layer.EdgeLossWidth(share) + layer.WallLeak(share); f < leak || f > 1.15*leak+0.03 {
			t.Errorf("cut to %g of the thickness: the section leaks %.4f t beside the kerf, the model takes %.4f t",
				share, leak, f)
		}
	}
}

// kerfModel is a board of thickness 18 mm with a straight kerf of the given width in the middle of wide stock, taped
// all round.
func kerfModel(t testing.TB, width, depth, air float64) *Model {
	t.Helper()
	const wide, high = 300, 24
	s := sheettest.NewIn(wide, high, 0, 0, 0.5)
	s.CutWhere(1, func(x, y float64) bool { return math.Abs(x-wide/2) < width/2 })
	s.Each(func(i int, x, y float64) {
		if s.Cut[i] == 1 {
			s.Depth[i] = float32(depth)
		}
	})
	m := mustModel(t, s, Options{CellMM: air, Tol: 1e-9}, func(j *testJob) {
		j.Layer.ThicknessMM = 18
		j.Layer.Edge = job.SealedEdge
	})
	advance(t, m, 1)
	return m
}

// The kerf of a thick board: the fringe beside it leaks more than the kerf itself. Source: closed form 0.44127 t per
// edge, and finite differences of the section for kerfs narrower than the board is thick.
func TestKerfOfAThickBoard(t *testing.T) {
	const high = 24
	for _, width := range []float64{6, 18, 72} {
		half := 3.0
		_, exact := section{n: 12, columns: int(12 * 2 * half), plenum: everywhere, bared: func(x float64) bool {
			return math.Abs(x-half) < width/18/2
		}}.extrapolated()
		for _, air := range []float64{2, 3, 6} {
			m := kerfModel(t, width, 0, air)
			leak := m.leak().ConductanceM3 / (3e-13 / 18e-3) * 1e6 / high
			sheettest.CloseTo(t, "width that leaks", leak, width+2*0.44127*18, 2e-3)
			lost := 300 - width - meanOf(m, 1, identity)*(300-width)
			sheettest.CloseTo(t, "width of hold lost", lost, 2*0.44127*18, 2e-3)
			if over := leak / 18 / exact; over < 0.999 || over > 1.07 {
				t.Errorf("kerf of %g mm in 18 mm: leak is %.4f of the section's; want 1 to 1.07", width, over)
			}
		}
	}
}

// A kerf narrower than the layer is thick leaks, and costs hold, as the stripline of its width says: 2 K(k)/K(k'), k =
// tanh(pi W/(4 t)) (conformal mapping). Far from the ends of a long kerf.
func TestNarrowKerfOfAThickBoard(t *testing.T) {
	const thickness = 18.0
	leak := func(width, high float64) float64 {
		s := sheettest.NewIn(160, high, 0, 0, 1)
		s.CutWhere(1, func(x, _ float64) bool { return math.Abs(x-80) < width/2 })
		m := mustModel(t, s, Options{CellMM: 2, Tol: 1e-9}, func(j *testJob) {
			j.Layer.ThicknessMM, j.Layer.Edge = thickness, job.SealedEdge
		})
		return advance(t, m, 1).ConductanceM3 / (3e-13 / (thickness * 1e-3)) * 1e6
	}
	for _, width := range []float64{4, 6, 10, 18} {
		got := (leak(width, 400) - leak(width, 300)) / 100
		sheettest.CloseTo(t, "width that leaks", got, thickness*stripline(width/thickness), 0.01)
	}
}

// Two meters of a kerf of 6 mm in 18 mm of board of 1e-13 m2 between 101325 and 30000 Pa: 0.6119 m3/h through its
// floor, 2.232 with the fringe. Source: Darcy's law with the closed form of the fringe.
func TestKerfFlowInFreeAir(t *testing.T) {
	m := kerfModel(t, 6, 0, 3)
	g := m.leak().ConductanceM3 * (1e-13 / 3e-13) * 2 / 0.024
	sheettest.CloseTo(t, "free air", gas.FreeAirM3h(gas.LayerKgS(g, 101325, 30000), 101325), 2.232, 3e-3)
}

// A kerf in the layer, against the section.
func TestDeepKerfOfAThickBoard(t *testing.T) {
	for _, depth := range []float64{1.8, 9} {
		m := kerfModel(t, 18, depth, 3)
		got := m.leak().ConductanceM3 / (3e-13 / 18e-3) * 1e6 / 24
		lost := (1 - meanOf(m, 1, identity)) * (300 - 18)
		half := 4.0
		lostExact, leakExact := section{n: 20, columns: int(20 * 2 * half), notch: depth / 18, plenum: everywhere,
			bared: func(x float64) bool {
				return math.Abs(x-half) < 0.5
			}}.extrapolated()
		if got < 18*leakExact || got > 1.3*18*leakExact {
			t.Errorf("%g mm deep: leak of %.3f mm width, the section says %.3f mm", depth, got, 18*leakExact)
		}
		if lost < 0.999*18*lostExact || lost > 1.08*18*lostExact {
			t.Errorf("%g mm deep: hold lost over %.3f mm, the section says %.3f mm", depth, lost, 18*lostExact)
		}
	}
}

// The open rim of the layer: hold is lost over 0.74245 t. Source: closed form (Catalan's constant).
func TestOpenRimOfAThickBoard(t *testing.T) {
	for _, thickness := range []float64{0.75, 18} {
		for _, air := range []float64{1.5, 3} {
			s := sheettest.New(200, 200, 3, 0.5)
			m := mustModel(t, s, Options{CellMM: air, Tol: 1e-9}, func(j *testJob) { j.Layer.ThicknessMM = thickness })
			lost := (1 - meanOf(m, 1, identity)) * 200 * 200
			b := 0.74245 * thickness
			want := 200*200 - (200-2*b)*(200-2*b)
			if lost < want*0.97 || lost > want*1.03 { // the corners, where the bands overlap, have no closed form
				t.Errorf("%g mm thick, air cell %g mm: %.1f mm2 lost, want about %.1f", thickness, air, lost, want)
			}
		}
	}
}

// The leak of an open rim where the plenum ends short of it: band and wall together against the section.
func TestLeakOfAnOpenRim(t *testing.T) {
	for _, gap := range []float64{0.1, 0.2, 0.3, 0.5} {
		_, leak := section{n: 20, columns: 20 * 4, bared: nowhere, openEnd: true,
			plenum: func(x float64) bool { return x > gap }}.extrapolated()
		if got := layer.FullLossWidth + layer.RimLeak(gap); got < 0.99*leak || got > 1.1*leak {
			t.Errorf("plenum from %g t on: the section leaks %.4f t, the model takes %.4f t", gap, leak, got)
		}
	}
}

// Lands between two grooves with a kerf in the middle of the land, against the section, wherever groove and kerf lie in
// the air cells and however coarse these are: the air has to come sideways through the layer, so much less of it leaks
// than over a plenum, and much more hold is lost.
func TestKerfOnALand(t *testing.T) {
	for _, row := range []struct{ thickness, land, kerf, leaks, loses float64 }{{0.75, 15, 6, 1.1, 1.06},
		{1, 15, 3, 1.1, 1.06}, {3, 15, 3, 1.3, 1.2}, {18, 60, 6, 1.65, 1.35}} {
		outer := row.land/2/row.thickness + 2
		lostExact, leakExact := section{n: 8, columns: int(8 * 2 * outer), plenum: func(x float64) bool {
			return math.Abs(x-outer) > row.land/2/row.thickness
		}, bared: func(x float64) bool { return math.Abs(x-outer) < row.kerf/2/row.thickness }}.extrapolated()
		for _, airMM := range []float64{0.5, 1, 2, 2.5} {
			for asideMM := 0.0; asideMM < airMM; asideMM += 0.5 {
				lost, leak := kerfOnLand(t, row.thickness, row.land, row.kerf, airMM, asideMM)
				if over := leak / (leakExact * row.thickness); over < 0.99 || over > row.leaks {
					t.Errorf("%+v, cells of %g mm, %g aside: leak is %.3f of the section's", row, airMM, asideMM, over)
				}
				if over := lost / (lostExact * row.thickness); over < 0.99 || over > row.loses {
					t.Errorf("%+v, cells of %g mm, %g aside: lost hold is %.3f of the section's", row, airMM, asideMM,
						over)
				}
			}
		}
	}
}

// kerfOnLand gives the hold that the model loses beside such a kerf and what leaks there, both as widths in mm, with
// air cells that begin some way aside of the sheet.
func kerfOnLand(t *testing.T, thickness, land, kerf, airMM, asideMM float64) (lost, leak float64) {
	t.Helper()
	const high, groove = 20, 60
	wide := land + 2*groove
	s := sheettest.NewIn(wide, high, asideMM, 0, 0.5)
	s.CutWhere(1, func(x, y float64) bool { return math.Abs(x-wide/2) < kerf/2 })
	m := mustModel(t, s, Options{CellMM: airMM, Tol: 1e-9}, func(j *testJob) {
		j.Layer.ThicknessMM = thickness
		j.Layer.Edge = job.SealedEdge
		left, right := j.Zones[0], j.Zones[0]
		left.Area, right.Area = sheettest.Box(0, 0, groove, high), sheettest.Box(wide-groove, 0, wide, high)
		j.Zones = []job.Zone{left, right}
	})
	advance(t, m, 1)
	return lostWidth(m, high), m.leak().ConductanceM3 / (3e-13 / (thickness * 1e-3)) * 1e6 / high
}

// lostWidth is the sum of 1-w over all that is covered, on zones or not, over the height of the sheet.
func lostWidth(m *Model, high float64) float64 {
	lost := 0.0
	for i := range m.air.Groups {
		if g := &m.air.Groups[i]; g.Support.OnLayer() {
			lost += (1 - m.field.Transmission(int(g.Cell))) * float64(g.Area) * m.air.FineMM * m.air.FineMM
		}
	}
	return lost / high
}

// A part of which half a millimeter of a groove lies under the edge, beside the cut: the groove gives less there than
// one that goes on. Coarse cells against cells of an eighth of a millimeter, which tell it apart.
func TestSliverOfAGrooveUnderAPart(t *testing.T) {
	hold := func(airMM float64) float64 {
		s := sheettest.New(50, 50, 0, 0.125)
		part := sheettest.Box(12, 14, 36, 38)
		s.CutWhere(1, func(x, y float64) bool {
			far := math.Max(math.Abs(x-24), math.Abs(y-26))
			return far > 12 && far < 18
		})
		m := mustModel(t, s, Options{CellMM: airMM}, func(j *testJob) {
			j.Layer.ThicknessMM, j.Layer.Edge = 0.75, job.SealedEdge
			j.Zones[0].Groove = &job.Groove{PitchMM: 20, WidthMM: 5}
		})
		advance(t, m, 1)
		sum := 0.0
		for _, p := range m.PatchesWithin(orb.MultiPolygon{part}) {
			sum += p.AreaMM2 * 1e-6 * gas.DifferencePa(101325, 2000, p.W)
		}
		return sum
	}
	fine := hold(0.125)
	for _, airMM := range []float64{0.5, 0.75, 1, 1.5, 2, 2.5} {
		got := hold(airMM)
		if got > 1.035*fine || got < 0.96*fine {
			t.Errorf("cells of %g mm: %.2f N, fine %.2f N", airMM, got, fine)
		}
	}
}
