package units

import (
	"math"
	"testing"
)

// NIST SP 811 (2008), appendix B.8: what one inch-pound unit is in units of the SI, to the digits of the table.
func TestSizesAgainstTable(t *testing.T) {
	for _, c := range []struct {
		name   string
		unit   Unit
		want   float64 // in the unit that the packages carry
		source string
	}{
		{"in", Inch.Length(), 25.4, "inch 2.54 E-02 m, exact"},
		{"ft", Inch.Path(), 304.8, "foot 3.048 E-01 m, exact"},
		{"in2", Inch.Area(), 645.16, "square inch 6.4516 E-04 m2, exact"},
		{"lbf", Inch.Force(), 4.448222, "pound-force 4.448222 E+00 N"},
		{"lbf in", Inch.Moment(), 112.9848, "pound-force inch 1.129848 E-01 N m"},
		{"inHg", Inch.Pressure(), 3.386389, "inch of mercury, conventional 3.386389 E+03 Pa"},
		{"inHg", Inch.Absolute(), 3.386389, "the same"},
		{"psi", Inch.Stress(), 6.894757, "pound-force per square inch 6.894757 E+03 Pa"},
		{"cfm", Inch.Flow(), 1.6990106, "cubic foot per minute 4.719474 E-04 m3/s, times 3600"},
		{"in/min", Inch.Feed(), 25.4, "inch"},
		{"ft/min", Inch.CuttingSpeed(), 304.8, "foot"},
		{"cm2", Metric.TableArea(), 100, "by definition"},
		{"mbar", Metric.Absolute(), 0.1, "millibar 1.0 E+02 Pa, exact"},
		{"m/min", Metric.Rapid(), 1000, "by definition"},
		{"N m", Metric.Moment(), 1000, "by definition"},
	} {
		if math.Abs(c.unit.Size-c.want) > 3e-7*c.want || c.unit.Name != c.name {
			t.Errorf("%s is %.9g, want %s %.9g (%s)", c.unit.Name, c.unit.Size, c.name, c.want, c.source)
		}
		if got := c.unit.In(7 * c.want); math.Abs(got-7) > 2e-6 {
			t.Errorf("%s: 7 of them are %g", c.name, got)
		}
	}
}

// Worked by hand with the factors above.
func TestFiguresAsPeopleReadThem(t *testing.T) {
	for _, c := range []struct{ got, want, how string }{
		{Metric.Length().Text(6.35), "6.35 mm", ""},
		{Inch.Length().Text(6.35), "0.25 in", "6.35 / 25.4"},
		{Inch.Length().Text(1), "0.0394 in", "1 / 25.4 = 0.03937"},
		{Unchosen.Length().Text(0.1), "0.1 mm", "nothing is chosen"},
		{Metric.Length().Text(-0.0001), "0 mm", "no minus before zero"},
		{Metric.Depth().Text(0.3), "0.30 mm", ""},
		{Inch.Depth().Text(0.3), "0.012 in", "0.3 / 25.4 = 0.01181"},
		{Inch.Path().Text(3070), "10.1 ft", "3070 / 304.8 = 10.07"},
		{Inch.Area().Text(3200), "4.960 in2", "3200 / 645.16 = 4.9600"},
		{Metric.Force().Text(249.3), "249 N", ""},
		{Metric.Force().Text(9.94), "9.9 N", ""},
		{Inch.Force().Text(249.3), "56 lbf", "249.3 / 4.44822 = 56.04"},
		{Inch.Force().Text(30.6), "6.9 lbf", "30.6 / 4.44822 = 6.879"},
		{Metric.Pressure().Text(86.4), "86.4 kPa", ""},
		{Inch.Pressure().Text(86.4), "25.5 inHg", "86.4 / 3.386389 = 25.51"},
		{Inch.Pressure().Up(86.4), "25.6 inHg", "the same, upward"},
		{Inch.Pressure().Down(86.9), "25.6 inHg", "86.9 / 3.386389 = 25.66, downward"},
		{Metric.Pressure().Up(15.3), "15.3 kPa", "on the step already"},
		{Metric.Pressure().Up(15.31), "15.4 kPa", ""},
		{Metric.Flow().Text(10.12), "10.1 m3/h", ""},
		{Metric.Flow().Text(630), "630 m3/h", ""},
		{Metric.Flow().Text(0.1364), "0.136 m3/h", ""},
		{Inch.Flow().Text(63), "37.1 cfm", "63 / 1.69901 = 37.08"},
		{Inch.Flow().Text(0), "0 cfm", ""},
		{Inch.Feed().Text(1270), "50 in/min", "1270 / 25.4"},
		{Inch.CuttingSpeed().Text(120000), "394 ft/min", "120000 / 304.8 = 393.7"},
		{Metric.Absolute().Text(1.013), "10.13 mbar", ""},
		{Inch.Rapid().Text(10000), "394 in/min", "10000 / 25.4 = 393.7"},
		{Metric.Spot(467.6, 32.4), "X468 Y32", ""},
		{Metric.Spot(-0.2, 0), "X0 Y0", ""},
		{Inch.Spot(467.6, 32.4), "X18.41 Y1.28", "467.6 / 25.4 = 18.409, 32.4 / 25.4 = 1.276"},
		{Metric.Size(60, 9.6), "60 x 9.6 mm", ""},
		{Inch.Size(60, 40), "2.36 x 1.57 in", "60 / 25.4 = 2.362, 40 / 25.4 = 1.575"},
		{Metric.Force().Text(math.NaN()), "unknown", "not known"},
	} {
		if c.got != c.want {
			t.Errorf("%s, want %s (%s)", c.got, c.want, c.how)
		}
	}
}

