package material

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func lawWork(kc11, mc, edge float64) Work {
	return Work{KC11: Exact(kc11, ""), MC: Exact(mc, ""), Edge: Exact(edge, "")}
}

// By hand: from 13 N/mm the line touches 800 h^0.75 at h = (13/(0.25 x 800))^(4/3) = 0.026129 mm, with the slope 0.75 x
// 800 h^-0.25 = 1492.4 N/mm2, where both give 52.0 N/mm. At 0.05 mm Kienzle's law alone: 84.6 N/mm (kc1.1 800, mc 0.25,
// material group table of a 2017 turning catalogue), and not the edge force on top of it.
func TestLawByHand(t *testing.T) {
	l := lawWork(800, 0.25, 13).Law(1)
	for _, row := range []struct{ h, want float64 }{
		{0, 13}, {0.01, 27.92}, {0.026129, 52.0}, {0.05, 84.59}, {0.3, 324.3}, {1, 800}, {2, 1600},
	} {
		if got := l.Edge + l.Chip(row.h); math.Abs(got-row.want) > 5e-4*row.want {
			t.Errorf("%g mm: %.3f N/mm, want %.3f", row.h, got, row.want)
		}
	}
	if got := lawWork(631, 0, 13).Law(1); got.Edge+got.Chip(0.05) != 631*0.05+13 || got.Edge+got.Chip(2) != 631*2+13 {
		t.Errorf("linear-edge law: %.3f and %.3f N/mm", got.Edge+got.Chip(0.05), got.Edge+got.Chip(2))
	}
	if got := lawWork(700, 0.25, 0).Law(1.1); math.Abs(got.Specific(0.05)-1.1*1480.3) > 0.1 {
		t.Errorf("Kienzle's law times 1.1: %.1f N/mm2", got.Specific(0.05))
	}
}

// The force starts at the edge force, never falls with the chip, has no jump, and lies neither below Kienzle's law nor
// below the edge force; above the point of touch it is Kienzle's.
func TestLawIsBetweenItsParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kc := rapid.Float64Range(5, 3000).Draw(t, "kc")
		mc := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(linearMC, 0.9)).Draw(t, "mc")
		edge := kc * rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0, 0.2)).Draw(t, "edge")
		h := math.Pow(10, rapid.Float64Range(-4, 0.3).Draw(t, "log h"))
		l := lawWork(kc, mc, edge).Law(1)
		force := func(h float64) float64 { return l.Edge + l.Chip(h) }
		kienzle := kc * math.Pow(math.Min(h, 1), -mc) * h
		if force(0) != edge || force(h*1.01) < force(h) || force(h*(1+1e-9))-force(h) > 1e-6*(force(h)+1) {
			t.Fatalf("falls or jumps at %g mm: %g to %g", h, force(h), force(h*1.01))
		}
		if force(h) < kienzle*(1-1e-9) || force(h) < edge || force(h) > (kienzle+edge)*(1+1e-9) {
			t.Fatalf("%g N/mm at %g mm; Kienzle %g, edge %g", force(h), h, kienzle, edge)
		}
		if h > l.StraightTo() && h <= 1 && math.Abs(force(h)-kienzle) > 1e-9*kienzle {
			t.Fatalf("%g N/mm at %g mm, Kienzle %g", force(h), h, kienzle)
		}
	})
}
