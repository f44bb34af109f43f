package reporttest

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/chart"
	"staydown/hold/result"
)

// Chart is a chart of three shapes, five feeds and twelve depths by hand: the smallest size grows as depth and
// feed do, and none holds of the strip at the greatest feed in one pass.
func Chart() *chart.Result {
	r := &chart.Result{Margin: 1, Tool: 1, RPM: 18000, ThickMM: 6, VacuumKPa: 80, SkinMM: 0.2, Tabs: 4, TabWideMM: 6,
		TabHighMM: 1.5, SizesMM: []float64{10, 16, 25, 40, 63, 100, 160, 250},
		DepthsMM:   []float64{0.1, 0.15, 0.2, 0.3, 0.44, 0.64, 0.93, 1.4, 2, 2.9, 4.1, 6},
		FeedsMMMin: []float64{540, 1100, 1600, 2200, 3200}, Places: []string{"along a groove (X300 Y210)"}}
	r.Job = result.JobFacts{Material: "aluminium-wrought", Layer: "porous-card", Pump: "rotary-vane",
		StockOutline: orb.MultiPolygon{{Rectangle(0, 0, 600, 400)}},
		Tools: []result.ToolFacts{{Number: 1, Shape: "flat",
			DiameterMM: 6, Flutes: 2}}}
	r.Trials = []chart.Trial{{Margin: result.Range{Low: 0.5, Likely: 1, High: 2}}}
	for s := range 3 {
		for k, feed := range r.FeedsMMMin {
			c := chart.Curve{Shape: chart.Shape(s), FeedMMMin: feed}
			for _, d := range r.DepthsMM {
				high := 40 * math.Sqrt(d) * math.Pow(feed/540, 0.3)
				p := chart.Point{DepthMM: d, Smallest: result.Range{Low: 0.5 * high, Likely: 0.7 * high, High: high}}
				p.At = chart.Trial{Margin: result.Range{Low: 1.1, Likely: 2.2, High: 4.4}, Mode: result.Twist,
					Place: r.Places[0]}
				if s == 2 && k == 4 && d == 6 {
					p.Smallest.High = math.Inf(1)
				}
				c.Points = append(c.Points, p)
			}
			r.Curves = append(r.Curves, c)
			r.Cares = append(r.Cares, chart.Care{Shape: c.Shape, FeedMMMin: feed, NoCareMM: c.Points[11].Smallest.High,
				ThinPassMM: 16, SkinMM: 10, TabsMM: 12.7})
		}
	}
	thin := r.Curves[2].Points[2]
	r.Heights = []chart.Height{
		{Shape: chart.Square, SizeMM: thin.Smallest.High, FeedMMMin: 1600, DepthMM: thin.DepthMM, TipsMM: 129.9,
			LikelyMM: 254, Mode: result.Tip},
		{Shape: chart.Square, SizeMM: 63, FeedMMMin: 1600, DepthMM: thin.DepthMM, TipsMM: math.Inf(1),
			LikelyMM: math.Inf(1)},
		{Shape: chart.Disc, SizeMM: 25, FeedMMMin: 1600, DepthMM: thin.DepthMM, TipsMM: math.NaN(),
			LikelyMM: math.NaN(), Mode: result.Twist},
	}
	return r
}
