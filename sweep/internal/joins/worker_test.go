package joins

import "testing"

// Each worker keeps up to every stroke of the program: 20 million moves leave room for one.
func TestLongProgramsHaveFewWorkers(t *testing.T) {
	for _, c := range []struct{ jobs, moves, want int }{
		{8, 0, 8}, {8, 1_000_000, 8}, {8, 2_000_000, 4}, {2, 2_000_000, 2}, {8, 20_000_000, 1}, {0, 100, 1},
	} {
		if got := workersFor(c.jobs, c.moves); got != c.want {
			t.Errorf("%d jobs, %d moves: %d workers, want %d", c.jobs, c.moves, got, c.want)
		}
	}
}
