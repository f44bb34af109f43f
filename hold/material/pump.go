package material

import "slices"

// Values of Pump.Shape; a curve between them is a mixture by weight.
const (
	ShapeDisplacement = 0 // suction flow S0 (1 - p_ult/p)
	ShapeLine         = 1 // suction flow falls in a straight line with the pressure difference
)

// Pump is a family of pumps.
type Pump struct {
	Name     string // the word of the job file
	Meaning  string
	Ultimate Range // lowest absolute pressure, Pa
	Shape    Range // 0: S0 (1 - p_ult/p); 1: straight line in pressure difference
}

// Pumps lists the built-in families in order of name.
func Pumps() []Pump { return slices.Clone(builtin().pumps) }

// PumpNamed finds a built-in family by its name.
func PumpNamed(name string) (Pump, bool) {
	for _, pump := range builtin().pumps {
		if pump.Name == name {
			return pump, true
		}
	}
	return Pump{}, false
}
