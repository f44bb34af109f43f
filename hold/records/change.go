package records

import (
	"math"
	"slices"

	"staydown/hold/doubt"
)

// Change is what one record does to the likely value of an input, in the input's unit.
type Change struct {
	Input         doubt.Input
	With, Without float64
}

// tellingShift is the least shift of an input's median score that Changes tells.
const tellingShift = 0.1

// Changes gives for each record the inputs whose likely value it moves, the most moved first: with all records and with
// all but that one. Of two records that explain one another, one may so move an input the other way.
func Changes(all []Record) [][]Change {
	inputs := Missing(all, nil)
	s := doubt.NewSample(len(inputs))
	medians := func(of []Record) []float64 {
		out := make([]float64, len(inputs))
		if l := Update(of, s, inputs); l != nil {
			for k := range out {
				out[k] = l.All.Quantiles(l.All.Scores(k), 0.5)[0]
			}
		}
		return out
	}
	with := medians(all)
	out := make([][]Change, len(all))
	for i := range all {
		without := medians(slices.Delete(slices.Clone(all), i, i+1))
		var order []int
		for k := range inputs {
			if math.Abs(with[k]-without[k]) >= tellingShift {
				order = append(order, k)
			}
		}
		slices.SortStableFunc(order, func(a, b int) int {
			if math.Abs(with[a]-without[a]) > math.Abs(with[b]-without[b]) {
				return -1
			}
			return 1
		})
		for _, k := range order {
			out[i] = append(out[i], Change{inputs[k], inputs[k].At(with[k]), inputs[k].At(without[k])})
		}
	}
	return out
}
