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
	kienzleIs = "Kienzle's law, from the edge force up to where it touches it a straight line; without exponent the " +
		"linear-edge law"
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
		{What: "specific cutting force at 1 mm of chip", Symbol: "kc1", Value: work.KC11.Likely, Unit: "N/mm2",
			Source: ranged(work.KC11)},
		{What: "exponent", Symbol: "m", Value: work.MC.Likely, Source: ranged(work.MC)},
		{What: "rake correction", Symbol: "cr", Formula: "1 - (rake - rake0)/100 deg", Value: load.RakeFactor,
			Source: work.Rake.Source},
		{What: "edge force per length of edge", Symbol: "ke", Value: work.Edge.Likely, Unit: "N/mm",
			Source: ranged(work.Edge)},
	}
	if load.Kind == Bore || load.Kind == Leave {
		return load, append(terms, load.bored(work, tool)...), nil
	}
	return load, append(terms, load.milled(work, tool, cut)...), nil
}

// ranged is the source of a figure with its range.
func ranged(r material.Range) string {
	if r.Low == r.High {
		return r.Source
	}
	return fmt.Sprintf("%g to %g: %s", r.Low, r.High, r.Source)
}

// Explain is Explain for a cut as it is, with the load that Cutting of the cache gives for it.
func (c *Cache) Explain(tool job.Tool, cut Cut) (Load, []Term, error) {
	_, terms, err := Explain(c.work, tool, cut)
	if err != nil {
		return Load{}, nil, err
	}
	load, err := c.Cutting(tool, cut)
	return load, append(terms, Term{
		What: "largest horizontal force that is reckoned with", Value: load.Peak, Unit: "N",
		Source: "like cuts are reckoned once: arc, depth and feed are rounded up by at most 1 deg and 1 %",
	}), err
}

// force lists how the force on an edge follows from the mean chip.
func (l *Load) force(work material.Work, tool job.Tool) []Term {
	law := lawOf(work, tool)
	edge := Term{What: "force on a mm of edge at the mean chip", Symbol: "f", Unit: "N/mm", Source: kienzleIs,
		Formula: "cr kc1 hm^(1-m)", Value: law.Edge + law.Chip(l.ChipMeanMM)}
	var terms []Term
	switch {
	case law.Linear():
		edge.Formula = "ke + cr kc1 hm"
	case law.StraightTo() > 0:
		terms = append(terms, Term{What: "chip up to which the force is a straight line", Symbol: "ht",
			Formula: "(ke/(m cr kc1))^(1/(1-m))", Value: law.StraightTo(), Unit: "mm"})
		if l.ChipMeanMM <= law.StraightTo() {
			edge.Formula = "ke + (1-m) cr kc1 ht^-m hm"
		}
	}
	return append(terms, edge,
		Term{What: "specific cutting force", Symbol: "kc", Formula: "f/hm", Value: l.SpecificN, Unit: "N/mm2",
			Source: "follows from f"},
		Term{What: "tangential force of a tooth at the mean chip", Symbol: "Ft", Formula: "f b", Unit: "N",
			Value: edge.Value * (l.HighMM - l.LowMM)})
}

// vertical lists how the vertical force follows from the helix.
func (l *Load) vertical(work material.Work, tool job.Tool) []Term {
	terms := []Term{
		{What: "helix, negative: down-cut", Symbol: "g", Value: tool.HelixRad * 180 / math.Pi, Unit: "deg"},
		{What: "vertical over tangential force of the chip", Symbol: "u", Formula: "measured share of tan(g)",
			Value: l.LiftRatio, Source: ranged(work.Lift)},
		{What: "the same of the edge force", Symbol: "ue", Formula: "measured share of tan(g)",
			Value: work.EdgeLift.Likely * math.Tan(tool.HelixRad), Source: ranged(work.EdgeLift)},
	}
	if tool.UpcutMM > 0 {
		terms = append(terms, Term{What: "up-cut to this height above the tip, down-cut above", Value: tool.UpcutMM,
			Unit: "mm"})
	}
	return terms
}

