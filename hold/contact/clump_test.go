package contact

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestClumpsResistNoMore: a field taken together in clumps resists no motion more than its nodes do, under any tilt
// that leaves no weight below 0 (Jensen's inequality), and one that presses evenly resists its pure couple to 4 %.
func TestClumpsResistNoMore(t *testing.T) {
	unit := rapid.Float64Range(-1, 1)
	rapid.Check(t, func(t *rapid.T) {
		nodes := make([]node, rapid.IntRange(leastNodes, 200).Draw(t, "nodes"))
		for i := range nodes {
			nodes[i] = node{unit.Draw(t, "x"), unit.Draw(t, "y"), rapid.Float64Range(0, 0.01).Draw(t, "s2"),
				rapid.Float64Range(1e-3, 10).Draw(t, "weight")}
		}
		f := newField(nodes)
		sin, cos := math.Sincos(rapid.Float64Range(0, 2*math.Pi).Draw(t, "way"))
		most := 0.0
		for _, n := range f.nodes {
			most = max(most, -(cos*(n.x-f.x) + sin*(n.y-f.y)))
		}
		steep := rapid.Float64Range(0, 1).Draw(t, "steep") / most
		tiltX, tiltY := steep*cos, steep*sin
		all, rough := newSurface(), newSurface()
		all.add(&f, 0.7, tiltX, tiltY)
		rough.addClumps(&f, 0.7, tiltX, tiltY)
		if len(rough.nodes) >= len(all.nodes) {
			t.Fatalf("%d clumps of %d nodes", len(rough.nodes), len(all.nodes))
		}
		v := twist{unit.Draw(t, "vx"), unit.Draw(t, "vy"), unit.Draw(t, "spin")}
		if less, cost := rough.at(v).cost, all.at(v).cost; less > cost*(1+rounding) {
			t.Fatalf("clumps resist %g, nodes %g", less, cost)
		}
	})
	even := newField(gatherNodes(rectangle(100, 60, 16, 16, func(x, y float64) float64 { return 1 }),
		func(Element) float64 { return 1 }, [2]float64{}, 58))
	if rough, _ := even.roughCouple(0, 0, cutoff{}); rough > even.couple || rough < 0.96*even.couple {
		t.Errorf("the pure couple of an even rectangle is %g of that of its nodes", rough/even.couple)
	}
}

// TestLoadShareIsTheLimit: a load that a plate does not stand is stood at its share, and not at 0.2 % more.
func TestLoadShareIsTheLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBody(t)
		s := drawn(t, b)
		l := drawLoad(t, b)
		out := s.Check(l)
		if out.Err == nil && out.Margin >= 1 && out.Margin < 1e3 {
			l = l.Part(out.Margin * rapid.Float64Range(1.1, 10).Draw(t, "more"))
			out = s.Check(l)
		}
		if out.Err != nil || !(out.Margin < 1) {
			t.Skip("it stands")
		}
		share, _ := s.LoadShare([]Load{l}, out, 0)
		if share.Margin > 0 && !s.Stands([]Load{l.Part(share.Margin * (1 - rounding))}, 1) {
			t.Fatalf("it does not stand at its share %g", share.Margin)
		}
		if s.Stands([]Load{l.Part(math.Max(share.Margin, leastLoadShare) * (1 + 5*shareTolerance))}, 1) {
			t.Fatalf("it stands at more than its share %g", share.Margin)
		}
	})
}
