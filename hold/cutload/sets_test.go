package cutload

import (
	"math"
	"slices"
	"testing"

	"staydown/hold/material"
)

// set is one measured set of cutting force coefficients, N/mm2 and N/mm.
type set struct {
	alloy      string
	chip, edge weights // tangential, radial, axial; axial 0: not measured
}

// Chinese J. Mech. Eng. (2021), doi 10.1186/s10033-021-00536-9, Table 5, carbide unless said. The columns of AlMgSi0.5
// are printed in another order (561.2, 204.3, 194.4, 16.2, 6.7, 2.2 under Ktc, Kte, Krc, Kre, Kac, Kae); read as Ktc,
// Krc, Kac, Kte, Kre, Kae they lie beside the others.
var (
	sheetSets = []set{
		{"6082-T6", weights{631, 99, 273}, weights{13, 10, 2.8}},
		{"AlMgSi0.5", weights{561.2, 204.3, 194.4}, weights{16.2, 6.7, 2.2}},
		{"6061-T6", weights{243.77, 113.5, 0}, weights{7.53, 7.83, 0}},
	}
	highStrengthSets = []set{
		{"7075-T6", weights{767.01, 168.8, 222}, weights{27.7, 26.6, 0.7}},
		{"7075-T6, another author", weights{600.46, 180.96, 0}, weights{17.9, 20.42, 0}},
		{"7075, high-speed steel", weights{951.365, 262.597, 323.33}, weights{11.115, 11.314, 1.105}},
		{"7075", weights{1319.41, 788.83, 48.75}, weights{19.65, 26.77, 2.05}},
	}
)

// slotPeak is the largest horizontal force of a straight tooth in a slot of 1 mm depth: where the chip is thickest.
func (s set) slotPeak(fz float64) float64 {
	return math.Hypot(s.chip.tangential*fz+s.edge.tangential, s.chip.radial*fz+s.edge.radial)
}

func median(v []float64) float64 {
	slices.Sort(v)
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}

// Slot peaks of the built-in classes between 0.005 and 0.1 mm of chip. The likely one lies within 20 % of the median of
// the sets of its class, for sheet alloys and where the alloy is not known of 6082-T6 and AlMgSi0.5 themselves; the
// high one above all of them, the low one below. 6061-T6 was measured at half of its neighbors by an author whose 7075
// is the lowest of four as well, and the four of 7075 lie apart by a factor of two: no law lies within 20 % of all of a
// class.
func TestAluminiumAgainstMeasuredSets(t *testing.T) {
	for _, c := range []struct {
		class string
		sets  []set
		near  []string // within 20 % by themselves
	}{
		{"aluminium-sheet", sheetSets, []string{"6082-T6", "AlMgSi0.5"}},
		{"aluminium-high-strength", highStrengthSets, nil},
		{"aluminium-wrought", slices.Concat(sheetSets, highStrengthSets), []string{"6082-T6", "AlMgSi0.5"}},
	} {
		work, ok := material.WorkNamed(c.class)
		if !ok {
			t.Errorf("no %s", c.class)
			continue
		}
		for fz := 0.005; fz <= 0.1001; fz += 0.005 {
			cut := side(6, 6, 1, fz*2*10000, 10000)
			likely := peakOf(t, work, cut)
			low, high := work, work
			low.KC11.Likely, low.Edge.Likely = work.KC11.Low, work.Edge.Low
			low.Radial.Likely, low.EdgeRadial.Likely = work.Radial.Low, work.EdgeRadial.Low
			high.KC11.Likely, high.Edge.Likely = work.KC11.High, work.Edge.High
			high.Radial.Likely, high.EdgeRadial.Likely = work.Radial.High, work.EdgeRadial.High
			least, most := peakOf(t, low, cut), peakOf(t, high, cut)
			var peaks []float64
			for _, s := range c.sets {
				peak := s.slotPeak(fz)
				peaks = append(peaks, peak)
				if most < peak || least > peak {
					t.Errorf("%s at %.3f mm: %.1f to %.1f N, %s measured %.1f N", c.class, fz, least, most, s.alloy,
						peak)
				}
				if slices.Contains(c.near, s.alloy) && math.Abs(likely/peak-1) > 0.2 {
					t.Errorf("%s at %.3f mm: likely %.1f N, %s measured %.1f N", c.class, fz, likely, s.alloy, peak)
				}
			}
			if m := median(peaks); math.Abs(likely/m-1) > 0.2 {
				t.Errorf("%s at %.3f mm: likely %.1f N, median of the sets %.1f N", c.class, fz, likely, m)
			}
		}
	}
}

