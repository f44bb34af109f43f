package picture

import (
	"math"
	"strconv"

	"staydown/hold/wording"
	"staydown/parse/units"
)

// Axis maps values to canvas points along one direction.
type Axis struct {
	Lo, Hi   float64 // values
	From, To float64 // points
	Log      bool
}

// At places a value; values off the scale land on its ends, and what is no number at its start.
func (a Axis) At(v float64) float64 {
	if math.IsNaN(v) {
		v = a.Lo
	}
	v = math.Max(a.Lo, math.Min(v, a.Hi))
	lo, hi := a.Lo, a.Hi
	if a.Log {
		v, lo, hi = math.Log(v), math.Log(lo), math.Log(hi)
	}
	return a.From + (v-lo)/(hi-lo)*(a.To-a.From)
}

type tick struct {
	value float64
	label string
}

// timeSteps are the distances between time ticks that people read at a glance, seconds.
var timeSteps = [...]float64{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 21600, 43200, 86400}

// timeTicks gives at most most ticks from 0 to spanS, labeled h:mm:ss.
func timeTicks(spanS float64, most int) []tick {
	step := timeSteps[len(timeSteps)-1]
	for _, s := range timeSteps {
		if spanS/s <= float64(most) {
			step = s
			break
		}
	}
	for spanS/step > float64(most) {
		step *= 2
	}
	var out []tick
	for k := 0; float64(k)*step <= spanS*(1+1e-9); k++ {
		out = append(out, tick{float64(k) * step, wording.Clock(float64(k) * step)})
	}
	return out
}

// linearTicks gives ticks on round numbers (1, 2 or 5 times a power of ten) of a unit from lo to hi.
func linearTicks(lo, hi float64, most int, unit units.Unit) []tick {
	lo, hi = unit.In(lo), unit.In(hi)
	if !(hi > lo) {
		return nil
	}
	raw := (hi - lo) / float64(most)
	decade := math.Pow(10, math.Floor(math.Log10(raw)))
	step := 10 * decade
	for _, m := range []float64{1, 2, 5} {
		if m*decade >= raw {
			step = m * decade
			break
		}
	}
	decimals := max(0, int(-math.Floor(math.Log10(step)+1e-9)))
	var out []tick
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi+step*1e-9; k++ {
		out = append(out, tick{k * step * unit.Size, strconv.FormatFloat(k*step+0, 'f', decimals, 64)})
	}
	return out
}

// roundUpIn is the next round number of a unit at or above v.
func roundUpIn(v float64, unit units.Unit) float64 { return unit.Size * roundUp(unit.In(v)) }

// roundUp is the next round number (1, 1.5, 2, 3, 4, 5, 6 or 8 times a power of ten) at or above v.
func roundUp(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 1) {
		return 1
	}
	decade := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{1, 1.5, 2, 3, 4, 5, 6, 8} {
		if m*decade >= v*(1-1e-12) {
			return m * decade
		}
	}
	return 10 * decade
}

// logTicks gives ticks at 1, 2 and 5 times the powers of ten between lo and hi.
func logTicks(lo, hi float64) []tick {
	var out []tick
	for e := math.Floor(math.Log10(lo)); e <= math.Ceil(math.Log10(hi)); e++ {
		for _, m := range []float64{1, 2, 5} {
			v := m * math.Pow(10, e)
			if v >= lo*(1-1e-9) && v <= hi*(1+1e-9) {
				out = append(out, tick{v, strconv.FormatFloat(v, 'g', 3, 64)})
			}
		}
	}
	return out
}
