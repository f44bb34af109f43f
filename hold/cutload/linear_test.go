package cutload

import (
	"fmt"
	"math"
	"testing"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/internal/testrun"
)

// linearWork is a material with the law Ktc h + Kte.
func linearWork(ktc, kte float64) material.Work {
	w := bare(ktc, 0)
	w.Edge = material.Exact(kte, "")
	return w
}

// turned makes a mill from forces along, outwards and up, of a chip of 1 mm and of the edge, whatever the helix.
func turned(work material.Work, chip, edge weights, cut Cut, tool job.Tool, perTooth float64) *mill {
	l := lawOf(work, tool)
	l.chip = weights{1, chip.radial / chip.tangential, chip.lift / chip.tangential}
	l.edge = weights{1, edge.radial / edge.tangential, edge.lift / edge.tangential}
	m := newMill(l, feed{perTooth: perTooth, teeth: tool.Flutes}, tool, cut)
	for i := range m.bands {
		m.bands[i].lift = 1
	}
	return &m
}

// Coefficients: Chinese J. Mech. Eng. (2021), doi 10.1186/s10033-021-00536-9, Table 5; N/mm2 and N/mm.
var (
	chip6082 = weights{631, 99, 273}
	edge6082 = weights{13, 10, 2.8}
	chip7075 = weights{767.01, 168.8, 222}
	edge7075 = weights{27.7, 26.6, 0.7}
)

// Means over a turn from the textbook Manufacturing Automation, ch. 2 (from memory; confirmed by direct summation).
// They are forces on the tool with x along the feed, y to its left and the angle clockwise from y; on the workpiece all
// signs turn, and the force along the axis lifts.
func TestLinearEdgeMeans(t *testing.T) {
	deg := math.Pi / 180
	for _, c := range []struct {
		name         string
		chip, edge   weights
		z            int
		depth, feed  float64
		start, exit  float64 // degrees, clockwise from the left of the feed
		x, y, z3     float64
		peak, peak30 float64 // XY peak without and with a helix of 30 degrees; 0: not published
	}{
		{"6082 slot, 2 flutes", chip6082, edge6082, 2, 3, 0.05, 0, 180, -26.524, 72.153, 34.470, 140.97, 140.16},
		{"6082 slot, 4 flutes", chip6082, edge6082, 4, 2, 0.1, 0, 180, -45.265, 159.304, 80.719, 174.13, 174.06},
		{"7075 slot, 2 flutes", chip7075, edge7075, 2, 3, 0.05, 0, 180, -63.462, 110.429, 23.299, 224.31, 223.14},
		{"7075 slot, 4 flutes", chip7075, edge7075, 4, 2, 0.1, 0, 180, -101.496, 223.939, 59.332, 265.70, 265.53},
		{"6082 up", chip6082, edge6082, 2, 5, 0.05, 0, 33.557, -22.254, -3.413, 6.231, 0, 0},
		{"6082 down", chip6082, edge6082, 2, 5, 0.05, 146.443, 180, 15.963, 16.589, 6.231, 0, 0},
	} {
		for _, helix := range []float64{0, 30} {
			t.Run(fmt.Sprintf("%s, helix %g", c.name, helix), func(t *testing.T) {
				tool := endMill(12, c.z)
				tool.HelixRad = helix * deg
				cut := Cut{RightRad: (90 - c.exit) * deg, LeftRad: (90 - c.start) * deg, DepthMM: c.depth}
				m := turned(linearWork(c.chip.tangential, c.edge.tangential), c.chip, c.edge, cut, tool, c.feed)
				var load Load
				m.mean(&load)
				near(t, "ahead", load.Mean.Ahead, -c.x, 2e-3)
				near(t, "left", load.Mean.Left, -c.y, 2e-3)
				near(t, "up", load.Mean.Up, c.z3, 2e-3)

				// The mean over many rotor angles must be the same: it does not depend on the helix.
				var sumA, sumL, sumU float64
				const n = 7200
				for i := 0; i < n; i++ {
					s, _ := m.moment(2 * math.Pi * (float64(i) + 0.5) / n)
					sumA += s.force.Ahead / n
					sumL += s.force.Left / n
					sumU += s.force.Up / n
				}
				near(t, "ahead, summed", sumA, -c.x, 0.05)
				near(t, "left, summed", sumL, -c.y, 0.05)
				near(t, "up, summed", sumU, c.z3, 0.05)

				m.turn(&load)
				want := c.peak
				if helix == 30 {
					want = c.peak30
				}
				if want != 0 && math.Abs(load.Peak/want-1) > 1e-3 {
					t.Errorf("peak %.3f, published %.3f", load.Peak, want)
				}
			})
		}
	}
}

