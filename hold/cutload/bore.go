package cutload

import (
	"math"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/sweep"
)

const (
	// steepRad is the slope from which a downward path counts as a plunge.
	steepRad = 75 * math.Pi / 180

	// mildFactor, mildKC11 and mildMC belong to low-carbon steel: K of the drilling law (drilling formula page L068 of
	// a 2020-2021 tool catalogue) and kc (material group table of a 2017 turning catalogue, p. 558). Other materials
	// take K from them in the ratio of kc. Aluminium's own K, 1.01, is 0.6 to 0.9 of what this would give.
	mildFactor = 2.22
	mildKC11   = 1350
	mildMC     = 0.21

	// drillLip is half the usual point angle of 118 degrees: a lip's chip is (feed per turn/2) sin of it.
	drillLip = 59 * math.Pi / 180

	// lateralShare of the tangential force of two and more lips is left over sideways, since they are never ground
	// quite alike. Common practice, no source.
	lateralShare = 0.1

	// partRad is the arc below which a plunge counts as one-sided.
	partRad = 330 * math.Pi / 180

	// leaveShare of the load of drilling is left when a drill moves in its own hole. Common practice, no source.
	leaveShare = 0.25

	// leaveFeed is the feed per turn over the diameter with which a drill that is only passing is reckoned: 0.01 to
	// 0.03 is common practice, no source.
	leaveFeed = 0.03

	boreAngles = 24 // directions of the sideways force: the worst is missed by less than 1 % (cos 7.5 degrees)
)

// bores tells whether the tool works along its axis.
func bores(tool job.Tool, cut Cut) bool {
	if tool.Shape == sweep.Drill {
		return cut.Plunge || cut.Retract || math.Abs(cut.RampRad) > steepRad
	}
	return (cut.Plunge || cut.RampRad > steepRad) && !cut.Rub && !cut.Retract
}

// passes tells whether a tool that bores removes nothing on its way.
func passes(cut Cut) bool { return cut.Rub || rises(cut) }

func rises(cut Cut) bool { return cut.Retract || cut.RampRad < -steepRad }

// drillFactor is K of the drilling law; feedMM is along the axis and per lip.
func drillFactor(work material.Work, feedMM float64) float64 {
	if work.Drill.Likely > 0 {
		return work.Drill.Likely
	}
	h := math.Max(feedMM*math.Sin(drillLip), 1e-6)
	mild := material.Work{KC11: material.Exact(mildKC11, ""), MC: material.Exact(mildMC, "")}
	return mildFactor * specific(work, h) / specific(mild, h)
}

// thrust is 570 K D f^0.85 in N; D in mm, f in mm per turn (drilling formula page L068 of a 2020-2021 tool catalogue).
func thrust(k, diameterMM, feedMM float64) float64 {
	return 570 * k * diameterMM * math.Pow(feedMM, 0.85)
}

// twist is K D^2 (0.630 + 16.84 f)/100 N m, here in N mm; same source as thrust.
func twist(k, diameterMM, feedMM float64) float64 {
	return 10 * k * diameterMM * diameterMM * (0.630 + 16.84*feedMM)
}

// leastThrust is the part of the thrust that the lips alone need, without the chisel edge: kc (D/2) f sin(kappa)/2
// (from memory: tool handbooks). It is 2.5 to 3.4 times below the catalogue law and serves as the downward force that
// helps.
func leastThrust(work material.Work, diameterMM, feedMM float64) float64 {
	return 0.5 * specific(work, feedMM/2*math.Sin(drillLip)) * diameterMM / 2 * feedMM * math.Sin(drillLip)
}

// boring computes the load of going straight down with a tool turning clockwise. The same law is used for drills and
// for other tools, whose bottom edges are blunter still; for the latter it is an estimate without a source.
func boring(work material.Work, tool job.Tool, cut Cut) Load {
	load := bored(work, tool, cut, cut.FeedMMMin/cut.RPM)
	perTurn, d, k := load.FeedPerTurnMM, load.DiameterMM, load.DrillFactor
	load.Kind = Bore
	load.DownN = thrust(k, d, perTurn)
	torque := twist(k, d, perTurn)
	press := math.Min(leastThrust(work, d, perTurn), load.DownN)
	if cut.Plunge && cut.LeftRad-cut.RightRad < 2*math.Pi {
		press *= math.Max(0, (cut.LeftRad-cut.RightRad)/(2*math.Pi))
	}
	aside := sideways(work, tool, cut, torque, load)
	load.addRotor(torque, aside, -press)
	load.Mean = Force{Up: -press}
	load.PressedN = load.DownN - press
	if cut.Breakthrough {
		load.BreakthroughN = corkscrew(tool, torque, d)
		load.addRotor(torque, aside, load.BreakthroughN)
	}
	return load
}

