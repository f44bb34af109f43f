package material

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
func Pumps() []Pump {
	displacement := Range{ShapeDisplacement, ShapeDisplacement, 0.2, "pump-down law of vacuum handbooks, t = (V/S0) " +
		"ln[(p1 - p_ult)/(p2 - p_ult)]" +
		" (from memory: Jousten, Handbuch Vakuumtechnik)"}
	line := Range{0.8, ShapeLine, ShapeLine, "common practice, no source: suction flow falls in a near straight " +
		"line with the pressure difference"}
	return []Pump{
		{
			Name:    "dry-claw",
			Meaning: "dry claw pump",
			Ultimate: Range{5000, 15000, 20000, "common practice, no source: 50 to 200 mbar, mostly 150 on router " +
				"tables"},
			Shape: displacement,
		},
		{
			Name:     "ejector",
			Meaning:  "compressed-air ejector for high vacuum",
			Ultimate: Range{7000, 12000, 15000, "common practice, no source: 70 to 150 mbar, at 1013 mbar outside"},
			Shape:    line,
		},
		{
			Name:     "rotary-vane",
			Meaning:  "oil-lubricated rotary vane pump",
			Ultimate: Range{10, 1000, 2000, "common practice, no source: 0.1 to 20 mbar"},
			Shape:    displacement,
		},
		{
			Name:    "side-channel",
			Meaning: "side-channel blower, one stage",
			Ultimate: Range{65000, 75000, 80000, "common practice, no source: 650 to 800 mbar at 1013 mbar outside, " +
				"two stages 500 to 650"},
			Shape: line,
		},
	}
}

// PumpNamed finds a built-in family by its name.
func PumpNamed(name string) (Pump, bool) {
	for _, pump := range Pumps() {
		if pump.Name == name {
			return pump, true
		}
	}
	return Pump{}, false
}