func TestStatementIsWrittenInBothSystems(t *testing.T) {
	all := Statements{{"a layer of %s for tool %d", []any{Figure{Length, 12.7}, 3}}}
	for system, want := range map[System]string{
		Metric: "a layer of 12.7 mm for tool 3",
		Inch:   "a layer of 0.5 in for tool 3",
	} {
		if got := all.In(system); len(got) != 1 || got[0] != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// By hand: 476 m3/h over 1.699011 (NIST SP 811 B.8, cubic foot per minute) is 280.2 cfm, 654 is 384.9.
func TestSpreadIsWrittenInBothSystems(t *testing.T) {
	s := Statement{"%s to %s", []any{Spread{Figure{Flow, 476}, true}, Spread{Figure{Flow, 654}, false}}}
	for system, want := range map[System]string{Metric: "476 to 654 m3/h", Inch: "280 to 385 cfm"} {
		if got := s.In(system); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestNamed(t *testing.T) {
	for word, want := range map[string]System{"metric": Metric, "inch": Inch} {
		if got, ok := Named(word); !ok || got != want {
			t.Errorf("%s: %v %v", word, got, ok)
		}
	}
	if _, ok := Named("furlong"); ok {
		t.Error("a system of furlongs")
	}
	if Unchosen.Or(Inch) != Inch || Metric.Or(Inch) != Metric {
		t.Error("what is chosen goes first")
	}
}

// Significant digits by hand.
func TestDigits(t *testing.T) {
	for _, c := range []struct {
		x          float64
		digits     int
		want, step float64
	}{{1234, 2, 1200, 100}, {0.04567, 3, 0.0457, 0.0001}, {9.99, 2, 10, 0.1}, {7, 3, 7, 0.01}} {
		if got := Digits(c.x, c.digits); got != c.want {
			t.Errorf("%g to %d digits: %g, want %g", c.x, c.digits, got, c.want)
		}
		if got := DigitStep(c.x, c.digits); math.Abs(got/c.step-1) > 1e-12 {
			t.Errorf("step of %d digits of %g: %g, want %g", c.digits, c.x, got, c.step)
		}
	}
	if !math.IsInf(Digits(math.Inf(1), 3), 1) || !math.IsNaN(Digits(math.NaN(), 3)) {
		t.Error("infinity or NaN is rounded")
	}
}
