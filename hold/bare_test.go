package hold

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/result"
	"staydown/internal/testrun"
)

// What the finding promises is what a run with the table covered reaches.
func TestCoveredTableReachesWhatIsPromised(t *testing.T) {
	p := aPlate().sized(400, 300)
	p.cellMM = 2
	p.through, p.pumpM3h = "1e-12 m2", 10
	program := square(74, 600, 5.6, 6.2)
	larger := strings.Replace(p.toml(), `area = [["0 mm","0 mm"],["400 mm"`, `area = [["0 mm","0 mm"],["610 mm"`, 1)
	a := roadInFull(t, program, larger)
	found := findingsOf(a.Result, result.RuleBareTable)
	if len(found) != 1 || !strings.Contains(found[0].Message, "the bare 210 x 300 mm of zone A; covered, ") {
		t.Fatalf("%v", found)
	}
	said := regexp.MustCompile(`covered, the vacuum is ([\d.]+) kPa here, not ([\d.]+) kPa`).FindStringSubmatch(
		found[0].Message)
	if said == nil {
		t.Fatalf("%q", found[0].Message)
	}
	covered := roadInFull(t, program, strings.Replace(larger, `name = "A"`, "name = \"A\"\ncovered = true", 1)).Result
	for i, want := range []float64{covered.Vacuum.LeastKPa, a.Result.Vacuum.LeastKPa} {
		if got, err := strconv.ParseFloat(said[i+1], 64); err != nil || math.Abs(got-want) > 0.06 {
			t.Errorf("%s kPa promised, %g found", said[i+1], want)
		}
	}
	if covered.LeakM3h.Bare != 0 || len(findingsOf(covered, result.RuleBareTable)) > 0 {
		t.Errorf("covered: %+v", covered.LeakM3h)
	}
}

// A zone with no stock on it is closed, as a person at the table would, and not covered; the finding and the action say
// so, and what they promise is what a run of that job reaches. A zone that the program opens itself is covered.
func TestZoneWithNoStockIsClosed(t *testing.T) {
	withoutDoubt(t)
	const zoneB = "[[zone]]\nname = \"B\"\narea = [[\"410 mm\",\"0 mm\"],[\"610 mm\",\"300 mm\"]]\n"
	for _, c := range []struct{ name, seal, outputs, head, say string }{
		{"on the layer", "layer", "", "", "close zone B (no stock on it)"},
		{"gasketed", "gasket", "", "", "close zone B (no stock on it)"},
		{"opened by the program", "layer", "\"M64 P1\" = \"zone B on\"\n",
			"M64 P1\n", "cover the bare 200 x 300 mm of zone B"},
	} {
		p := aPlate().sized(400, 300)
		p.cellMM = 2
		p.through, p.pumpM3h = "1e-12 m2", 10
		p.more = zoneB + fmt.Sprintf("seal = %q\n", c.seal)
		if c.outputs != "" {
			p.more += "[machine.output]\n" + c.outputs
		}
		program := c.head + square(74, 600, 5.6, 6.2)
		a := roadInFull(t, program, p.toml())
		s := newActionSearch(a, nil)
		s.tryCover()
		if len(s.actions) != 1 || !strings.HasPrefix(s.actions[0].What, c.say+": ") {
			t.Errorf("%s: %v, want %q; leaks %+v", c.name, s.actions, c.say, a.Result.LeakM3h)
			continue
		}
		action := s.actions[0].Action
		said := regexp.MustCompile(`: the least vacuum is then ([\d.]+) kPa, now ([\d.]+) kPa$`).FindStringSubmatch(
			action.What)
		if said == nil {
			t.Fatalf("%q", action.What)
		}
		p.more = strings.Replace(p.more, "seal", map[bool]string{true: "open = false\n",
			false: "covered = true\n"}[c.outputs ==
			""]+"seal", 1)
		closed := roadInFull(t, program, p.toml()).Result
		for k, want := range []float64{closed.Vacuum.LeastKPa, a.Result.Vacuum.LeastKPa} {
			if got, err := strconv.ParseFloat(said[k+1], 64); err != nil || math.Abs(got-want) > 0.06 {
				t.Errorf("%s: %s kPa promised, %g found", c.name, said[k+1], want)
			}
		}
		if closed.Verdict != action.Verdict {
			t.Errorf("%s: %v promised, %v found", c.name, action.Verdict, closed.Verdict)
		}
	}
}

