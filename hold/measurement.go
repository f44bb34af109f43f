package hold

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"staydown/hold/doubt"
	"staydown/hold/result"
)

// measurement is a way to narrow the range of a margin down.
type measurement struct {
	how  string
	left float64 // standard deviation of the logarithm of the margin once it is made
}

// measurements are the ways that are known for the inputs of a margin with these responses, those that leave the least
// doubt first, and the deviation without any. One measurement may narrow several inputs.
func (r *ranges) measurements(responses []doubt.Response) (list []measurement, deviation float64) {
	total := 0.0
	for k := range responses {
		total += responses[k].Variance()
	}
	for k := range responses {
		in := &r.inputs[k]
		narrowed := in.Narrowed()
		if in.Measure == "" || narrowed >= 1 || responses[k].None() {
			continue
		}
		i := slices.IndexFunc(list, func(m measurement) bool { return m.how == in.Measure })
		if i < 0 {
			i = len(list)
			list = append(list, measurement{in.Measure, total}) // a variance until all inputs are in
		}
		list[i].left -= responses[k].Variance() * (1 - narrowed*narrowed)
	}
	for i := range list {
		list[i].left = math.Sqrt(math.Max(0, list[i].left))
	}
	slices.SortStableFunc(list, func(m, o measurement) int { return cmp.Compare(m.left, o.left) })
	return list, math.Sqrt(total)
}

// MostMeasurements bounds the measurements that a working names.
const MostMeasurements = 5

// measurementSection lists what to measure first, with the range of a margin that is then to be expected.
func (a *Analysis) measurementSection(t trial, responses []doubt.Response) result.Section {
	list, deviation := a.ranges.measurements(responses)
	ends := func(deviation float64) string { return fmt.Sprintf("%.2f", math.Exp(2*doubt.Score95*deviation)) }
	out := result.Section{Title: fmt.Sprintf("what to measure for the margin of piece %d: high over low end, now "+
		"%s, then",
		t.piece, ends(deviation))}
	for _, m := range list[:min(len(list), MostMeasurements)] {
		out.Rows = append(out.Rows, text(m.how, ends(m.left)))
	}
	return out
}
