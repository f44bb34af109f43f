package hold

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"staydown/hold/doubt"
	"staydown/hold/result"
)

// doubtSections tell of what moves the margin of a check, and what to measure first.
func (a *Analysis) doubtSections(t trial) []result.Section {
	responses := a.ranges.respond(a, t).to
	out := []result.Section{a.doubtSection(t, responses)}
	if measure := a.measurementSection(t, responses); len(measure.Rows) > 0 {
		out = append(out, measure)
	}
	return out
}

// doubtSection lists the inputs that move the margin of a check: their ranges, the change of the logarithm of the
// margin per score, and the share of each in its variance.
func (a *Analysis) doubtSection(t trial, responses []doubt.Response) result.Section {
	out := result.Section{Title: fmt.Sprintf("inputs in doubt, and what they do to the margin of piece %d", t.piece)}
	total := 0.0
	for k := range responses {
		total += responses[k].Variance()
	}
	for _, d := range a.ranges.doubts(responses) {
		in := fmt.Sprintf("%.4g, likely %.4g, to %.4g", d.Range.Low, d.Range.Likely, d.Range.High)
		if d.Unit != "" {
			in += " " + d.Unit
		}
		out.Rows = append(out.Rows, text(d.Input, fmt.Sprintf("%s; slope %+.3f, share %.0f %% [%s]", in, d.Slope,
			100*d.Share, d.Source)))
	}
	spread := doubt.Score95 * math.Sqrt(total)
	out.Rows = append(out.Rows,
		text("slope", "change of the natural logarithm of the margin per normal score; the high value has score 1.645"),
		result.Row{What: "margin over its low end, and high end over it", Formula: "about exp(1.645 sqrt(sum of the " +
			"variances))",
			Value: math.Exp(spread)})
	return out
}

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
