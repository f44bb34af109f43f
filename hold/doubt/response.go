package doubt

import "math"

// Knots are the scores at which a Response is known: the ends, the likely value, and between.
var Knots = [5]float64{-Score95, -0.8, 0, 0.8, Score95}

// Response tells how far the logarithm of something moves with the score of one input, at the Knots; that of the likely
// value is 0. Between knots and beyond the ends it goes on straight.
type Response [5]float64

// Straight is the response that is known at the ends alone.
func Straight(low, high float64) Response {
	return Response{low, low * 0.8 / Score95, 0, high * 0.8 / Score95, high}
}

// Of is the response at a score.
func (r *Response) Of(score float64) float64 {
	i := 0
	switch {
	case score >= Knots[3]:
		i = 3
	case score >= 0:
		i = 2
	case score >= Knots[1]:
		i = 1
	}
	return r[i] + (r[i+1]-r[i])*(score-Knots[i])/(Knots[i+1]-Knots[i])
}

// None tells that the input does not matter: less than 1e-4 at every knot.
func (r *Response) None() bool {
	const least = 1e-4
	for _, x := range r {
		if math.Abs(x) >= least {
			return false
		}
	}
	return true
}

// Slope is the mean change per score from end to end.
func (r *Response) Slope() float64 { return (r[4] - r[0]) / (2 * Score95) }

// Variance is that of the response to a standard normal score, taken for two straight lines from the likely value to
// the ends: with a and b per score it is (a^2 + b^2)/2 - (b - a)^2/(2 pi).
func (r *Response) Variance() float64 {
	a, b := -r[0]/Score95, r[4]/Score95
	return (a*a+b*b)/2 - (b-a)*(b-a)/(2*math.Pi)
}
