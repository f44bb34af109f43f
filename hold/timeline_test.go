package hold

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// At every sample the least margin is that of the steps under way and of those that ended since the sample before; a
// step with several pieces counts with the worst. Against a count over all steps.
func TestLeastMarginsAtTheSamples(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	times := []float64{0, 0.5, 2, 2.25, 3, 7, 7.5, 12}
	m := newMarks(times)
	want := slices.Repeat([]float64{math.Inf(1)}, len(times))
	from := 0.0
	for step := range 60 {
		to := from + float64(r.IntN(4))/8 // often at a sample, sometimes an instant
		for range 1 + r.IntN(3) {
			margin := 1 + r.Float64()
			m.note(trial{step: step, timeS: from, margin: margin}, to)
			before := math.Inf(-1)
			for i, at := range times {
				if from <= at && at < to || before < to && to <= at {
					want[i] = min(want[i], margin)
				}
				before = at
			}
		}
		from = to
	}
	if !slices.Equal(m.least, want) {
		t.Errorf("got %v, want %v", m.least, want)
	}
}

// In a short program every block that moves has a sample at its end, be it a rapid of a few milliseconds among feeds of
// minutes.
func TestEveryBlockOfAShortProgramHasASample(t *testing.T) {
	r := road(t, squaresAt(40, 30, 20, 120), aPlate().toml()).Result
	seen := map[int]bool{}
	for _, s := range r.Timeline {
		seen[s.Line] = true
	}
	for line := 6; line <= 18; line++ { // plunge, four sides, up, over, and the same again
		if !seen[line] {
			t.Errorf("line %d has no sample", line)
		}
	}
	if len(r.Timeline) > maxSamples {
		t.Errorf("%d samples", len(r.Timeline))
	}
}
