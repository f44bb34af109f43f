package gas

import (
	"math"
	"testing"
)

func closeTo(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %.9g, want %.9g within %g relative", what, got, want, relative)
	}
}

// Isentropic nozzle flow, closed form, tabled for 1 mm2, discharge coefficient 1, 101325 Pa and 293.15 K upstream.
func TestOrificeFollowsTheNozzleLaw(t *testing.T) {
	const source = "isentropic nozzle flow, closed form"
	for _, row := range []struct{ p2Pa, kgS, freeM3h float64 }{
		{95000, 1.19219e-4, 0.3564},
		{90000, 1.54944e-4, 0.4632},
		{80000, 1.99457e-4, 0.5963},
		{70000, 2.24705e-4, 0.6718},
		{60000, 2.37011e-4, 0.7086},
		{53528, 2.39172e-4, 0.7151},
		{20000, 2.39172e-4, 0.7151},
		{0, 2.39172e-4, 0.7151},
	} {
		m := OrificeKgS(1e-6, 101325, row.p2Pa, 293.15)
		closeTo(t, source+", kg/s", m, row.kgS, 1e-4)
		closeTo(t, source+", m3/h", FreeAirM3h(m, 101325), row.freeM3h, 2e-4)
	}
	if m := OrificeKgS(1e-6, 101325, 101325, 293.15); m != 0 {
		t.Errorf("flow without a pressure difference: %g", m)
	}
	if m := OrificeKgS(1e-6, 90000, 101325, 293.15); m != 0 {
		t.Errorf("flow against the pressure: %g", m)
	}
}

// Choked holes in free air at 101325 Pa. Source: isentropic nozzle flow, closed form.
func TestChokedHoles(t *testing.T) {
	for _, row := range []struct{ diameterMM, cd1, cd061 float64 }{
		{1, 0.5616, 0.3426}, {2, 2.2465, 1.3703}, {3, 5.0545, 3.0833}, {5, 14.040, 8.565}, {6, 20.218, 12.333},
	} {
		area := math.Pi / 4 * row.diameterMM * row.diameterMM * 1e-6
		closeTo(t, "Cd 1", FreeAirM3h(OrificeKgS(area, 101325, 20000, 293.15), 101325), row.cd1, 1e-4)
		closeTo(t, "Cd 0.61", FreeAirM3h(OrificeKgS(0.61*area, 101325, 20000, 293.15), 101325), row.cd061, 1e-4)
		closeTo(t, "area of the choked flow", ChokedAreaM2(row.cd1), area, 1e-4)
	}
}

// ISO 6358 with b = 0.5282817 lies within 0.31 % of the nozzle law: an independent formula for the same flow.
func TestOrificeAgreesWithISO6358(t *testing.T) {
	const b, c, rho0 = 0.5282817, 0.19921e-8, 1.185
	for r := 0.05; r < 0.999; r += 0.01 {
		shape := 1.0
		if r > b {
			shape = math.Sqrt(1 - (r-b)/(1-b)*(r-b)/(1-b))
		}
		closeTo(t, "ISO 6358", OrificeKgS(1e-6, 101325, 101325*r, 293.15), c*rho0*101325*shape, 0.005)
	}
}

// Compressible Darcy flow, closed form: m” = k (p1^2 - p2^2)/(2 mu R T t).
func TestFlowThroughTheLayer(t *testing.T) {
	for _, row := range []struct{ k, tMM, kgSM2, freeM3hM2 float64 }{
		{1e-13, 12, 2.55816e-2, 76.483},
		{6.26e-13, 12, 1.60141e-1, 478.78},
		{0.38e-13, 12, 9.72102e-3, 29.064},
		{1e-14, 0.75, 4.09306e-2, 122.37},
		{1e-12, 0.75, 4.09306, 12237},
	} {
		m := LayerKgS(row.k/(row.tMM*1e-3), 101325, 30000)
		closeTo(t, "mass flow per m2", m, row.kgSM2, 1e-4)
		closeTo(t, "free air per m2", FreeAirM3h(m, 101325), row.freeM3hM2, 1e-4)
	}
}

// The middle of a layer between 101325 Pa and 30000 Pa stands at sqrt((p1^2 + p2^2)/2) = 74722.0 Pa. Source: closed
// form.
func TestDifferenceInTheSquare(t *testing.T) {
	closeTo(t, "middle of the layer", 101325-DifferencePa(101325, 30000, 0.5), 74722.0, 1e-6)
	closeTo(t, "full vacuum", DifferencePa(101325, 30000, 1), 71325, 1e-12)
	if d := DifferencePa(101325, 30000, 0); d != 0 {
		t.Errorf("no vacuum passed on, but %g Pa", d)
	}
	if d := DifferencePa(101325, 0, 1); d != 101325 {
		t.Errorf("perfect vacuum gives %g Pa", d)
	}
}
