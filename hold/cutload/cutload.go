// Package cutload computes the force of the cutter on the material.
//
// It takes the arc of engagement, the axial range, feed, speed, the tool and the material, and gives the force on the
// workpiece at every rotor angle in the frame of the feed. It knows nothing of pieces and pressure.
//
// Side and slot cuts: each element of cutting edge presses along its motion with the force of the material's law at its
// chip h = fz cos(phi) sin(kappa), per mm of edge; with a measured share of that outwards, and, when the flute is a
// helix, with a measured share of tan(helix) of it up or down. The tooth that stands out by the run-out of the tool
// cuts thicker chips at every angle. The sum over teeth and over the axial range is taken at every rotor angle, so that
// mean and peak are both known. Plunging and drilling: a catalogue law for thrust and torque.
//
// Figures are the likely ones; downward forces, which help the hold, are taken from their lower end. The load is that
// of a usual tool, not a bound for a blunt or broken one.
//
//	          ahead (feed)
//	            ^     LeftRad         seen from above: the arc of engagement runs from RightRad to LeftRad; at each
//	         .--|--.  /               angle in it the tooth cuts a chip h and pushes the work along its motion, and
//	left <--(   o   )/  tooth         outwards
//	         '-----'\
//	                  RightRad
//
// It does not know chatter, wear, built-up edges or chips that are cut again.
package cutload

import (
	"math"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/parse"
)

// Force is a force on the workpiece in the frame of the feed: Ahead along it, Left to its left seen from above, Up
// against the table. N.
type Force struct{ Ahead, Left, Up float64 }

// Horizontal is the size of the force in the plane of the table, N.
func (f Force) Horizontal() float64 { return math.Hypot(f.Ahead, f.Left) }

// Cut is a cut that stays the same for a while. The zero value is no cut; Cutting refuses it.
//
// Angles are those of the cutter seen from above, counter-clockwise from the feed direction: a slot is engaged from
// -pi/2 to pi/2, a plunge all round from -pi to pi. In a plunge the feed has no direction in the plane; its horizontal
// forces go all round and any direction may serve as Ahead.
type Cut struct {
	RightRad, LeftRad float64 // the arc of engagement: from RightRad up to LeftRad
	DepthMM           float64 // axial range of the material met
	TipGapMM          float64 // height of the lowest material above the tool's tip; 0 when the tip cuts
	WidthMM           float64 // radial width of cut; 0 for unknown. Only plunges of pointed tools look at it
	FeedMMMin, RPM    float64 // feed is along the path
	Spindle           parse.Spindle
	RampRad           float64 // slope of the path below the horizontal, positive down

	Plunge       bool // down without, or nearly without, sideways motion
	Rub          bool // nothing is removed but a wall or floor is touched
	Breakthrough bool // the last material below the tool goes
	Retract      bool // up through what it touches
}

