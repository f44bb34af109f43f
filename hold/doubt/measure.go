package doubt

import "math"

// Narrowed is the spread that is left of the input once it was measured, over what it is now: 1 where nothing is
// gained. The measurement is taken to find the likely value.
func (in Input) Narrowed() float64 {
	if in.Exact() || in.Reading == (Scatter{}) {
		return 1
	}
	reading := in
	if in.Law == Normal {
		reading.Low, reading.High = in.Likely+in.Reading.Low, in.Likely+in.Reading.High
	} else {
		reading.Low, reading.High = in.Likely*in.Reading.Low, in.Likely*in.Reading.High
	}
	left, _ := in.Combined(reading)
	return left.width() / in.width()
}

// width is the way from the low to the high end, in logarithms of a lognormal input.
func (in Input) width() float64 {
	if in.Law == Normal {
		return in.High - in.Low
	}
	return math.Log(in.High / in.Low)
}