// A quarter of a zone of 200 x 100 mm lies bare beside stock that covers 150 mm of it, a round blank of radius 50 mm
// leaves 1 - pi/4 of a square of 100 mm.
func TestBareOfAZone(t *testing.T) {
	rectangle := func(x, y, w, h float64) orb.Ring {
		return orb.Bound{Min: orb.Point{x, y}, Max: orb.Point{x + w, y + h}}.ToRing()
	}
	var round orb.Ring
	for i := range 361 {
		s, c := math.Sincos(float64(i) * math.Pi / 180)
		round = append(round, orb.Point{50 + 50*c, 50 + 50*s})
	}
	round[360] = round[0]
	for name, c := range map[string]struct {
		zone, stock orb.Ring
		want        float64
	}{
		"beside":  {rectangle(0, 0, 200, 100), rectangle(-50, -50, 200, 200), 0.25},
		"round":   {rectangle(0, 0, 100, 100), round, 1 - math.Pi/4},
		"covered": {rectangle(0, 0, 100, 100), rectangle(0, 0, 100, 100), 0},
		"none":    {rectangle(0, 0, 100, 100), rectangle(500, 0, 100, 100), 1},
	} {
		got := bareOf(orb.Polygon{c.zone}, orb.MultiPolygon{{c.stock}})
		b := c.zone.Bound()
		whole := (b.Max[0] - b.Min[0]) * (b.Max[1] - b.Min[1])
		if math.Abs(got.mm2-c.want*whole) > 0.01*whole || got.whole != (c.want == 1) {
			t.Errorf("%s: %.0f mm2, whole %t; want %.3f of %.0f", name, got.mm2, got.whole, c.want, whole)
		}
	}
}

// What lies bare of a zone, and round what, against a count point by point by the geometry library.
func TestBareRowsAgreeWithACountByPoints(t *testing.T) {
	draw := rand.New(rand.NewPCG(7, 1))
	blob := func(cx, cy, r float64) orb.Ring {
		n := 3 + draw.IntN(9)
		var ring orb.Ring
		for k := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			far := r * (0.3 + 0.7*draw.Float64())
			ring = append(ring, orb.Point{cx + far*cos, cy + far*sin})
		}
		return append(ring, ring[0])
	}
	for range testrun.Draws(15, 40) {
		zone := orb.Polygon{blob(0, 0, 100), blob(0, 0, 25)}
		stock := orb.MultiPolygon{{blob(40, 0, 60), blob(40, 0, 10)}, {blob(-60, 20, 50)}}
		b := zone.Bound()
		dx, dy := (b.Max[0]-b.Min[0])/bareRows, (b.Max[1]-b.Min[1])/bareRows
		var mm2 float64
		for i := range bareRows {
			for k := range bareRows {
				at := orb.Point{b.Min[0] + (float64(i)+0.5)*dx, b.Min[1] + (float64(k)+0.5)*dy}
				if planar.PolygonContains(zone, at) && !planar.RingContains(stock[0][0], at) &&
					!planar.RingContains(stock[1][0], at) {
					mm2 += dx * dy
				}
			}
		}
		if got := bareOf(zone, stock); math.Abs(got.mm2-mm2) > 1e-9*mm2 {
			t.Errorf("%.6f mm2, by points %.6f, of zone %v and stock %v", got.mm2, mm2, zone, stock)
		}
	}
}