// Load is the force of the cutter on the workpiece. Its slices are shared between callers and must not be written to.
type Load struct {
	// Rotor holds the force at the rotor angles that matter, N: evenly spread over the time in which one tooth goes
	// through the material, with the entry and exit of every tooth among them. Angles at which no tooth touches are
	// left out, so that averages over it mean nothing; see Mean. It includes the run-out of the tool. It is never
	// empty.
	Rotor []Force
	// Torque holds the moment about +Z through the tool's axis for each of Rotor, N mm: negative for a clockwise
	// spindle.
	Torque []float64
	// Heights holds the height above the tip at which the horizontal part of each of Rotor acts, mm.
	Heights []float64

	Mean          Force   // over a whole turn, N, without run-out
	MeanTorqueNmm float64 // over a whole turn, without run-out, about +Z
	PowerW        float64 // mean torque times speed, at the cutter
	Peak          float64 // largest horizontal size over Rotor, N
	TorqueNmm     float64 // of Torque the one that is largest in size
	UpN           float64 // largest upward force over Rotor, N; negative when the cutter presses all the time
	// DownN is the largest downward force, N, not negative. Unlike the downward forces in Rotor, which are taken small
	// because they help the hold, it is taken large: it is meant for what downward force can break.
	DownN float64
	// HeightMM is a height above the tip that serves for all of Rotor: the largest of Heights, those of forces below
	// half of Peak being reduced to what the moment would need at half of Peak.
	HeightMM float64

	Kind            Kind
	FeedPerToothMM  float64 // horizontal; of a plunge: along the axis
	ChipMeanMM      float64 // mean chip thickness over the arc at the full radius
	ChipMaxMM       float64
	SpecificN       float64 // specific cutting force at the mean chip, rake counted, N/mm2
	TeethInCut      float64 // mean number of teeth in the arc
	RunoutChipMM    float64 // largest chip of the high tooth
	RunoutFactor    float64 // its tangential force over that of a true tooth, at the largest chip
	PressedN        float64 // mean of the downward force that Rotor does not count, N
	LowMM, HighMM   float64 // axial range above the tip that was reckoned with
	RightRad        float64 // the arc that was reckoned with
	LeftRad         float64
	EdgeNmm         float64 // edge force per length of edge, N/mm
	RadialRatio     float64
	LiftRatio       float64 // vertical over tangential, positive up
	RakeFactor      float64
	DrillFactor     float64 // K of the drilling law; 0 when it was not used
	FeedPerTurnMM   float64
	DiameterMM      float64 // that the drilling law used
	BreakthroughN   float64 // upward pull at breakthrough or on the way out; 0 otherwise
	BottomChipMM    float64 // chip thickness of the bottom edges on a ramp
	BottomLengthMM  float64 // engaged length of one bottom edge on a ramp
	BottomThrustN   float64 // downward force of all bottom edges on a ramp, upper estimate
	SimultaneousMax int     // most teeth in the material at once
}

// Kind tells which law a load follows.
type Kind uint8

const (
	Side  Kind = iota // the circumference cuts
	Ramp              // circumference and bottom cut
	Rub               // nothing is removed
	Bore              // drilling, or plunging with another tool
	Leave             // a drill on its way out
)

// String says it in words.
func (k Kind) String() string {
	return [...]string{"side cut", "ramp", "rubbing", "plunge", "retract"}[k]
}

// Cutting computes the load of a cut. A cut, tool or material that makes no sense (spindle at rest, no flutes, feed of
// 5 mm per tooth) gives a *SenseError, which is meant to become a finding.
func Cutting(work material.Work, tool job.Tool, cut Cut) (Load, error) {
	if err := validate(work, tool, cut); err != nil {
		return Load{}, err
	}
	return cutting(work, tool, cut), nil
}

// cutting does the work for input that is valid.
func cutting(work material.Work, tool job.Tool, cut Cut) Load {
	mirrored := cut.Spindle == parse.SpindleCounterclockwise
	if mirrored { // reckon with the clockwise cut in the mirror
		cut.RightRad, cut.LeftRad = -cut.LeftRad, -cut.RightRad
	}
	var load Load
	switch {
	case bores(tool, cut) && passes(cut):
		load = leaving(work, tool, cut)
	case bores(tool, cut):
		load = boring(work, tool, cut)
	case cut.Rub || cut.Retract:
		for i, skim := range rubbing(tool, cut) {
			if one := milling(work, tool, skim); i == 0 {
				load = one
			} else {
				load = either(load, one)
			}
		}
		load.Kind = Rub
	default:
		load = milling(work, tool, cut)
	}
	if mirrored {
		load.mirror()
	}
	load.PowerW = power(load.MeanTorqueNmm, cut.RPM)
	return load
}

// power is torque times speed, in W.
func power(torqueNmm, rpm float64) float64 {
	return math.Abs(torqueNmm) / 1000 * 2 * math.Pi * rpm / 60
}

func (l *Load) mirror() {
	for i := range l.Rotor {
		l.Rotor[i].Left = -l.Rotor[i].Left
		l.Torque[i] = -l.Torque[i]
	}
	l.Mean.Left = -l.Mean.Left
	l.MeanTorqueNmm = -l.MeanTorqueNmm
	l.TorqueNmm = -l.TorqueNmm
	l.RightRad, l.LeftRad = -l.LeftRad, -l.RightRad
}
