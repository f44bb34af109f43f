// Package material is the table of built-in figures: work materials, layers and pumps, each with its source.
//
// It takes a name and gives numbers in SI-derived units (N/mm2, kg/m3, m2, mm) together with the sentence that says
// where each number comes from. It knows nothing of jobs or programs.
package material

// Figure is a number that can say where it comes from.
type Figure struct {
	Value  float64
	Source string // a publication, "common practice, no source", or "from memory: ..."
}

// Work is a material that is cut.
//
// KC11 and MC are the specific cutting force law kc = KC11 h^-MC with h in mm and kc in N/mm2. Edge is the force per
// length of engaged cutting edge that does not depend on the chip (rubbing), N/mm.
type Work struct {
	Name    string
	Meaning string // a line in words
	Board   bool   // wood-based: its thin skins tear and its thin passes crumble
	KC11    Figure // N/mm2 at h = 1 mm
	MC      Figure // no unit
	Edge    Figure // N/mm
	Radial  Figure // radial force over tangential force, no unit
	Density Figure // kg/m3
	Shear   Figure // ultimate shear strength, N/mm2
	Tensile Figure // ultimate tensile strength, N/mm2
	Yield   Figure // N/mm2, for bending of webs
	Rake    Figure // rake angle to which KC11 belongs, degrees
	// Through and Along are the permeability to air across the sheet and in its plane, m2; 0: tight. Faced tells which faces a tight
	// skin usually covers.
	Through, Along Figure
	Faced          Facing
	// Drill is the factor K of the drilling thrust law 570 K D f^0.85 (N; D in mm, f in mm per revolution). Value 0:
	// unknown; the law is then scaled from mild steel by the specific cutting force.
	Drill Figure
}