// direct sums a cut the slow and obvious way: slices of edge, each with its own angle, at finely spaced rotor angles.
// It shares nothing with the running integrals. The law is 13 N/mm of edge and the line from there that touches 700
// h^0.75, at h = (13/(0.25 x 700))^(4/3) = 0.03123 mm with a slope of 1248.9 N/mm2, and that curve beyond.
func direct(chip, edge weights, feed, right, left, d, depth, helixRad float64, z int) (peak, up float64, mean Force) {
	slices, angles := 1, 20000
	if helixRad != 0 {
		slices, angles = 200+int(depth*30), 1200
	}
	dz, tan := depth/float64(slices), math.Tan(helixRad)
	angles /= z // over one pitch of the flutes, behind which all comes again
	for i := 0; i < angles; i++ {
		var f Force
		for k := 0; k < z; k++ {
			for j := 0; j < slices; j++ {
				phi := 2*math.Pi*(float64(i)/float64(angles)+float64(k))/float64(z) +
					(float64(j)+0.5)*dz*tan/(d/2) - right
				phi -= 2 * math.Pi * math.Floor(phi/(2*math.Pi))
				if phi += right; phi > left {
					continue
				}
				sin, cos := math.Sincos(phi)
				h := math.Max(0, feed*cos)
				of := 1248.9 * h / 700
				if h > 0.03123 {
					of = math.Pow(h, 0.75) - 13.0/700
				}
				ft, fr, fa := (chip.tangential*of+edge.tangential)*dz, (chip.radial*of+edge.radial)*dz,
					(chip.lift*of+edge.lift)*dz
				f.Ahead += ft*sin + fr*cos
				f.Left += -ft*cos + fr*sin
				f.Up += fa
			}
		}
		peak = math.Max(peak, f.Horizontal())
		up = math.Max(up, f.Up)
		mean.Ahead += f.Ahead / float64(angles)
		mean.Left += f.Left / float64(angles)
		mean.Up += f.Up / float64(angles)
	}
	return peak, up, mean
}

// The chosen rotor angles and bands must be fine enough: peaks within 1 % of the direct sum, means within 0.5 %.
func TestSumsHaveConverged(t *testing.T) {
	testrun.NotForRaces(t)
	for _, z := range []int{1, 2, 5} {
		for _, helix := range []float64{-0.5, 0, 0.8} {
			for _, arc := range [][2]float64{{-math.Pi / 2, math.Pi / 2}, {0.3, math.Pi / 2}, {-math.Pi / 2, -1.1},
				{-0.9, 0.4}} {
				for _, depth := range []float64{0.5, 6, 30} {
					if depth == 30 && z != 2 {
						continue // one number of flutes is enough for flutes that trail by more than a turn
					}
					name := fmt.Sprintf("z %d, helix %.1f, arc %.1f, depth %g", z, helix, arc, depth)
					chip, edge := weights{700, 210, 400}, weights{13, 13, 7}
					wantPeak, wantUp, wantMean := direct(chip, edge, 0.08, arc[0], arc[1], 6, depth, helix, z)
					tool := endMill(6, z)
					tool.HelixRad = helix
					work := bare(700, 0.25)
					work.Edge.Likely = 13
					m := turned(work, chip, edge, Cut{RightRad: arc[0], LeftRad: arc[1], DepthMM: depth}, tool, 0.08)
					var load Load
					m.mean(&load)
					m.turn(&load)
					near(t, name+": peak", load.Peak, wantPeak, 0.01*wantPeak)
					near(t, name+": lift", load.UpN, wantUp, 0.01*wantUp)
					size := math.Hypot(wantMean.Horizontal(), wantMean.Up)
					near(t, name+": mean ahead", load.Mean.Ahead, wantMean.Ahead, 0.015*size)
					near(t, name+": mean left", load.Mean.Left, wantMean.Left, 0.015*size)
					near(t, name+": mean up", load.Mean.Up, wantMean.Up, 0.015*size)
				}
			}
		}
	}
}

// Two laws fitted by different people to similar alloys agree within half: Kienzle with the group table's aluminium
// (700, 0.25) against the linear-edge set for 6082, whose mean tangential force in the slot D 6, z 2, ap 3, fz 0.05 is
// (2/pi Ktc c + Kte) a = 99.3 N.
func TestLawsAgreeWithinHalf(t *testing.T) {
	load, err := Cutting(bare(700, 0.25), endMill(6, 2), side(6, 6, 3, 1800, 18000))
	if err != nil {
		t.Fatal(err)
	}
	ratio := 99.3 / (math.Abs(load.MeanTorqueNmm) / 3)
	if ratio < 0.5 || ratio > 1.5 {
		t.Errorf("linear-edge over Kienzle %.2f", ratio)
	}
}