// leaving computes the load of a drill that moves in its own hole: up, with the chips that jam in it, or down again.
func leaving(work material.Work, tool job.Tool, cut Cut) Load {
	feed := math.Min(cut.FeedMMMin/cut.RPM, leaveFeed*tool.DiameterMM)
	load := bored(work, tool, cut, feed)
	load.Kind = Leave
	torque := leaveShare * twist(load.DrillFactor, load.DiameterMM, load.FeedPerTurnMM)
	up := 0.0
	if rises(cut) {
		up = corkscrew(tool, torque, load.DiameterMM)
		load.BreakthroughN = up
	}
	load.addRotor(torque, leaveShare*sideways(work, tool, cut, torque/leaveShare, load), up)
	load.Mean = Force{Up: up}
	return load
}

// bored fills in what both have in common.
func bored(work material.Work, tool job.Tool, cut Cut, perTurn float64) Load {
	z := float64(flutes(tool))
	chip := perTurn / z * math.Sin(drillLip)
	rake := rakeFactor(work, tool)
	return Load{
		FeedPerToothMM:  perTurn / z,
		FeedPerTurnMM:   perTurn,
		ChipMeanMM:      chip,
		ChipMaxMM:       chip,
		SpecificN:       specific(work, chip) * rake,
		TeethInCut:      z,
		SimultaneousMax: flutes(tool),
		RunoutFactor:    1,
		RakeFactor:      rake,
		EdgeNmm:         work.Edge.Likely,
		RadialRatio:     work.Radial.Likely,
		LowMM:           cut.TipGapMM,
		HighMM:          cut.TipGapMM + cut.DepthMM,
		HeightMM:        cut.TipGapMM + cut.DepthMM,
		RightRad:        cut.RightRad,
		LeftRad:         cut.LeftRad,
		DrillFactor:     drillFactor(work, perTurn/z),
		DiameterMM:      boreDiameter(tool, cut),
		UpN:             math.Inf(-1),
	}
}

// boreDiameter is the diameter of the hole at the top of the cut. Drills and flat ends cut their whole diameter.
func boreDiameter(tool job.Tool, cut Cut) float64 {
	full := tool.DiameterMM
	if tool.Shape != sweep.Ball && tool.Shape != sweep.Vee {
		return full
	}
	high, r := cut.TipGapMM+math.Max(cut.DepthMM, rubDepthMM), full/2
	d := full
	switch {
	case tool.Shape == sweep.Ball && high < r:
		d = 2 * math.Sqrt(high*(full-high))
	case tool.Shape == sweep.Vee:
		d = 2 * high * math.Tan(math.Min(tool.AngleRad/2, math.Pi/2-1e-3))
	}
	return math.Min(full, math.Max(d, cut.WidthMM))
}

// corkscrew is the upward pull of a helix that screws itself into what is left of the floor: the whole torque at the
// circumference, deflected by the helix. A down-cut or straight flute does not pull.
func corkscrew(tool job.Tool, torqueNmm, diameterMM float64) float64 {
	return math.Max(0, torqueNmm/(diameterMM/2)*math.Tan(tool.HelixRad))
}

// sideways is the horizontal force that the lips do not balance.
//
// A lip presses with the force of the law at its chip times D/2 along its motion. Two or more lips push against one
// another; lateralShare of their tangential force, which acts at a quarter of the diameter, is left over. A lone lip
// has no other to push against: all of its force is sideways, and goes round with it. The torque of the drilling law
// would give too much for it: it holds the chisel edge and the margins of a drill too, which rub all round and push
// nowhere.
//
// At the same F and S a lone lip also cuts the chip of all z lips together, so it pushes up to 1/lateralShare, ten
// times, as hard as they do; in acrylic at usual chips five times.
//
// Where only a part of the turn meets material, the lips in it add up to at most 1/sin(pi/z) of one.
func sideways(work material.Work, tool job.Tool, cut Cut, torqueNmm float64, load Load) float64 {
	z := float64(flutes(tool))
	law := work.Law(rakeFactor(work, tool))
	one := (law.Chip(load.FeedPerToothMM) + law.Edge) * load.DiameterMM / 2
	switch {
	case z == 1:
		return one
	case cut.Plunge && cut.LeftRad-cut.RightRad < partRad:
		return one / math.Sin(math.Pi/z)
	}
	return lateralShare * torqueNmm / (load.DiameterMM / 4)
}

// addRotor adds rotor angles with a sideways force that goes round.
func (l *Load) addRotor(torqueNmm, horizontal, up float64) {
	for i := 0; i < boreAngles; i++ {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / boreAngles)
		l.Rotor = append(l.Rotor, Force{Ahead: horizontal * cos, Left: horizontal * sin, Up: up})
		l.Torque = append(l.Torque, -torqueNmm)
		l.Heights = append(l.Heights, l.HeightMM)
	}
	l.Peak = math.Max(l.Peak, horizontal)
	l.UpN = math.Max(l.UpN, up)
	l.TorqueNmm = -torqueNmm
	l.MeanTorqueNmm = -torqueNmm
}
