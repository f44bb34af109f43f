// Package material is the table of built-in figures: work materials, layers and pumps, each with its range and source.
//
// It takes a name and gives numbers in SI-derived units (N/mm2, kg/m3, m2, mm) together with the sentence that says
// where each number comes from. It knows nothing of jobs or programs.
package material

import "slices"

// Range is a doubtful figure: its 5, 50 and 95 % points, and where they come from. The likely one decides; the others
// say how far it may be off.
type Range struct {
	Low, Likely, High float64
	Source            string // a publication, "common practice, no source", or "from memory: ..."
}

// Failure is how joins of the material give way: "ductile" or "brittle".
func (w Work) Failure() string {
	if w.Ductile {
		return "ductile"
	}
	return "brittle"
}

// Exact is a figure without doubt.
func Exact(v float64, source string) Range { return Range{v, v, v, source} }

// Times is the range of k times the figure.
func (r Range) Times(k float64) Range { return Range{r.Low * k, r.Likely * k, r.High * k, r.Source} }

// ForcesTimes is the material with k times the cutting force: of the chip, of the edge and of a drill.
func (w Work) ForcesTimes(k float64) Work {
	w.KC11, w.Edge, w.Drill = w.KC11.Times(k), w.Edge.Times(k), w.Drill.Times(k)
	return w
}

// Work is a material that is cut. KC11, MC and Edge make up the force on an edge, see Law.
type Work struct {
	Name    string
	Meaning string // a line in words
	Family  Family // what slides alike, for friction
	// Ductile work stretches by far more before it breaks than a piece moves before its hold is at its limit: metals
	// and tough plastics. What is not counts as brittle.
	Ductile bool
	Board   bool  // wood-based: its thin skins tear and its thin passes crumble
	KC11    Range // specific cutting force at a chip of 1 mm, N/mm2
	MC      Range // its exponent, no unit; 0 for a linear-edge law
	Edge    Range // force on a mm of edge at no chip (rubbing), N/mm
	Radial  Range // radial over tangential force of the chip, no unit
	// EdgeRadial is the radial over the tangential edge force, no unit.
	EdgeRadial Range
	// Lift is the vertical over the tangential force of the chip as a share of tan(helix), EdgeLift that of the edge
	// force.
	Lift, EdgeLift Range
	Density        Range // kg/m3
	Shear          Range // ultimate shear strength, N/mm2
	Tensile        Range // ultimate tensile strength, N/mm2
	Yield          Range // N/mm2, for bending of webs
	Rake           Range // rake angle to which KC11 belongs, degrees
	// Through and Along are the permeability to air across the sheet and in its plane, m2; 0: tight. Faced tells which
	// faces a tight skin usually covers.
	Through, Along Range
	Faced          Facing
	// Drill is the factor K of the drilling thrust law 570 K D f^0.85 (N; D in mm, f in mm per revolution). 0:
	// unknown; the law is then scaled from mild steel by the specific cutting force.
	Drill Range
}

// Works lists the built-in materials in alphabetical order.
func Works() []Work { return slices.Clone(builtin().works) }

// WorkNamed finds a built-in material.
func WorkNamed(name string) (Work, bool) {
	for _, w := range Works() {
		if w.Name == name {
			return w, true
		}
	}
	return Work{}, false
}
