package hold

import (
	"math"
	"testing"

	"staydown/hold/doubt"
)

// By hand: a measurement as good as what is known halves the variance of each input that it tells. Of responses to the
// ends of 0.3, 0.4 and 0.5 the squares sum to 0.50; a pull leaves (0.09 + 0.16)/2 + 0.25 = 0.375, the power, which may
// be as far off as three quarters of what is known (so that 3/5 is left), 0.25 + 0.36 x 0.25 = 0.34.
func TestMeasurementsInTheOrderOfWhatTheyLeave(t *testing.T) {
	known := doubt.Input{Low: 0.5, Likely: 1, High: 2}
	pull, power, none := known, known, known
	pull.Measure, pull.Reading = "pull", doubt.Scatter{Low: 0.5, High: 2}
	power.Measure = "power"
	power.Reading = doubt.Scatter{Low: math.Pow(0.5, 0.75), High: math.Pow(2, 0.75)}
	none.Measure = "no reading is known"
	r := &ranges{inputs: []doubt.Input{pull, pull, power, none}}
	list, deviation := r.measurements([]doubt.Response{doubt.Straight(-0.3, 0.3), doubt.Straight(0.4, -0.4),
		doubt.Straight(0.5, -0.5), doubt.Straight(0, 0)})
	if want := math.Sqrt(0.5) / doubt.Score95; math.Abs(deviation-want) > 1e-12 {
		t.Errorf("deviation %v, want %v", deviation, want)
	}
	if len(list) != 2 || list[0].how != "power" || list[1].how != "pull" {
		t.Fatalf("%+v", list)
	}
	for i, want := range []float64{0.34, 0.375} {
		if got := list[i].left * doubt.Score95; math.Abs(got-math.Sqrt(want)) > 1e-12 {
			t.Errorf("%s leaves %v, want %v", list[i].how, got*got, want)
		}
	}
}
