package sweep

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"staydown/sweep/internal/joins"
	"staydown/sweep/internal/removal"
	"staydown/sweep/internal/testprog"
)

// A record that is joined anew is that of a run with the same bounds, and the old one stays as it is.
func TestRejoinedIsARunWithOtherBounds(t *testing.T) {
	within := func(mm2 float64) func(*removal.Step) joins.Neck {
		return func(*removal.Step) joins.Neck { return joins.Neck{WidthMM: mm2 / 6, SectionMM2: mm2, BendMM2: mm2} }
	}
	run := func(mm2 float64, keep bool) *Record {
		moves := movesOf(tabbed(50, 50, 20, 0, 6, 1.5).Moves)
		r, err := Run(moves, testprog.EndMill(6), testprog.Plate(100, 100, 6), Options{CellMM: 0.5, KeepJoins: keep,
			Neck: within(mm2)})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	state := func(r *Record) string {
		return fmt.Sprintf("%+v %v %q %d", r.Pieces, r.Hanging, r.Assumed,
			r.Steps.Len())
	}
	large, small := run(100, true), run(1, false)
	if state(large) == state(small) || small.Rejoined(within(100)) != nil {
		t.Fatal("the bounds change nothing, or what was not kept is joined anew")
	}
	before := state(large)
	again := large.Rejoined(within(1))
	if d := cmp.Diff(state(small), state(again)); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(state(run(100, false)), state(again.Rejoined(within(100)))); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(before, state(large)); d != "" {
		t.Errorf("the first record changed: %s", d)
	}
}
