package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"staydown/hold/doubt"
	"staydown/hold/material"
	"staydown/parse/units"
)

// ofItsKind stands in a source before the one that the spread of a single value comes from.
const ofItsKind = "; spread of its kind: "

// figure reads a doubtful quantity: one value, which takes the spread of its kind, or [low, high], or
// [low, likely, high]. Two equal values are exact. It is not ok when the key is missing or wrong; the latter has then
// been reported.
func (s section) figure(name string, k kind, in span, of material.Kind) (material.Range, bool) {
	return s.ranged(name, of, in, func(v *node) (float64, bool) { return s.measure(v, name, k, in) })
}

// numberFigure is figure for a bare number.
func (s section) numberFigure(name string, in span, of material.Kind) (material.Range, bool) {
	return s.ranged(name, of, in, func(v *node) (float64, bool) { return s.bareNumber(v, name, in) })
}

// ranged reads each value of a doubtful quantity with one.
func (s section) ranged(name string, of material.Kind, in span, one func(*node) (float64, bool)) (material.Range,
	bool) {
	v, ok := s.usable(name)
	if !ok {
		return material.Range{}, false
	}
	sp := of.Spread()
	if v.form != list {
		x, ok := one(v)
		return clipped(single(x, of, fromFile), in), ok
	}
	const do = "write one value, [low, high] or [low, likely, high] (5, 50 and 95 %)"
	if n := len(v.items); n < 2 || n > 3 {
		s.say(v.at, name, fmt.Sprintf("a list of %d where a range is wanted", n), do)
		return material.Range{}, false
	}
	values := make([]float64, len(v.items))
	for i, item := range v.items {
		x, good := one(item)
		values[i], ok = x, ok && good
	}
	if !ok {
		return material.Range{}, false
	}
	low, high := values[0], values[len(values)-1]
	likely := values[1]
	switch {
	case len(values) == 3:
	case sp.Law == doubt.Lognormal:
		likely = math.Sqrt(low) * math.Sqrt(high)
	default:
		likely = (low + high) / 2
	}
	if low == high {
		likely = low
	}
	if !(low <= likely && likely <= high) {
		s.say(v.at, name, "the values of the range do not rise", do)
		return material.Range{}, false
	}
	if sp.Law == doubt.Lognormal && low <= 0 && high > 0 {
		s.say(v.items[0].at, name, "the low end of the range is 0", "write what it hardly ever falls below, above 0")
		return material.Range{}, false
	}
	return material.Range{Low: low, Likely: likely, High: high, Source: fromFile}, true
}

// noRange reports a list where one value is wanted, and the key whose range says how far this one may be off.
func (r *reader) noRange(v *node, name, wanted, example string) {
	do := "write one value, e.g. " + example
	switch name {
	case "edge_force", "radial_ratio", "exponent", "rake":
		do += "; its doubt is part of specific_force"
	case "shear", "yield":
		do += "; its doubt is part of tensile or shear"
	case "along":
		do += "; its doubt is part of through"
	case "size", "corner", "bottom":
		do += "; its doubt is the tolerance of the stock"
	}
	r.say(v.at, name, fmt.Sprintf("a list where %s is wanted", wanted), do)
}

// single is the range of a value that stands alone.
func single(x float64, of material.Kind, source string) material.Range {
	sp := of.Spread()
	if r := sp.Around(x, source+ofItsKind+sp.Source); r.Low < r.High {
		return r
	}
	return material.Exact(x, source)
}

// clipped keeps the ends of a range that was not written by hand inside of what the key may hold.
func clipped(r material.Range, in span) material.Range {
	r.Low, r.High = min(max(r.Low, in.low), r.Likely), max(min(r.High, in.high), r.Likely)
	return r
}

// typed tells whether the job file gives a figure, with or without its spread.
func typed(r material.Range) bool { return strings.HasPrefix(r.Source, fromFile) }

// doubted notes a figure of the job that is not known exactly. One without spread is none.
func (r *reader) doubted(d Doubt, figure material.Range) {
	d.Low, d.Likely, d.High, d.Source = figure.Low, figure.Likely, figure.High, figure.Source
	if !d.Exact() {
		r.doubts = append(r.doubts, d)
	}
}

// assumeSpreads tells the spreads that were taken for want of a range, those alike in one line.
func (r *reader) assumeSpreads() {
	var alike []units.Statement
	names := map[string][]string{}
	for _, d := range r.doubts {
		_, from, ok := strings.Cut(d.Source, ofItsKind)
		if !ok {
			continue
		}
		one := units.Statement{Format: "%s to %s assumed, likely %s (%s)", Args: append(spreadOf(d.Input), from)}
		text := one.In(units.Metric)
		if names[text] == nil {
			alike = append(alike, one)
		}
		names[text] = append(names[text], d.Name)
	}
	for _, one := range alike {
		whose := strings.Join(names[one.In(units.Metric)], ", ")
		r.assume("%s: "+one.Format, append([]any{whose}, one.Args...)...)
	}
}

// spreadOf gives the low end, the high one with its unit and the likely figure of a range; lengths and flows are
// written in the units of the shop.
func spreadOf(in doubt.Input) []any {
	kind := units.Length
	switch in.Unit {
	case "mm":
	case "m3/h":
		kind = units.Flow
	default:
		return []any{short(in.Low), strings.TrimRight(short(in.High)+" "+in.Unit, " "), short(in.Likely)}
	}
	end := func(x float64, bare bool) units.Spread {
		return units.Spread{Figure: units.Figure{Kind: kind, X: x}, Bare: bare}
	}
	return []any{end(in.Low, true), end(in.High, false), end(in.Likely, true)}
}

// short writes an end of a range with three figures.
func short(x float64) string { return strconv.FormatFloat(x, 'g', 3, 64) }
