package report

import (
	"bytes"
	"image/png"
	"math"
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold"
)

// crowded is a result with 100,000 samples whose margins swing within every pixel column, 300 findings and 200 pieces.
func crowded() *hold.Result {
	const n = 100_000
	r := long(n)
	r.Findings, r.Pieces = nil, r.Pieces[:1]
	for i := range r.Timeline {
		s := &r.Timeline[i]
		s.HeldAreaMM2, s.StockHeldMM2, s.FreedPieces = 2e5-float64(i)*0.3, 2e5-float64(i)*1.3, i/500
		s.VacuumKPa = 80 - float64(i)*1e-4 + 2*math.Sin(float64(i)*0.7)
		s.LeastMargin = 4 * math.Exp(math.Sin(float64(i)*1.3)*0.5+math.Sin(float64(i)*0.0003))
	}
	for i := range 300 {
		f := at(1 + i*310)
		f.TimeS, f.LastTimeS = r.Timeline[i*310].TimeS, r.Timeline[i*310+9].TimeS
		f.Margin = 0.7 + float64(i%7)/5
		if f.Margin > 1 {
			f.Level = hold.LevelWarning
		}
		f.At, f.HasAt = orb.Point{float64(i%30) * 20, float64(i/30) * 40}, true
		r.Findings = append(r.Findings, f)
	}
	for k := range 200 {
		x, y := float64(k%20)*30, float64(k/20)*40
		r.Pieces = append(r.Pieces, hold.Piece{ID: k + 2, Freed: true, State: hold.State(k % 9 / 6),
			FreedTimeS: r.Timeline[k*500].TimeS,
			Outline:    orb.MultiPolygon{{rectangle(x+3, y+3, 24, 34)}}, Centroid: orb.Point{x + 15, y + 20},
			Least: hold.Least{Mode: hold.Slip, Margin: 1.5}})
	}
	return r
}

// The limit stays visible over its whole length, however many samples a pixel column holds.
func TestLimitStaysVisible(t *testing.T) {
	if testing.Short() {
		t.Skip("looks for wrong results, not for races")
	}
	r := crowded()
	data := render(t, TimelinePNG, r)
	keep(t, "crowded.timeline.png", data)
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	p := pixels(img)
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

// A crowded plan is drawn, and no label covers another.
func TestCrowdedPlan(t *testing.T) {
	r := crowded()
	keep(t, "crowded.plan.png", render(t, PlanPNG, r))
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
}
