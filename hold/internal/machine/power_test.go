package machine

import (
	"testing"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// A clamp that is turned off presses nothing from then on; on the border of two moves it must press in both.
func TestOutputsSwitchClamps(t *testing.T) {
	release := parse.Output{M: 65, P: 1}
	j := &job.Job{Clamps: []job.Clamp{{Name: "left"}, {Name: "right"}}}
	j.Machine.Outputs = []job.Switch{{Output: release, What: job.SwitchesClamp, Name: "right"}}
	p := NewPlan(&parse.Program{Outputs: []parse.OutputChange{{Output: release, Move: 7}}}, j)
	for _, c := range []struct {
		clamp int
		at    sweep.Progress
		on    bool
	}{{0, 3, true}, {1, 6.9, true}, {1, 7, false}, {1, 7.1, false}, {0, 9, true}} {
		if got := p.ClampOn(c.clamp, c.at); got != c.on {
			t.Errorf("clamp %d at %g: %v", c.clamp, c.at, got)
		}
	}
}
