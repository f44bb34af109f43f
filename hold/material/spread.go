package material

import "staydown/hold/doubt"

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
func (k Kind) Spread() Spread { return Spreads()[k] }

// Spreads lists those of all kinds, in their order.
func Spreads() []Spread {
	return []Spread{
		OfFriction: {"friction", "friction given as one value", doubt.Lognormal, 0.75, 1.35, practice +
			": faces, dust and moisture; tables differ by more"},
		OfWetFriction: {"friction_wet", "wet friction given as one value", doubt.Lognormal, 0.6, 1.4, practice +
			": coolant on card, board and metal 0.1 to 0.3"},
		OfTack: {"tack", "tack given as one value", doubt.Normal, 0.5, 1.3, practice +
			": dust and age lower it"},
		OfSpecificForce: {"specific_force", "specific force given as one value", doubt.Lognormal, 0.68, 1.5,
			linearEdge + "7075: 600 to 1319 N/mm2 about 880"},
		OfMeasuredForce: {"measured_power, measured_force", "specific force by one measured cut", doubt.Lognormal, 0.8,
			1.3, practice + ": force models scatter by 12.5 % about their own tests; edges wear"},
		OfLiftRatio: {"lift_ratio", "lift ratio given as one value", doubt.Normal, 0.6, 1.3, practice +
			": sets for one alloy differ by two"},
		OfStrength: {"tensile, shear, yield", "strength given as one value", doubt.Lognormal, 0.85, 1.2, practice +
			": temper, batch, grain"},
		OfPermeability: {"through", "permeability given as one value", doubt.Lognormal, 0.4, 2.5, practice +
			": sheets that look alike differ by ten"},
		OfSheetTest: {"flow_test, air_resistance", "permeability by one test of the sheet", doubt.Lognormal, 0.65,
			1.55, practice + ": from place to place and from sheet to sheet"},
		OfPull: {"pull", "friction by one pull of a spring scale", doubt.Lognormal, 0.8, 1.25, practice +
			": from place to place; the scale is read when the coupon starts"},
		OfGauge: {"gauge", "permeability of another sheet than that under the gauge", doubt.Lognormal, 0.8, 1.25,
			practice +
				": from sheet to sheet of one make and age"},
		OfPumpFlow: {"flow", "flow of a pump given as one value", doubt.Lognormal, 0.8, 1.1, practice +
			": 10 % of tolerance; wear and filters lower it"},
		OfPumpCurve: {"curve", "curve of a pump", doubt.Lognormal, 0.9, 1.1, practice + ": 10 % of tolerance"},
		OfUltimate: {"ultimate", "lowest pressure of a pump given as one value", doubt.Lognormal, 1, 1, practice +
			": what the pump falls short counts with its flow"},
		OfLeak: {"leak", "leak given as one value", doubt.Normal, 0.5, 2, practice +
			": hoses, valves and rims age"},
		OfAssumedLeak: {"leak, left out", "leak that is not given", doubt.Normal, 0.3, 3, practice +
			": 1.5 to 15 % of the flow of the pump"},
		OfRunout: {"runout", "run-out given as one value", doubt.Normal, 0.5, 1.5, practice +
			": it differs with every clamping"},
		OfAssumedRunout: {"runout, left out", "run-out that is not given", doubt.Normal, 0.3, 3, practice +
			": 0.003 mm in a shrink chuck to 0.03 mm in a worn collet"},
		OfClampForce: {"force", "force of a clamp given as one value", doubt.Lognormal, 0.7, 1.3, practice +
			": tightened by hand"},
	}
}
