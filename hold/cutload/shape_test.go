package cutload

import (
	"math"
	"testing"

	"staydown/hold/job"
	"staydown/sweep"
)

// half is the integral of sin^p over a quarter turn: sqrt(pi) gamma((p+1)/2)/(2 gamma(p/2+1)) (Wallis).
func half(p float64) float64 {
	return math.SqrtPi / 2 * math.Gamma((p+1)/2) / math.Gamma(p/2+1)
}

// What the bands of each shape add up to, against plane geometry: edge length of a quarter circle R pi/2, of a cone
// h/cos(half angle); first moment of the edge about the axis R^2 and h^2 tan/(2 cos); what a chip force of sin(kappa)^p
// adds up to, R times Wallis' integral and h/cos cos^p.
func TestBandsAddUp(t *testing.T) {
	const p = 0.75
	half60 := math.Pi / 6
	for _, c := range []struct {
		name               string
		tool               sweep.Tool
		low, high          float64
		edge, chip, moment float64
	}{
		{"flat", sweep.Tool{Shape: sweep.Flat, DiameterMM: 6}, 1, 5, 4, 4, 12},
		{"ball to its equator", sweep.Tool{Shape: sweep.Ball, DiameterMM: 6}, 0, 3, 1.5 * math.Pi, 3 * half(p), 9},
		{"ball with shank", sweep.Tool{Shape: sweep.Ball, DiameterMM: 6}, 0, 5, 1.5*math.Pi + 2, 3*half(p) + 2, 9 + 6},
		{"bull corner", sweep.Tool{Shape: sweep.Bull, DiameterMM: 10, CornerMM: 2}, 0, 2, math.Pi, 2 * half(p),
			3*math.Pi + 4},
		{"bull without corner", sweep.Tool{Shape: sweep.Bull, DiameterMM: 10}, 0, 2, 2, 2, 10},
		{"vee of 60 degrees", sweep.Tool{Shape: sweep.Vee, DiameterMM: 10, AngleRad: 2 * half60}, 0, 4,
			4 / math.Cos(half60), 4 / math.Cos(half60) * math.Pow(math.Cos(half60), p),
			8 * math.Tan(half60) / math.Cos(half60)},
		{"vee with shank", sweep.Tool{Shape: sweep.Vee, DiameterMM: 4, AngleRad: math.Pi / 2}, 0, 5,
			2*math.Sqrt2 + 3, 2*math.Sqrt2*math.Pow(math.Sqrt2/2, p) + 3, 2*math.Sqrt2 + 6},
	} {
		var edge, chip, moment, last float64
		last = c.low
		for _, b := range bands(job.Tool{Tool: c.tool}, c.low, c.high) {
			near(t, c.name+": bands follow each other", b.low, last, 1e-9)
			last = b.high
			edge += b.edge
			chip += b.edge * math.Pow(b.sin, p)
			moment += b.edge * b.radius
		}
		near(t, c.name+": end", last, c.high, 1e-9)
		near(t, c.name+": edge", edge, c.edge, 1e-9*c.edge)
		near(t, c.name+": chip", chip, c.chip, 2e-3*c.chip)
		near(t, c.name+": moment", moment, c.moment, 2e-3*c.moment)
	}
}

// A ball that cuts a slot to its equator with a linear law, h = c cos(phi) sin(kappa): mean tangential force and torque
// in closed form. The chip part of a slice is that of a cylinder, Ktc c dz; the radii of the slices add up to a quarter
// circle, pi R^2/4. The edge part is Kte per length, R pi/2 in all, with the first moment R^2. Over the turn the chip
// takes 2 and the edge pi of 2 pi.
func TestBallSlotInClosedForm(t *testing.T) {
	const (
		r, z, c  = 3.0, 2, 0.05
		ktc, kte = 631.0, 13.0
	)
	l := lawOf(linearWork(ktc, kte), job.Tool{})
	l.chip.radial, l.edge.radial = 0, 0
	ball := job.Tool{Tool: sweep.Tool{Shape: sweep.Ball, DiameterMM: 2 * r}}
	m := newMill(l, feed{perTooth: c, teeth: z}, ball, Cut{RightRad: -math.Pi / 2, LeftRad: math.Pi / 2, DepthMM: r})
	var load Load
	m.mean(&load)
	want := z / (2 * math.Pi) * (ktc*c*2*math.Pi*r*r/4 + kte*math.Pi*r*r)
	near(t, "torque", -load.MeanTorqueNmm, want, 2e-3*want)
	// Tangential force along the feed's left: -Ktc c pi/2 times R and -Kte 2 times R pi/2.
	left := -z / (2 * math.Pi) * (ktc*c*math.Pi/2*r + kte*2*r*math.Pi/2)
	near(t, "left", load.Mean.Left, left, 2e-3*-left)
}

// The radial force of a ball also presses down: with a linear law and kappa from 0 to pi/2 its edge part is
// Kre R times the integral of cos(kappa), that is Kre R, over half the turn.
func TestBallPressesDown(t *testing.T) {
	l := lawOf(linearWork(1e-9, 13), job.Tool{})
	l.edge.radial = 10.0 / 13
	ball := job.Tool{Tool: sweep.Tool{Shape: sweep.Ball, DiameterMM: 6}}
	m := newMill(l, feed{perTooth: 0.05, teeth: 2}, ball, Cut{RightRad: -math.Pi / 2, LeftRad: math.Pi / 2, DepthMM: 3})
	var load Load
	m.mean(&load)
	want := 2.0 / 2 * 10 * 3
	near(t, "pressing, not counted", load.PressedN, (1-pressCredit)*want, 2e-3*want)
	near(t, "pressing, counted", -load.Mean.Up, pressCredit*want, 1e-3*want)
	m.turn(&load)
	if load.DownN < want {
		t.Errorf("largest downward force %.2f below the mean %.2f", load.DownN, want)
	}
}

// The height of a force that is spread evenly over a wall is the middle of the wall; straight flutes, closed form.
func TestHeightOfAWall(t *testing.T) {
	cut := side(6, 2, 5, 1800, 18000)
	cut.TipGapMM = 1.5
	load, err := Cutting(bare(700, 0.25), endMill(6, 2), cut)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "height", load.HeightMM, 1.5+2.5, 1e-9)
}
