package cutload

import (
	"fmt"
	"math"

	"staydown/hold/job"
	"staydown/hold/material"
)

// Term is one quantity of a load's working: what it is, the symbol used in the formulas below it, how it follows from
// the others, its value and where it comes from.
type Term struct {
	What    string
	Symbol  string
	Formula string // in symbols; "" for a given quantity
	Value   float64
	Unit    string
	Source  string
	Text    string // instead of a value
}

const (
	milledBy  = "milling formula page of a 2018 tool catalogue, p. 551"
	kienzleIs = "Kienzle's law"
	drilledBy = "drilling formula page L068 of a 2020-2021 tool catalogue"
)

// Explain gives the load of a cut with every quantity on the way to it, in the order in which one follows from the
// other. It fails as Cutting does.
func Explain(work material.Work, tool job.Tool, cut Cut) (Load, []Term, error) {
	load, err := Cutting(work, tool, cut)
	if err != nil {
		return Load{}, nil, err
	}
	terms := []Term{
		{What: "kind of cut", Text: load.Kind.String()},
		{What: "feed", Symbol: "F", Value: cut.FeedMMMin, Unit: "mm/min"},
		{What: "spindle speed", Symbol: "n", Value: cut.RPM, Unit: "1/min"},
		{What: "cutting edges", Symbol: "z", Value: float64(flutes(tool))},
		{What: "tool diameter", Symbol: "D", Value: tool.DiameterMM, Unit: "mm"},
		{What: "material", Text: work.Meaning},
		{What: "specific cutting force at 1 mm of chip", Symbol: "kc1", Value: work.KC11.Likely, Unit: "N/mm2", Source: work.KC11.Source},
		{What: "exponent", Symbol: "m", Value: work.MC.Likely, Source: work.MC.Source},
		{What: "rake correction", Symbol: "cr", Formula: "1 - (rake - rake0)/100 deg", Value: load.RakeFactor, Source: work.Rake.Source},
	}
	if load.Kind == Bore || load.Kind == Leave {
		return load, append(terms, load.bored(work, tool)...), nil
	}
	return load, append(terms, load.milled(work, tool, cut)...), nil
}

// Explain is Explain for the cut as the cache rounds it, so that it shows the load that Cutting of the cache gave.
func (c *Cache) Explain(tool job.Tool, cut Cut) (Load, []Term, error) {
	return Explain(c.work, tool, c.Rounded(tool, cut))
}

func (l *Load) milled(work material.Work, tool job.Tool, cut Cut) []Term {
	degrees := 180 / math.Pi
	depth := l.HighMM - l.LowMM
	feed := "F cos(s)/(n z)"
	if l.Kind == Rub {
		feed += fmt.Sprintf(", at most %g", rubMM)
	}
	edge := (l.SpecificN*l.ChipMeanMM + l.EdgeNmm) * depth
	terms := []Term{
		{What: "edge force per length of edge", Symbol: "ke", Value: l.EdgeNmm, Unit: "N/mm", Source: work.Edge.Source},
		{What: "radial over tangential force of the chip", Symbol: "r", Value: l.RadialRatio, Source: work.Radial.Source},
		{What: "slope of the path", Symbol: "s", Value: cut.RampRad * degrees, Unit: "deg"},
		{What: "feed per tooth", Symbol: "fz", Formula: feed, Value: l.FeedPerToothMM, Unit: "mm", Source: milledBy},
		{What: "arc of engagement, right end", Symbol: "a1", Value: l.RightRad * degrees, Unit: "deg"},
		{What: "arc of engagement, left end", Symbol: "a2", Value: l.LeftRad * degrees, Unit: "deg"},
		{What: "axial range, low end above the tip", Symbol: "z1", Value: l.LowMM, Unit: "mm"},
		{What: "axial range, high end above the tip", Symbol: "z2", Value: l.HighMM, Unit: "mm"},
		{What: "chip width", Symbol: "b", Formula: "z2 - z1", Value: depth, Unit: "mm"},
		{What: "largest chip thickness", Symbol: "hmax", Formula: "largest fz cos(a)", Value: l.ChipMaxMM, Unit: "mm", Source: milledBy},
		{What: "mean chip thickness", Symbol: "hm", Formula: "fz (sin(a2) - sin(a1))/(a2 - a1)", Value: l.ChipMeanMM, Unit: "mm", Source: milledBy},
		{What: "specific cutting force", Symbol: "kc", Formula: "cr kc1 hm^-m", Value: l.SpecificN, Unit: "N/mm2", Source: kienzleIs},
		{What: "tangential force of a tooth at the mean chip", Symbol: "Ft", Formula: "(kc hm + ke) b", Value: edge, Unit: "N", Source: kienzleIs},
		{What: "vertical over tangential force", Symbol: "u", Formula: "tan(helix)", Value: l.LiftRatio, Source: "upper estimate; measured 0.06 to 0.75 of it for aluminium at 30 deg"},
		{What: "teeth in the cut, mean", Symbol: "t", Formula: "z (a2 - a1)/360 deg", Value: l.TeethInCut},
		{What: "teeth in the cut, most", Value: float64(l.SimultaneousMax)},
		{What: "chip force of the tooth that stands out most over a true one", Symbol: "q", Value: l.RunoutFactor, Source: fmt.Sprintf("run-out %.3g mm off the axis", tool.RunoutMM)},
	}
	if l.Kind == Ramp {
		terms = append(terms,
			Term{What: "chip thickness of the bottom edges", Symbol: "hb", Formula: "F sin(s)/(n z)", Value: l.BottomChipMM, Unit: "mm"},
			Term{What: "length of a bottom edge", Symbol: "lb", Value: l.BottomLengthMM, Unit: "mm"},
			Term{What: "downward force of the bottom, upper estimate", Value: l.BottomThrustN, Unit: "N", Source: drilledBy},
		)
	}
	if l.Kind == Rub {
		terms = append(terms, Term{What: "nothing is removed; taken to be skimmed", Value: rubMM, Unit: "mm", Source: "common practice, no source"})
	}
	terms = append(terms,
		Term{What: "mean force along the feed", Value: l.Mean.Ahead, Unit: "N", Source: "sum over the arc, the teeth and the axial range"},
		Term{What: "mean force to the left of the feed", Value: l.Mean.Left, Unit: "N"},
		Term{What: "mean vertical force, positive up", Value: l.Mean.Up, Unit: "N", Source: "of pressing parts 0.06 are counted, since they help"},
		Term{What: "mean moment about the tool's axis", Symbol: "M", Value: l.MeanTorqueNmm / 1000, Unit: "N m"},
	)
	return append(terms, l.outcome()...)
}

