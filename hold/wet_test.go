package hold

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// A square under a light last pass, all of it slipping: its resistance goes with friction, so the wet margin is to the
// dry one as the two figures of the job are.
func TestWetFrictionFromTheBlockThatTurnsOnCoolant(t *testing.T) {
	job := aPlate().toml()
	wetJob := strings.Replace(job, "friction = 0.35", "friction = 0.35\nfriction_wet = 0.14", 1)
	program := square(50, 600, 5.6, 6.2)
	last := strings.Index(program, "G1 Z-6.2")
	dry := road(t, program, wetJob).Result.Pieces[1].Least
	for _, row := range []struct {
		name, program, job string
		want               float64 // wet margin over dry
	}{
		{"M8 before the last pass", program[:last] + "M8\n" + program[last:], wetJob, 0.14 / 0.35},
		{"M8 from the start", "M8\n" + program, wetJob, 0.14 / 0.35},
		{"turned off before the last pass: it stays wet", "M8\n" + program[:last] + "M9\n" + program[last:], wetJob,
			0.14 / 0.35},
		{"M8 behind the last cut", strings.Replace(program, "M30", "M8\nM30", 1), wetJob, 1},
		{"M8 is air", "M8\n" + program, wetJob + "[machine]\nm8 = \"air\"\n", 1},
		{"M7 is the extraction", "M7\n" + program, wetJob + "[machine]\nm7 = \"extraction\"\n", 1},
		{"M7 is mist", "M7\n" + program, wetJob + "[machine]\nm7 = \"mist\"\n", 0.14 / 0.35},
		// Metal on board 0.3 dry and 0.2 wet: hold/material, Pairs.
		{"wet in the proportion of the pair", "M8\n" + program, job, 0.2 / 0.3},
	} {
		got := road(t, row.program, row.job).Result.Pieces[1].Least
		if math.Abs(got.Margin/dry.Margin-row.want) > 0.01*row.want {
			t.Errorf("%s: margin %.3f, dry %.3f: ratio %.3f, want %.3f", row.name, got.Margin, dry.Margin,
				got.Margin/dry.Margin, row.want)
		}
	}
}

// What the program's coolant is taken to be is said where the job does not say it, and only then.
func TestCoolantThatIsAssumed(t *testing.T) {
	program := "M8\n" + square(40, 600, 5.6, 6.2)
	const words = "M8 is assumed to turn on flood coolant ([machine] m8)"
	if got := road(t, program, aPlate().toml()).Result.Assumed; !slices.Contains(got, words) {
		t.Errorf("%q is missing in %q", words, got)
	}
	if got := road(t, program, aPlate().toml()+"[machine]\nm8 = \"flood\"\n").Result.Assumed; slices.Contains(got,
		words) {
		t.Error("said though the job tells it")
	}
}