func (l *Load) milled(work material.Work, tool job.Tool, cut Cut) []Term {
	degrees := 180 / math.Pi
	feed := "F cos(s)/(n z)"
	if l.Kind == Rub {
		feed += fmt.Sprintf(", at most %g", rubMM)
	}
	terms := []Term{
		{What: "radial over tangential force of the chip", Symbol: "r", Value: l.RadialRatio,
			Source: ranged(work.Radial)},
		{What: "the same of the edge force", Symbol: "re", Value: work.EdgeRadial.Likely,
			Source: ranged(work.EdgeRadial)},
		{What: "slope of the path", Symbol: "s", Value: cut.RampRad*degrees + 0, Unit: "deg"},
		{What: "feed per tooth", Symbol: "fz", Formula: feed, Value: l.FeedPerToothMM, Unit: "mm", Source: milledBy},
		{What: "arc of engagement, right end", Symbol: "a1", Value: l.RightRad * degrees, Unit: "deg"},
		{What: "arc of engagement, left end", Symbol: "a2", Value: l.LeftRad * degrees, Unit: "deg"},
		{What: "axial range, low end above the tip", Symbol: "z1", Value: l.LowMM, Unit: "mm"},
		{What: "axial range, high end above the tip", Symbol: "z2", Value: l.HighMM, Unit: "mm"},
		{What: "chip width", Symbol: "b", Formula: "z2 - z1", Value: l.HighMM - l.LowMM, Unit: "mm"},
		{What: "largest chip thickness", Symbol: "hmax", Formula: "largest fz cos(a)", Value: l.ChipMaxMM, Unit: "mm",
			Source: milledBy},
		{What: "mean chip thickness", Symbol: "hm", Formula: "fz (sin(a2) - sin(a1))/(a2 - a1)", Value: l.ChipMeanMM,
			Unit: "mm", Source: milledBy},
	}
	terms = append(terms, l.force(work, tool)...)
	terms = append(terms, l.vertical(work, tool)...)
	terms = append(terms,
		Term{What: "teeth in the cut, mean", Symbol: "t", Formula: "z (a2 - a1)/360 deg", Value: l.TeethInCut},
		Term{What: "teeth in the cut, most", Value: float64(l.SimultaneousMax)},
		Term{What: "run-out off the axis", Symbol: "e", Value: tool.RunoutMM, Unit: "mm"},
		Term{What: "largest chip of the high tooth, with run-out", Symbol: "hr",
			Formula: "least of k hmax + 2 e sin(k 180 deg/z), k = 1 to z", Value: l.RunoutChipMM, Unit: "mm"},
		Term{What: "its chip force, relative to a tooth with no run-out", Symbol: "q", Formula: "f at hr / f at hmax",
			Value: l.RunoutFactor},
	)
	if l.Kind == Ramp {
		terms = append(terms,
			Term{What: "chip thickness of the bottom edges", Symbol: "hb", Formula: "F sin(s)/(n z)",
				Value: l.BottomChipMM, Unit: "mm"},
			Term{What: "length of a bottom edge", Symbol: "lb", Value: l.BottomLengthMM, Unit: "mm"},
			Term{What: "downward force of the bottom, upper estimate", Value: l.BottomThrustN, Unit: "N",
				Source: drilledBy},
		)
	}
	if l.Kind == Rub {
		terms = append(terms, Term{What: "nothing is removed; taken to be skimmed", Value: rubMM, Unit: "mm",
			Source: "common practice, no source"})
	}
	terms = append(terms,
		Term{What: "mean force along the feed", Value: l.Mean.Ahead, Unit: "N", Source: "sum over the arc, the " +
			"teeth and the axial range"},
		Term{What: "mean force to the left of the feed", Value: l.Mean.Left, Unit: "N"},
		Term{What: "mean vertical force, positive up", Value: l.Mean.Up, Unit: "N",
			Source: "of what presses only the low end is credited (safe side)"},
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
		{What: "specific cutting force", Symbol: "kc", Formula: "cr times f/h", Value: l.SpecificN, Unit: "N/mm2",
			Source: kienzleIs},
		{What: "factor of the drilling law", Symbol: "K", Value: l.DrillFactor, Source: factor},
	}
	if l.Kind == Bore {
		terms = append(terms,
			Term{What: "thrust", Symbol: "T", Formula: "570 K d f^0.85", Value: l.DownN, Unit: "N", Source: drilledBy},
			Term{What: "of that counted as pressing the work down", Value: l.DownN - l.PressedN, Unit: "N",
				Source: "lips without chisel edge; from memory: tool handbooks"},
			Term{What: "moment", Symbol: "M", Formula: "K d^2 (0.630 + 16.84 f)/100",
				Value: math.Abs(l.TorqueNmm) / 1000, Unit: "N m", Source: drilledBy},
		)
	} else {
		terms = append(terms, Term{What: "moment", Symbol: "M", Formula: "K d^2 (0.630 + 16.84 f)/400",
			Value: math.Abs(l.TorqueNmm) / 1000, Unit: "N m", Source: "a quarter of that of drilling; common " +
				"practice, no source"})
	}
	if l.BreakthroughN > 0 {
		terms = append(terms, Term{What: "upward pull of the helix", Symbol: "U", Formula: "2 M/d tan(helix)",
			Value: l.BreakthroughN, Unit: "N", Source: "the whole moment at the circumference; common practice, no " +
				"source"})
	}
	return append(terms, l.outcome()...)
}

func (l *Load) outcome() []Term {
	return []Term{
		{What: "power at the cutter", Formula: "2 pi n M/60", Value: l.PowerW, Unit: "W"},
		{What: "largest horizontal force", Value: l.Peak, Unit: "N", Source: "over all rotor angles"},
		{What: "largest moment about the tool's axis", Value: l.TorqueNmm / 1000, Unit: "N m",
			Source: "positive counter-clockwise from above"},
		{What: "largest upward force", Value: l.UpN, Unit: "N", Source: "negative: presses at all angles"},
		{What: "largest downward force, upper estimate", Value: l.DownN, Unit: "N"},
		{What: "height of the horizontal force above the tip", Value: l.HeightMM, Unit: "mm"},
	}
}
