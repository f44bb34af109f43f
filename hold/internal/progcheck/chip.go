package progcheck

import (
	"fmt"
	"math"

	"staydown/hold/internal/steploads"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/sweep"
)

const (
	// greatestChip is the feed per tooth over the diameter above which feed, speed or flutes are probably wrong: common
	// practice, no source; usual are 0.005 to 0.04.
	greatestChip = 0.1
	// leastCuttingMMin is the cutting speed, m/min, below which S is probably wrong: common practice, no source;
	// sheet of any material is milled faster.
	leastCuttingMMin = 25.0
)

// Chips warns of chips too thick for the cutter, once for each tool, with the thickest. All loads depend on
// them. Steps that are not sound, whose chips are implausible, are left out.
func (c *Checks) Chips(sound func(*sweep.Step) bool) []result.Finding {
	type tally struct {
		worst  *sweep.Step
		chipMM float64
		lines  steploads.Blocks
	}
	of := map[int32]*tally{}
	var tools []int32
	for i := range c.Rec.Steps.Len() {
		s := c.Rec.Steps.At(i)
		m := c.Prog.Moves.At(int(s.Move))
		tool := c.Job.Tools[int(m.Tool)]
		if s.Flags&(sweep.Rub|sweep.Retract|sweep.RapidCut) != 0 || !(m.RPM > 0) {
			continue
		}
		chip := m.FeedMMMin / m.RPM / float64(max(1, tool.Flutes))
		if chip <= greatestChip*tool.DiameterMM {
			continue
		}
		if !sound(s) {
			continue // reported as cut-data
		}
		t := of[m.Tool]
		if t == nil {
			t = &tally{lines: steploads.Blocks{}}
			of[m.Tool], tools = t, append(tools, m.Tool)
		}
		t.lines[m.Line] = true
		if chip > t.chipMM {
			t.worst, t.chipMM = s, chip
		}
	}
	var out []result.Finding
	for _, n := range tools {
		t := of[n]
		tool, m := c.Job.Tools[int(n)], c.Prog.Moves.At(int(t.worst.Move))
		where := ""
		if more := len(t.lines) - 1; more > 0 {
			where = fmt.Sprintf(", here and in %s", wording.Count(more, "more block", "more blocks"))
		}
		out = append(out, c.AtStep(result.RuleChipLoad, result.LevelWarning, t.worst, fmt.Sprintf(
			"tool %d takes %s per tooth, more than a tenth of its diameter of %s%s (%s, S%.0f, %s): %s; all "+
				"loads depend on it",
			n, c.Units.Depth().Text(t.chipMM), c.Units.Length().Text(tool.DiameterMM), where,
			c.Prog.FeedWord(c.Units, m.FeedMMMin), m.RPM,
			wording.Count(tool.Flutes, "flute", "flutes"), c.chipCause(tool.DiameterMM, tool.Flutes, t.chipMM, m.RPM))))
	}
	return out
}

// chipCause names the probable cause of a thick chip.
func (c *Checks) chipCause(diameterMM float64, flutes int, chipMM, rpm float64) string {
	cutting := math.Pi * diameterMM * rpm / 1000 // m/min
	switch {
	case cutting < leastCuttingMMin:
		return fmt.Sprintf("S is probably too low, cutting speed is %s", c.Units.CuttingSpeed().Text(1000*cutting))
	case flutes == 1 && chipMM/2 <= greatestChip*diameterMM:
		return "the number of flutes in the job file is probably wrong"
	}
	return "F is probably too high, or in another unit"
}
