package cutload

import (
	"errors"
	"math"
	"strings"
	"testing"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/parse"
	"staydown/parse/units"
	"staydown/sweep"
)

func TestNonsenseIsRefusedWithAdvice(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*material.Work, *job.Tool, *Cut)
		says   string
	}{
		{"spindle off", func(_ *material.Work, _ *job.Tool, c *Cut) { c.Spindle = parse.SpindleStopped },
			"stopped"},
		{"no speed", func(_ *material.Work, _ *job.Tool, c *Cut) { c.RPM = 0 }, "no speed"},
		{"no feed", func(_ *material.Work, _ *job.Tool, c *Cut) { c.FeedMMMin = 0 }, "without a feed"},
		{"5 mm per tooth", func(_ *material.Work, _ *job.Tool, c *Cut) { c.FeedMMMin = 5 * 2 * c.RPM },
			"5 mm per tooth"},
		{"feed without end", func(_ *material.Work, _ *job.Tool, c *Cut) { c.FeedMMMin = math.Inf(1) }, "feed"},
		{"no flutes", func(_ *material.Work, t *job.Tool, _ *Cut) { t.Flutes = 0 }, "0 flutes"},
		{"no diameter", func(_ *material.Work, t *job.Tool, _ *Cut) { t.DiameterMM = 0 }, "diameter"},
		{"upright helix", func(_ *material.Work, t *job.Tool, _ *Cut) { t.HelixRad = math.Pi / 2 }, "helix"},
		{"compression tool without helix", func(_ *material.Work, t *job.Tool, _ *Cut) { t.UpcutMM = 8 },
			"up-cut to 8 mm"},
		{"right-hand tool backwards", func(_ *material.Work, t *job.Tool, c *Cut) {
			t.Hand, c.Spindle = job.RightHand, parse.SpindleCounterclockwise
		}, "turns counter-clockwise (M4)"},
		{"left-hand tool backwards", func(_ *material.Work, t *job.Tool, _ *Cut) { t.Hand = job.LeftHand },
			"turns clockwise (M3)"},
		{"rake of a turn", func(_ *material.Work, t *job.Tool, _ *Cut) { t.RakeRad = 6 }, "rake"},
		{"vee without angle", func(_ *material.Work, t *job.Tool, _ *Cut) { t.Shape = sweep.Vee }, "point angle"},
		{"corner too large", func(_ *material.Work, t *job.Tool, _ *Cut) { t.Shape, t.CornerMM = sweep.Bull, 4 },
			"corner"},
		{"run-out", func(_ *material.Work, t *job.Tool, _ *Cut) { t.RunoutMM = -1 }, "runs out"},
		{"arc turned round", func(_ *material.Work, _ *job.Tool, c *Cut) { c.RightRad, c.LeftRad = 1, 0 }, "engaged"},
		{"arc unknown", func(_ *material.Work, _ *job.Tool, c *Cut) { c.RightRad = math.NaN() }, "engaged"},
		{"negative depth", func(_ *material.Work, _ *job.Tool, c *Cut) { c.DepthMM = -1 }, "deep"},
		{"slope", func(_ *material.Work, _ *job.Tool, c *Cut) { c.RampRad = 2 }, "slope"},
		{"no material", func(w *material.Work, _ *job.Tool, _ *Cut) { *w = material.Work{} }, "specific cutting force"},
		{"exponent", func(w *material.Work, _ *job.Tool, _ *Cut) { w.MC.Likely = 1.2 }, "exponent"},
		{"edge", func(w *material.Work, _ *job.Tool, _ *Cut) { w.Edge.Likely = -1 }, "edge force"},
	} {
		work, _ := material.WorkNamed("aluminium-wrought")
		tool, cut := endMill(6, 2), side(6, 3, 3, 1800, 18000)
		c.change(&work, &tool, &cut)
		_, err := Cutting(work, tool, cut)
		var sense *InputError
		if !errors.As(err, &sense) {
			t.Errorf("%s: error %v", c.name, err)
			continue
		}
		if !strings.Contains(err.Error(), c.says) || sense.Do == "" {
			t.Errorf("%s: %q", c.name, err)
		}
		if _, again := NewCache(work).Cutting(tool, cut); again == nil || again.Error() != err.Error() {
			t.Errorf("%s: the cache says %v", c.name, again)
		}
		if _, _, again := Explain(work, tool, cut); again == nil {
			t.Errorf("%s: it is explained", c.name)
		}
	}
	// By hand: 10 mm/min over 1 1/min and 2 flutes is 5 mm, 0.1969 in; 3 mm is 0.1181 in.
	work, _ := material.WorkNamed("aluminium-wrought")
	cut := side(6, 3, 3, 1800, 18000)
	cut.FeedMMMin = 5 * 2 * cut.RPM
	_, err := Cutting(work, endMill(6, 2), cut)
	var sense *InputError
	if !errors.As(err, &sense) || sense.In(units.Inch) != "the feed is 0.1969 in per tooth; lower F or raise S; no "+
		"load is "+
		"computed above 0.1181 in per tooth" {
		t.Errorf("in inches: %v", err)
	}
}
