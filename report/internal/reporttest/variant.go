package reporttest

import (
	"math"

	"staydown/hold/result"
)

// Margin is a least margin with its ends; NaN where there is none.
type Margin struct{ Low, Likely, High float64 }

// Variant is a made-up row: one piece with a least margin.
func Variant(verdict result.Verdict, m Margin, vacuumKPa, setKPa float64, values ...string) result.Variant {
	r := &result.Result{Verdict: verdict, Margin: 2, Vacuum: result.Vacuum{LeastKPa: vacuumKPa,
		AlarmSetpointKPa: setKPa}}
	if !math.IsNaN(m.Likely) {
		r.Pieces = []result.Piece{{ID: 2, Least: result.Least{Mode: result.Slip, Margin: m.Likely, Low: m.Low,
			High: m.High}}}
	}
	return result.Variant{Values: values, Result: r}
}

// ThreeVariants has a margin with a range, one without, and a variant that could not be analyzed.
func ThreeVariants() *result.Variants {
	nan := math.NaN()
	return &result.Variants{Program: "part.nc", SHA256: "ab", Keys: []string{"pump.flow", "site.altitude"},
		Rows: []result.Variant{
			Variant(result.Held, Margin{2.104, 3.217, 4.5}, 81.239, 40.01, "100 m3/h", "0 m"),
			Variant(result.Loose, Margin{nan, 0.996, nan}, 61, nan, "100 m3/h", "2000 m"),
			Variant(result.Incomplete, Margin{nan, nan, nan}, nan, nan, "60 m3/h", "0 m"),
		}}
}
