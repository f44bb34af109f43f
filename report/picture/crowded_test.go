package picture

import (
	"bytes"
	"image/png"
	"math"
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/report/internal/reporttest"
)

// The limit stays visible over its whole length, however many samples a pixel column holds.
func TestLimitStaysVisible(t *testing.T) {
	testrun.NotForRaces(t)
	r := reporttest.Crowded()
	data := reporttest.Render(t, TimelinePNG, r)
	reporttest.Keep(t, "crowded.timeline.png", data)
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	p := reporttest.Pixels(img)
	best := 0
	for y := range p.Rect.Dy() {
		n := 0
		for x := range p.Rect.Dx() {
			if c := p.NRGBAAt(x, y); c == alarmColour {
				n++
			}
		}
		best = max(best, n)
	}
	if length := (timelineRight - timelineLeft) * pictureDPI / 72; float64(best) < 0.95*length {
		t.Errorf("the limit shows in %d of %.0f columns", best, length)
	}
}

// A crowded plan is drawn, and no label covers another, nor does a leader cross one or another leader.
func TestCrowdedPlan(t *testing.T) {
	testrun.NotForRaces(t)
	r := reporttest.Crowded()
	reporttest.Keep(t, "crowded.plan.png", reporttest.Render(t, PlanPNG, r))
	var d *plan
	coarse(t, func(p *pen) { d = drawPlan(p, r) })
	if len(d.taken) < 250 {
		t.Errorf("%d marks and labels", len(d.taken))
	}
	for i, a := range d.labels {
		for _, b := range d.labels[i+1:] {
			if a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 {
				t.Fatalf("labels at %v and %v overlap", a, b)
			}
		}
	}
	if len(d.leaders) < 20 {
		t.Errorf("%d leaders", len(d.leaders))
	}
	for i, a := range d.leaders {
		for _, b := range d.leaders[i+1:] {
			if linesCross(a, b) {
				t.Fatalf("leaders %v and %v cross", a, b)
			}
		}
		for _, b := range d.labels {
			if lineMeetsBox(a, b) {
				t.Fatalf("leader %v crosses the label at %v", a, b)
			}
		}
	}
}

// A sheet of 4 x 8 ft fills the picture whichever way it lies: 96 in along the 930 points of the plan, 48 in along
// the 564. The smaller scale counts: 930 / (1.04 * 96) points to the inch.
func TestATallSheetIsTurned(t *testing.T) {
	const in = 25.4
	want := 930.0 / (1.04 * 96 * in)
	for name, size := range map[string][2]float64{"wide": {96 * in, 48 * in}, "tall": {48 * in, 96 * in}} {
		r := &result.Result{Job: result.JobFacts{StockOutline: orb.MultiPolygon{{reporttest.Rectangle(0, 0, size[0],
			size[1])}}}}
		var d *plan
		coarse(t, func(p *pen) { d = drawPlan(p, r) })
		if math.Abs(d.scale/want-1) > 0.03 || d.turned != (name == "tall") {
			t.Errorf("%s: %.4f points a mm, turned %v; want %.4f", name, d.scale, d.turned, want)
		}
		// A rotation keeps the sense of the corners: seen from above X to Y runs counter-clockwise.
		o, x, y := d.at(orb.Point{0, 0}), d.at(orb.Point{1, 0}), d.at(orb.Point{0, 1})
		if cross := (x.x-o.x)*(y.y-o.y) - (x.y-o.y)*(y.x-o.x); !(cross > 0) {
			t.Errorf("%s: the picture is a mirror image", name)
		}
		if name == "tall" && !(x.y < o.y && y.x > o.x) {
			t.Error("turned: X does not run down or Y not to the right")
		}
	}
}
