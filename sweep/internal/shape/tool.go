// Package shape describes tools as solids of revolution: what they take lies above their lower surface.
//
//	|     |          p(d): height of the surface above the tip at distance d from the axis,
//	|     |          up to the radius R; a cylinder above
//	 \___/   ____ p(d)
//	   d -->
//
// It knows nothing of flutes, of the shank or of a holder: above its radius a tool is as high as it is asked for.
package shape

// Shape is the form of a tool's lower end.
type Shape uint8

const (
	Flat  Shape = iota // square end
	Ball               // hemisphere
	Bull               // square end with a corner radius
	Vee                // cone down to a point (or to a flat of CornerMM radius 0)
	Drill              // cone of the point angle below a cylinder
)

// String is the word of job files.
func (s Shape) String() string { return [...]string{"flat", "ball", "bull", "vee", "drill"}[s] }

// Tool is the cutting envelope of a tool. Lengths in mm.
type Tool struct {
	Number     int
	Shape      Shape
	DiameterMM float64
	CornerMM   float64 // corner radius, bull only
	AngleRad   float64 // included angle of the point, vee and drill only
	ReachMM    float64 // length that may go below the top of the stock (flute length); 0 for unknown
}
