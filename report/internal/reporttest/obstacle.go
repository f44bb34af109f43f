package reporttest

import (
	"math"

	"staydown/hold/result"
)

// WithClamps puts a clamp, a fixture, the edge of the table and a collision on a plan.
func WithClamps(r *result.Result) *result.Result {
	r.Job.Clamps = []result.ObstacleFacts{{Name: "clamp <left>", Footprint: Rectangle(-20, 150, 40, 30)}}
	r.Job.Fixtures = []result.ObstacleFacts{{Name: "fixture rail", Footprint: Rectangle(-80, 0, 30, 400)}}
	r.Job.Table = Rectangle(-100, -50, 800, 500)
	r.Findings = append(r.Findings, result.Finding{Rule: result.RuleCollision, Level: result.LevelError, Line: 30,
		LastLine: 30, HasAt: true,
		At: [2]float64{20, 160}, Margin: math.NaN(), HoldN: math.NaN(), LoadN: math.NaN(),
		Message: "tool 2 meets clamp <left> from the side"})
	return r
}
