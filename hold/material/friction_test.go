package material_test

import (
	"testing"

	"staydown/hold/material"
)

// Every family is told on every seat, each figure with its source, and nothing grips better wet than dry.
func TestEveryPairOfFriction(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range material.Pairs() {
		seen[p.Work.String()+p.On.String()] = true
		for what, r := range map[string]material.Range{"dry": p.Dry, "wet": p.Wet} {
			if r.Source == "" || !(0 < r.Low && r.Low <= r.Likely && r.Likely <= r.High) {
				t.Errorf("%v on %v, %s: %v", p.Work, p.On, what, r)
			}
		}
		if p.Wet.Low > p.Dry.Low || p.Wet.Likely >= p.Dry.Likely || p.Wet.High > p.Dry.High {
			t.Errorf("%v on %v: wet %v, dry %v", p.Work, p.On, p.Wet, p.Dry)
		}
		if got := material.Friction(p.Work, p.On); got != p {
			t.Errorf("%v on %v: got %v", p.Work, p.On, got)
		}
	}
	for _, work := range material.Works() {
		for _, on := range []material.Seat{material.OnBoard, material.OnCard, material.OnMetal, material.OnRubber} {
			if !seen[work.Family.String()+on.String()] {
				t.Errorf("%s: no friction of %v on %v", work.Name, work.Family, on)
			}
		}
	}
}

// Published figures lie within the range of their pair.
func TestPublishedFriction(t *testing.T) {
	for _, row := range []struct {
		work   material.Family
		on     material.Seat
		wet    bool
		figure float64
		source string
	}{
		{material.Wood, material.OnBoard, false, 0.45, "CTU Code (2014), annex 7 appendix 2: sawn wood on plywood"},
		{material.Wood, material.OnBoard, false, 0.30, "the same: planed wood on plywood"},
		{material.Wood, material.OnMetal, false, 0.20, "the same: planed wood on stainless steel"},
		{material.Wood, material.OnMetal, false, 0.33, "Wood Research 66(5) (2021) 789-805: laminated particleboard " +
			"on steel"},
		{material.Wood, material.OnMetal, false, 0.77, "the same: raw MDF on steel"},
		{material.Plastic, material.OnBoard, false, 0.20, "CTU Code: plastic on plywood"},
		{material.Plastic, material.OnMetal, false, 0.15, "the same: plastic on grooved aluminium"},
		{material.Wood, material.OnCard, false, 0.50, "the same: cardboard on a wooden pallet"},
		{material.Metal, material.OnMetal, false, 0.20, "the same: smooth metal on smooth metal"},
		{material.Wood, material.OnMetal, true, 0.2, "tables of friction coefficients: wood on metal, wet"},
		{material.Wood, material.OnBoard, true, 0.2, "tables of friction coefficients: wood on wood, wet"},
		{material.Wood, material.OnMetal, true, 0.1, "a workholding catalogue: wood on metal, lubricated"},
	} {
		p := material.Friction(row.work, row.on)
		r := p.Dry
		if row.wet {
			r = p.Wet
		}
		if row.figure < r.Low || row.figure > r.High {
			t.Errorf("%v on %v: %g to %g does not hold %g (%s)", row.work, row.on, r.Low, r.High, row.figure,
				row.source)
		}
	}
}
