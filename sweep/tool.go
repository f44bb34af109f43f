package sweep

// Shape is the form of a tool's lower end.
type Shape uint8

const (
	Flat  Shape = iota // square end
	Ball               // hemisphere
	Bull               // square end with a corner radius
	Vee                // cone down to a point (or to a flat of CornerMM radius 0)
	Drill              // cone of the point angle below a cylinder
)

// Tool is the cutting envelope of a tool. Lengths in mm.
type Tool struct {
	Number     int
	Shape      Shape
	DiameterMM float64
	CornerMM   float64 // corner radius, bull only
	AngleRad   float64 // included angle of the point, vee and drill only
	ReachMM    float64 // length that may go below the top of the stock (flute length); 0 for unknown
}

// cutter is a tool with its profile.
type cutter struct {
	Tool
	profile
}
