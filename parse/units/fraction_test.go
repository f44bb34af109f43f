package units

import "testing"

func TestFraction(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
		ok   bool
	}{
		{"1/2 in", 0.5, true}, {"1-1/2", 1.5, true}, {"1 1/2", 1.5, true}, {"-1-1/4", -1.25, true},
		{"1/0", 0, false}, {"0.5", 0, false}, {"in 1/2", 0, false},
	} {
		if got, ok := Fraction(c.text); ok != c.ok || ok && got != c.want {
			t.Errorf("%q: %g, %t", c.text, got, ok)
		}
	}
}
