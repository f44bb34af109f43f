package reporttest

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/dryrun"
	"staydown/hold/outline"
	"staydown/hold/result"
)

// Outline is a drawing with an item of every answer, hand-made.
func Outline() *outline.Result {
	square := func(x, side float64) orb.Polygon {
		return orb.Polygon{{{x, 10}, {x + side, 10}, {x + side, 10 + side}, {x, 10 + side}, {x, 10}}}
	}
	item := func(kind outline.Kind, part int, x, side float64, plain, thin outline.Trial) outline.Item {
		i := outline.Item{Kind: kind, Part: part, Line: 10 * part, Layer: "=CUT\x1b", Outline: square(x, side),
			AreaMM2: side * side, SizeMM: [2]float64{side, side}}
		i.Trials[outline.OnePass], i.Trials[outline.ThinPass] = plain, thin
		return i
	}
	nan := math.NaN()
	slip := outline.Trial{Tried: true, Margin: 0.4, Low: nan, High: nan, Mode: result.Slip, HoldN: 10, LoadN: 25}
	good := outline.Trial{Tried: true, Holds: true, Margin: 3, Low: nan, High: nan, Mode: result.Twist}
	r := &outline.Result{Path: "kit\x1b.dxf", Format: "DXF", Unit: "mm", Margin: 2, Class: dryrun.WouldNotHold,
		Places:       1,
		PumpPlainM3h: nan, PumpCareM3h: 12.34, Assumed: []string{"no coolant"}, Reasons: []string{"pump-short: low"},
		Notes: []outline.Note{{Line: 7, Message: "lettering left out"}},
		Job:   result.JobFacts{StockOutline: orb.MultiPolygon{square(0, 200)}}}
	large, middle, small := item(outline.PartItem, 1, 10, 80, good, outline.Trial{}),
		item(outline.PartItem, 2, 100, 40, slip, good), item(outline.PartItem, 3, 150, 20, slip, slip)
	middle.Class, middle.Way, small.Class = dryrun.WithCare, outline.ThinPass, dryrun.WouldNotHold
	again := middle
	again.Part, again.Trials[outline.OnePass].Margin = 4, 0.5
	gone := item(outline.OffcutItem, 1, 20, 5, outline.Trial{Tried: true, Holds: true, Margin: nan, Low: nan,
		High: nan},
		outline.Trial{})
	gone.Hole, gone.MilledAway = 1, true
	r.Items = []outline.Item{gone, large, middle, small, again, {Kind: outline.SheetItem}}
	r.Items[5].Trials[outline.OnePass] = outline.Trial{Tried: true, Holds: true, Margin: math.Inf(1)}
	return r
}
