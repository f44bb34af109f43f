package reporttest

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/result"
)

// Long returns a result of n samples with one dip of a single sample in it.
func Long(n int) *result.Result {
	r, _ := Fixture()
	r.Timeline = nil
	for i := range n {
		s := result.Sample{TimeS: float64(i+1) * r.Program.DurationS / float64(n), Line: i, HeldAreaMM2: 1e5,
			StockHeldMM2: 9e4, VacuumKPa: 80, LeastMargin: 6, LeastLow: 6, LeastHigh: 6}
		if i == n/3 {
			s.LeastMargin, s.LeastLow, s.VacuumKPa = 0.5, 0.5, 20
		}
		r.Timeline = append(r.Timeline, s)
	}
	return r
}

// Crowded is a result with 100,000 samples whose margins swing within every pixel column, 300 findings and 200 pieces.
func Crowded() *result.Result {
	const n = 100_000
	r := Long(n)
	r.Findings, r.Pieces = nil, r.Pieces[:1]
	for i := range r.Timeline {
		s := &r.Timeline[i]
		s.HeldAreaMM2, s.StockHeldMM2, s.FreedPieces = 2e5-float64(i)*0.3, 2e5-float64(i)*1.3, i/500
		s.VacuumKPa = 80 - float64(i)*1e-4 + 2*math.Sin(float64(i)*0.7)
		s.LeastMargin = 4 * math.Exp(math.Sin(float64(i)*1.3)*0.5+math.Sin(float64(i)*0.0003))
		s.LeastLow, s.LeastHigh = s.LeastMargin, s.LeastMargin
	}
	for i := range 300 {
		f := At(1 + i*310)
		f.TimeS, f.LastTimeS = r.Timeline[i*310].TimeS, r.Timeline[i*310+9].TimeS
		f.Margin = 0.7 + float64(i%7)/5
		if f.Margin > 1 {
			f.Level = result.LevelWarning
		}
		f.At, f.HasAt = orb.Point{float64(i%30) * 20, float64(i/30) * 40}, true
		r.Findings = append(r.Findings, f)
	}
	for k := range 200 {
		x, y := float64(k%20)*30, float64(k/20)*40
		r.Pieces = append(r.Pieces, result.Piece{ID: k + 2, Freed: true, State: result.State(k % 9 / 6),
			FreedTimeS: r.Timeline[k*500].TimeS,
			Outline:    orb.MultiPolygon{{Rectangle(x+3, y+3, 24, 34)}}, Centroid: orb.Point{x + 15, y + 20},
			Least: result.Least{Mode: result.Slip, Margin: 1.5}})
	}
	return r
}