func (l *Load) bored(work material.Work, tool job.Tool) []Term {
	factor := drilledBy
	if work.Drill.Likely > 0 {
		factor = work.Drill.Source
	} else {
		factor += ": low-carbon steel 2.22, times the ratio of the specific cutting forces"
	}
	terms := []Term{
		{What: "feed per turn", Symbol: "f", Formula: "F/n", Value: l.FeedPerTurnMM, Unit: "mm"},
		{What: "diameter of the hole", Symbol: "d", Value: l.DiameterMM, Unit: "mm"},
		{What: "chip thickness", Symbol: "h", Formula: "f/z sin(59 deg)", Value: l.ChipMaxMM, Unit: "mm"},
		{What: "specific cutting force", Symbol: "kc", Formula: "cr kc1 h^-m", Value: l.SpecificN, Unit: "N/mm2", Source: kienzleIs},
		{What: "factor of the drilling law", Symbol: "K", Value: l.DrillFactor, Source: factor},
	}
	if l.Kind == Bore {
		terms = append(terms,
			Term{What: "thrust", Symbol: "T", Formula: "570 K d f^0.85", Value: l.DownN, Unit: "N", Source: drilledBy},
			Term{What: "of that counted as pressing the work down", Value: l.DownN - l.PressedN, Unit: "N", Source: "lips without chisel edge; from memory: tool handbooks"},
			Term{What: "moment", Symbol: "M", Formula: "K d^2 (0.630 + 16.84 f)/100", Value: math.Abs(l.TorqueNmm) / 1000, Unit: "N m", Source: drilledBy},
		)
	} else {
		terms = append(terms, Term{What: "moment", Symbol: "M", Formula: "K d^2 (0.630 + 16.84 f)/400", Value: math.Abs(l.TorqueNmm) / 1000, Unit: "N m", Source: "a quarter of that of drilling; common practice, no source"})
	}
	if l.BreakthroughN > 0 {
		terms = append(terms, Term{What: "upward pull of the helix", Symbol: "U", Formula: "2 M/d tan(helix)", Value: l.BreakthroughN, Unit: "N", Source: "the whole moment at the circumference; common practice, no source"})
	}
	return append(terms, l.outcome()...)
}

func (l *Load) outcome() []Term {
	return []Term{
		{What: "power at the cutter", Formula: "2 pi n M/60", Value: l.PowerW, Unit: "W"},
		{What: "largest horizontal force", Value: l.Peak, Unit: "N", Source: "over all rotor angles"},
		{What: "largest moment about the tool's axis", Value: l.TorqueNmm / 1000, Unit: "N m", Source: "positive counter-clockwise from above"},
		{What: "largest upward force", Value: l.UpN, Unit: "N", Source: "negative: presses at all angles"},
		{What: "largest downward force, upper estimate", Value: l.DownN, Unit: "N"},
		{What: "height of the horizontal force above the tip", Value: l.HeightMM, Unit: "mm"},
	}
}
