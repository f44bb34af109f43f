package reporttest

import (
	"math"

	"staydown/hold/result"
)

// Variant is a made-up row: one piece with the least margin, low and high.
func Variant(verdict result.Verdict, low, margin, high, vacuumKPa, setKPa float64, values ...string) result.Variant {
	r := &result.Result{Verdict: verdict, Margin: 2, Vacuum: result.Vacuum{LeastKPa: vacuumKPa,
		AlarmSetpointKPa: setKPa}}
	if !math.IsNaN(margin) {
		r.Pieces = []result.Piece{{ID: 2, Least: result.Least{Mode: result.Slip, Margin: margin, Low: low, High: high}}}
	}
	return result.Variant{Values: values, Result: r}
}

// ThreeVariants has a margin with a range, one without, and a variant that could not be analyzed.
func ThreeVariants() *result.Variants {
	nan := math.NaN()
	return &result.Variants{Program: "part.nc", SHA256: "ab", Keys: []string{"pump.flow", "site.altitude"},
		Rows: []result.Variant{
			Variant(result.Held, 2.104, 3.217, 4.5, 81.239, 40.01, "100 m3/h", "0 m"),
			Variant(result.Loose, nan, 0.996, nan, 61, nan, "100 m3/h", "2000 m"),
			Variant(result.Incomplete, nan, nan, nan, nan, nan, "60 m3/h", "0 m"),
		}}
}
