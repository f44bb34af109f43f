package doubt

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// scatterReadings is how many readings the usual scatter of their kind counts for beside what the readings themselves
// scatter (common practice, no source): few readings that agree by chance do not make a figure exact.
const scatterReadings = 4

// contradictionScore is how many standard deviations a measured figure and a known one may be apart: more happens by
// chance in 1 of 50.
const contradictionScore = 2.326

// Scatter tells of readings of a kind: one alone lies between Low and High times the true value (5 and 95 %).
type Scatter struct{ Low, High float64 }

// Measured is the range of a factor above 0 by readings of it. The likely value is their geometric mean; see Fitted.
func Measured(name string, readings []float64, kind Scatter) Input {
	logs := sortedLogs(readings)
	mean := 0.0
	for _, x := range logs {
		mean += x / float64(len(logs))
	}
	return Fitted(name, math.Exp(mean), readings, Fit{Figures: 1, Variance: 1 / float64(len(readings))}, kind)
}

// Fit tells how a likely value was found from n readings.
type Fit struct {
	Figures  int     // fitted to the readings, this one included
	Variance float64 // of the likely value over that of one reading: 1/n for a mean
}

// Fitted is the range of a factor above 0 whose likely value was fitted to readings, each of which gives one by itself.
//
// The ends are the 5 and 95 % points of what the next reading would show: ln x = ln likely -+ k s with
// k = t(0.95, d) sqrt(1 + Variance) and Student's t, which for a mean is the k_n of EN 1990, annex D, table D1, for a
// variance that is not known. The scatter s and its d degrees of freedom take in the scatter of the kind as if four
// readings more had shown it, so that one reading gives the range of its kind, and a reading no farther from the mean
// than s never widens it. The order of the readings does not matter.
func Fitted(name string, likely float64, readings []float64, fit Fit, kind Scatter) Input {
	squares := 0.0
	for _, x := range sortedLogs(readings) {
		squares += (x - math.Log(likely)) * (x - math.Log(likely))
	}
	d := float64(scatterReadings + len(readings) - fit.Figures)
	one := math.Log(kind.High/kind.Low) / 2 / nextReading(1, scatterReadings) // standard deviation of the kind
	s := math.Sqrt((scatterReadings*one*one + squares) / d)
	wider := nextReading(fit.Variance, d) * s / (nextReading(1, scatterReadings) * one)
	return Input{Name: name, Low: likely * math.Pow(kind.Low, wider), Likely: likely,
		High: likely * math.Pow(kind.High, wider)}
}

// sortedLogs are the logarithms of readings in rising order, so that their sum does not depend on the order.
func sortedLogs(readings []float64) []float64 {
	logs := make([]float64, len(readings))
	for i, x := range readings {
		logs[i] = math.Log(x)
	}
	slices.Sort(logs)
	return logs
}

// nextReading is how many standard deviations, estimated with d degrees of freedom, the next reading lies at most from
// a likely value of the given variance, in 19 of 20 cases on one side.
func nextReading(variance, d float64) float64 {
	return StudentT(d) * math.Sqrt(1+variance)
}

// StudentT is the 95 % point of Student's t with d degrees of freedom.
func StudentT(d float64) float64 { return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: d}.Quantile(0.95) }

// Combined joins two independent statements about one figure, each with the weight of its inverse variance (in
// logarithms for a factor, of the sides that face each other): each side's spread comes out no wider than the narrower
// of both. If they contradict each other, the ends are the wider ones. Name, unit and the rest are those of in.
func (in Input) Combined(other Input) (out Input, contradiction bool) {
	out = in
	switch {
	case in.Exact():
		return in, false
	case other.Exact():
		out.Low, out.Likely, out.High = other.Low, other.Likely, other.High
		return out, false
	}
	to, from := math.Log, math.Exp
	if in.Law == Normal {
		to, from = func(x float64) float64 { return x }, func(x float64) float64 { return x }
	}
	below := [2]float64{to(in.Likely) - to(in.Low), to(other.Likely) - to(other.Low)}
	above := [2]float64{to(in.High) - to(in.Likely), to(other.High) - to(other.Likely)}
	apart := to(other.Likely) - to(in.Likely)
	facing := [2]float64{above[0], below[1]} // the spreads that lie between the likely values
	if apart < 0 {
		facing = [2]float64{below[0], above[1]}
	}
	if both := math.Hypot(facing[0], facing[1]); both > 0 {
		out.Likely = from(to(in.Likely) + apart*facing[0]/both*facing[0]/both)
		if math.Abs(apart)*Score95 > contradictionScore*both {
			out.Low, out.High = math.Min(in.Low, other.Low), math.Max(in.High, other.High)
			return out, true
		}
	}
	out.Low = from(to(out.Likely) - together(below[0], below[1]))
	out.High = from(to(out.Likely) + together(above[0], above[1]))
	return out, false
}

// together is the spread of two independent statements, of which each alone has a or b.
func together(a, b float64) float64 {
	if a == 0 || b == 0 {
		return 0
	}
	return a * b / math.Hypot(a, b)
}
