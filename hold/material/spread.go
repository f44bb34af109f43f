package material

import (
	"slices"

	"staydown/hold/doubt"
)

// Kind is a kind of figure that a job gives without its range.
type Kind uint8

const (
	OfFriction Kind = iota
	OfWetFriction
	OfTack
	OfSpecificForce
	OfMeasuredForce
	OfLiftRatio
	OfStrength
	OfPermeability
	OfSheetTest
	OfPull
	OfGauge
	OfPumpFlow
	OfPumpCurve
	OfUltimate
	OfLeak
	OfAssumedLeak
	OfRunout
	OfAssumedRunout
	OfClampForce
)

// Spread is how far the figures of a kind may lie off the single value that stands for them.
type Spread struct {
	Keys      string    // of the job file
	Meaning   string    // a line in words
	Law       doubt.Law // Normal for lengths and what may be 0
	Low, High float64   // 5 and 95 % points as multiples of the value
	Source    string
}

// Around is the range of a value that source gives alone. A value of 0 has none.
func (s Spread) Around(v float64, source string) Range {
	return Range{s.Low * v, v, s.High * v, source}
}

// Spread is that of the kind.
func (k Kind) Spread() Spread { return builtin().spreads[k] }

// Spreads lists those of all kinds, in their order.
func Spreads() []Spread { return slices.Clone(builtin().spreads) }

// kinds are the names of all kinds in the file of built-in figures, in their order.
var kinds = [...]string{"friction", "friction_wet", "tack", "specific_force", "measured_force", "lift_ratio",
	"strength",
	"through", "sheet_test", "pull", "gauge", "flow", "curve", "ultimate", "leak", "leak_assumed", "runout",
	"runout_assumed", "clamp_force"}
