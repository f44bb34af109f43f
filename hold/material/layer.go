package material

// Layer is a sacrificial sheet that is sold as such.
type Layer struct {
	Name      string
	Meaning   string
	Thickness Figure // mm, usual
	Through   Figure // permeability across the sheet, m2
	Along     Figure // permeability in its plane, m2
	Friction  Figure // part on layer
}

// Pump is a family of pumps.
type Pump struct {
	Name     string // the word of the job file
	Meaning  string
	Ultimate Figure // lowest absolute pressure, Pa
	Shape    Figure // Value 0: S0 (1 - p_ult/p); 1: straight line in pressure difference
}
