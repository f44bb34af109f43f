package contact

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawLoads gives some loads on a body, now and then the same one twice.
func drawLoads(t *rapid.T, b Body) []Load {
	loads := make([]Load, rapid.IntRange(1, 12).Draw(t, "loads"))
	for i := range loads {
		loads[i] = drawLoad(t, b)
		if i > 0 && rapid.IntRange(0, 3).Draw(t, "again") == 0 {
			loads[i] = loads[i-1]
		}
	}
	return loads
}

// drawSupport gives a support that asks the limit surface always or only below a margin of 2.
func drawSupport(t *rapid.T) (*Support, Body) {
	b := drawBody(t)
	if rapid.Bool().Draw(t, "quick") {
		b.Enough = 2
	}
	return drawn(t, b), b
}

func leastCheck(s *Support, loads []Load) (least float64, at int) {
	least = math.Inf(1)
	for i, l := range loads {
		if o := s.Check(l); o.Margin < least {
			least, at = o.Margin, i
		}
	}
	return least, at
}

func TestWorstIsTheLeastCheck(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, b := drawSupport(t)
		loads := drawLoads(t, b)
		least, at := leastCheck(s, loads)
		if o, i := s.Worst(loads); o.Margin != least || i != at {
			t.Fatalf("Worst gives %g at %d, the least Check is %g at %d", o.Margin, i, least, at)
		}
	})
}

// TestLowerBoundIsNeverAboveTheMargin: against every way of coming loose on its own, the limit surface exact; counting
// on tack and webs alone, against the exact margins.
func TestLowerBoundIsNeverAboveTheMargin(t *testing.T) {
	said, saidWithout := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s, b := drawSupport(t)
		l := drawLoad(t, b)
		if rapid.Bool().Draw(t, "light") {
			l.ZN /= 100 // else most lifts are beyond what the bound speaks about
		}
		bound := s.bound.of(&l)
		if bound > 0 {
			said++
		}
		without := s.bound.withoutFriction(&l)
		if without > 0 {
			saidWithout++
		}
		for _, o := range s.All(l) {
			if !(without <= o.Margin) {
				t.Fatalf("bound without friction %g above the margin %g of %v", without, o.Margin, o.Mode)
			}
		}
		for _, o := range append([]Outcome{s.Check(l)}, func() []Outcome { a := s.All(l); return a[:] }()...) {
			if !(bound <= o.Margin) {
				t.Fatalf("bound %g above the margin %g of %v", bound, o.Margin, o.Mode)
			}
		}
	})
	if said == 0 || saidWithout == 0 {
		t.Error("a bound never says anything")
	}
}

// TestShortcutsAgreeWithTheLeastCheck: limits are drawn around the least margin, and on it.
func TestShortcutsAgreeWithTheLeastCheck(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, b := drawSupport(t)
		loads := drawLoads(t, b)
		least, at := leastCheck(s, loads)
		limit := least * rapid.SampledFrom([]float64{0.5, 0.99, 1, 1.01, 2}).Draw(t, "limit")
		if s.Stands(loads, limit) != (least >= limit) {
			t.Fatalf("Stands at %g is %v, the least Check is %g", limit, !(least >= limit), least)
		}
		o, i, below := s.WorstBelow(loads, limit)
		if below != (least < limit) || below && (o.Margin != least || i != at) {
			t.Fatalf("WorstBelow %g gives %g at %d, %v; the least Check is %g at %d", limit, o.Margin, i, below, least,
				at)
		}
	})
}

// TestSearchOutOfASpanStaysOut: a search that may end early gives the same answer inside the span, and one on the right
// side of it outside.
func TestSearchOutOfASpanStaysOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, b := drawSupport(t)
		l := drawLoad(t, b)
		var p contactLoad
		s.contactLoad(&p, &l)
		exact, _ := s.critical(&p, cutoff{})
		low := exact * rapid.Float64Range(0.5, 2).Draw(t, "low")
		within := cutoff{low, low * rapid.Float64Range(1, 2).Draw(t, "width")}
		got, _ := s.critical(&p, within)
		switch {
		case exact < within.low*(1-surfaceGap):
			// The line between full slip and full twist is not looked at by the search.
			if got > within.low && got > p.straight().margin() {
				t.Fatalf("%g for %g, below %g", got, exact, within.low)
			}
		case exact > within.high:
			if got < within.high {
				t.Fatalf("%g for %g, above %g", got, exact, within.high)
			}
		case exact >= within.low && got != exact:
			t.Fatalf("%g for %g, inside", got, exact)
		}
	})
}

// TestWithOtherWebsIsANewSupport: figure by figure, whether the webs reach beyond the face or not.
func TestWithOtherWebsIsANewSupport(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBody(t)
		l := drawLoad(t, b)
		other := b
		other.Webs, other.TackPa = nil, rapid.Float64Range(0, 3e4).Draw(t, "other tack")
		for i := rapid.IntRange(0, 3).Draw(t, "other webs"); i > 0; i-- {
			other.Webs = append(other.Webs, drawWeb(t, 3*b.Outline[2][0], 3*b.Outline[2][1]))
		}
		got, err := drawn(t, b).With(other.Webs, other.TackPa)
		if err != nil {
			t.Fatal(err)
		}
		if want := drawn(t, other).All(l); !reflect.DeepEqual(got.All(l), want) {
			t.Fatalf("%+v, want %+v", got.All(l), want)
		}
	})
}

// TestVariedIsANewSupport: figure by figure, whatever of pressure, weight, friction and strength differs.
func TestVariedIsANewSupport(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBody(t)
		l := drawLoad(t, b)
		if rapid.Bool().Draw(t, "without outline") {
			b.Outline = nil
		}
		other := b
		other.Elements, other.Webs = slices.Clone(b.Elements), slices.Clone(b.Webs)
		switch rapid.IntRange(0, 2).Draw(t, "pressures") {
		case 1: // the center stays, to the last bit
			for i := range other.Elements {
				other.Elements[i].PressurePa /= 2
			}
		case 2:
			for i := range other.Elements {
				other.Elements[i].PressurePa *= rapid.Float64Range(0, 1.5).Draw(t, "pressure")
			}
		}
		if rapid.Bool().Draw(t, "other weight") {
			other.WeightN = rapid.Float64Range(0, 100).Draw(t, "weight")
		}
		other.Friction = rapid.Float64Range(0.05, 1).Draw(t, "friction")
		for i := range other.Webs {
			other.Webs[i].ShearMPa *= rapid.Float64Range(0.5, 2).Draw(t, "strength")
		}
		got, err := drawn(t, b).Varied(other)
		if err != nil {
			t.Fatal(err)
		}
		if want := drawn(t, other).All(l); !reflect.DeepEqual(got.All(l), want) {
			t.Fatalf("%+v, want %+v", got.All(l), want)
		}
	})
}