func peakOf(t *testing.T, work material.Work, cut Cut) float64 {
	t.Helper()
	load, err := Cutting(work, endMill(6, 2), cut)
	if err != nil {
		t.Fatal(err)
	}
	return load.Peak
}

// Mean lift of a slot against the sets that measured it, Fz = N a (Kac c/pi + Kae/2) (Manufacturing Automation, ch. 2,
// from memory), at a helix of 30 degrees: within 35 % for sheet alloys, below 1.6 times and above 0.2 times the largest
// for high-strength ones, whose sets lie apart by a factor of six.
func TestLiftAgainstMeasuredSets(t *testing.T) {
	for _, c := range []struct {
		class     string
		sets      []set
		low, high float64
	}{
		{"aluminium-sheet", sheetSets[:2], 0.65, 1.35},
		{"aluminium-high-strength", []set{highStrengthSets[0], highStrengthSets[2]}, 0.65, 1.6},
	} {
		work, _ := material.WorkNamed(c.class)
		tool := endMill(6, 2)
		tool.HelixRad = math.Pi / 6
		for _, fz := range []float64{0.02, 0.05, 0.1} {
			load, err := Cutting(work, tool, side(6, 6, 3, fz*2*10000, 10000))
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range c.sets {
				want := 2 * 3 * (s.chip.lift*fz/math.Pi + s.edge.lift/2)
				if r := load.Mean.Up / want; r < c.low || r > c.high {
					t.Errorf("%s at %.2f mm: lift %.1f N, %s measured %.1f N", c.class, fz, load.Mean.Up, s.alloy, want)
				}
			}
		}
	}
}

// Particleboard, D 12, z 2, ap 18, 18000 1/min: mean specific force 32.0 (slow) to 37.6 N/mm2 (fast) (Materials 14
// (2021) 2208), which at 0.3 mm per tooth are 1.244 and 1.462 kW. The chips of that test are not known; at half and
// twice the feed the mean stays within 15 % of it.
func TestParticleboardTakesTheMeasuredPower(t *testing.T) {
	work, _ := material.WorkNamed("particleboard")
	for _, row := range []struct{ fz, low, high float64 }{{0.3, 32.0, 37.6}, {0.15, 0.85 * 34.8, 1.15 * 34.8},
		{0.6, 0.85 * 34.8, 1.15 * 34.8}} {
		feed := row.fz * 2 * 18000
		load, err := Cutting(work, endMill(12, 2), side(12, 12, 18, feed, 18000))
		if err != nil {
			t.Fatal(err)
		}
		if kc := load.PowerW * 60e3 / (18 * 12 * feed); kc < row.low || kc > row.high {
			t.Errorf("%.2f mm per tooth: mean specific force %.1f N/mm2, measured %.1f to %.1f", row.fz, kc, row.low,
				row.high)
		}
	}
}

// The force does not go to zero with the chip: what rubs presses with the edge force of its material.
func TestForceAtNoChip(t *testing.T) {
	for _, work := range material.Works() {
		load, err := Cutting(work, endMill(6, 2), side(6, 6, 1, 2*1e-4*10000, 10000))
		if err != nil {
			t.Fatal(err)
		}
		if load.Peak < work.Edge.Likely || load.Peak > 1.6*work.Edge.Likely {
			t.Errorf("%s: %.2f N/mm at a chip of 0.1 um, edge force %.2f N/mm", work.Name, load.Peak, work.Edge.Likely)
		}
	}
}
