package hold

import (
	"fmt"
	"math"

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
