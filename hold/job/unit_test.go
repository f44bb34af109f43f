package job

import (
	"math"
	"testing"
)

// NIST SP 811 (2008), appendix B.8, and the definitions it rests on; values of the table, not of this package.
func TestUnitsAgainstTable(t *testing.T) {
	for _, c := range []struct {
		kind   kind
		text   string
		want   float64 // in the unit that the Job carries
		within float64 // relative: the digits of the table
		source string
	}{
		{length, "1 mm", 1, 0, "by definition"},
		{length, "1 cm", 10, 0, "by definition"},
		{length, "1 m", 1000, 0, "by definition"},
		{length, "1 in", 25.4, 0, "NIST SP 811 B.8: inch, exact"},
		{pressure, "1 Pa", 1, 0, "by definition"},
		{pressure, "1 kPa", 1000, 0, "by definition"},
		{pressure, "1 mbar", 100, 0, "NIST SP 811 B.8: millibar, exact"},
		{pressure, "1 bar", 1e5, 0, "NIST SP 811 B.8: bar, exact"},
		{pressure, "1 psi", 6894.757293168, 1e-12, "from lbf and inch, NIST SP 811 B.8: 6.894757 E+03"},
		{pressure, "1 inHg", 3386.389, 1e-6, "NIST SP 811 B.8: inch of mercury, conventional, 3.386389 E+03"},
		{pressure, "1 mmHg", 133.3224, 1e-6, "NIST SP 811 B.8: millimetre of mercury, conventional, 1.333224 E+02"},
		{pressure, "14.69595 psi", 101325, 1e-6, "standard atmosphere"},
		{pressure, "29.92125 inHg", 101325, 1e-6, "standard atmosphere"},
		{pressure, "760 mmHg", 101325, 1e-6, "standard atmosphere"},
		{pressure, "25 inHg", 84660, 1e-5, "25 times 3386.389, 84.660 kPa"},
		{flow, "1 m3/h", 1, 0, "by definition"},
		{flow, "1 l/min", 0.06, 1e-15, "60 min/h over 1000 l/m3"},
		{flow, "1 cfm", 1.6990108, 1e-7, "NIST SP 811 B.8: 4.719474 E-04 m3/s"},
		{flow, "20 cfm", 33.980, 1e-5, "the same"},
		{flow, "200 cfm", 339.80, 1e-5, "the same"},
		{smallFlow, "1000 ml/min", 0.06, 1e-15, "60 min/h over 1000 l/m3"},
		{speed, "1 mm/min", 1, 0, "by definition"},
		{speed, "20 m/min", 20000, 0, "by definition"},
		{speed, "100 in/min", 2540, 1e-15, "inch"},
		{force, "1 N", 1, 0, "by definition"},
		{force, "1 kN", 1000, 0, "by definition"},
		{force, "1 lbf", 4.4482216152605, 0, "NIST SP 811 B.8: pound-force, exact"},
		{angle, "180 deg", math.Pi, 1e-15, "by definition"},
		{permeability, "1 m2", 1, 0, "by definition"},
		{permeability, "1 darcy", 9.869233e-13, 0, "NIST SP 811 B.8: darcy, 9.869233 E-13"},
		{stress, "1 MPa", 1e6, 0, "by definition"},
		{stress, "9500 psi", 65.5e6, 1e-3, "a polycarbonate sheet table: 9500 psi, 65.5 MPa"},
		{density, "2.7 g/cm3", 2700, 1e-15, "by definition"},
		{area, "1 in2", 645.16, 1e-12, "NIST SP 811 B.8: square inch, exact"},
		{area, "1 m2", 1e6, 0, "by definition"},
		{power, "0.45 kW", 450, 1e-15, "by definition"},
		{edgeForce, "13 N/mm", 13, 0, "by definition"},
		{duration, "10 s", 10, 0, "by definition"},
		{spindle, "18000 rpm", 18000, 0, "by definition"},
		{length, "1 ft", 304.8, 1e-15, "NIST SP 811 B.8: foot, exact"},
		{speed, "1 ft/min", 304.8, 1e-15, "the same"},
		{stress, "1 N/mm2", 1e6, 0, "1 MPa, by definition"},
		// As shops write them; fractions by hand: 1/2 = 0.5, 1-1/2 = 1.5, 3/16 = 0.1875.
		{length, "1/2 in", 12.7, 1e-15, "half an inch"},
		{length, "1-1/2 in", 38.1, 1e-15, "an inch and a half"},
		{length, "1 1/2 in", 38.1, 1e-15, "the same"},
		{length, "-3/16in", -4.7625, 1e-15, "inch"},
		{length, `0.125"`, 3.175, 1e-15, "an eighth of an inch"},
		{length, `1/8"`, 3.175, 1e-15, "the same"},
		{length, "4 ft", 1219.2, 1e-15, "foot"},
		{length, "4'", 1219.2, 1e-15, "the same"},
		{length, "2 inches", 50.8, 1e-15, "inch"},
		{length, "6 MM", 6, 0, "capitals"},
		{flow, "20 CFM", 33.980, 1e-5, "capitals"},
		{flow, "63 m³/h", 63, 0, "a raised figure"},
		{permeability, "1 M²", 1, 0, "a raised figure"},
		{area, "100 cm²", 10000, 0, "the same"},
		{stress, "1 N/mm²", 1e6, 0, "the same"},
		{pressure, "25 INHG", 84660, 1e-5, "capitals"},
		{angle, "180°", math.Pi, 1e-15, "degree sign"},
		{force, "1 LBF", 4.4482216152605, 0, "capitals"},
	} {
		got, _, f := c.kind.readIn(c.text)
		if f != nil {
			t.Errorf("%s: %v", c.text, *f)
			continue
		}
		if math.Abs(got-c.want) > c.within*math.Abs(c.want) {
			t.Errorf("%s = %v, want %v within %g (%s)", c.text, got, c.want, c.within, c.source)
		}
	}
}

func TestEveryUnitHasAKindThatNamesIt(t *testing.T) {
	for _, k := range kinds() {
		if _, _, f := k.readIn(k.example); f != nil {
			t.Errorf("the example of %s does not read: %v", k.name, *f)
		}
		seen := map[string]bool{}
		for _, u := range k.units {
			if u.factor <= 0 || seen[u.name] {
				t.Errorf("%s: unit %q twice or without factor", k.name, u.name)
			}
			seen[u.name] = true
		}
	}
}

func TestSplitQuantity(t *testing.T) {
	for _, c := range []struct{ text, number, unit string }{
		{"0.8 mm", "0.8", "mm"},
		{"0.8mm", "0.8", "mm"},
		{"  -0.8   mm ", "-0.8", "mm"},
		{"3e-13 m2", "3e-13", "m2"},
		{"3E-13m2", "3E-13", "m2"},
		{"1.5e3mm", "1.5e3", "mm"},
		{"5 ell", "5", "ell"},
		{"5ell", "5", "ell"},
		{"1-2 mm", "1", "-2 mm"},
		{".5 in", ".5", "in"},
		{"mm", "", "mm"},
		{"", "", ""},
		{"8", "8", ""},
	} {
		if n, u := splitQuantity(c.text); n != c.number || u != c.unit {
			t.Errorf("%q gives %q and %q, want %q and %q", c.text, n, u, c.number, c.unit)
		}
	}
}
