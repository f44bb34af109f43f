package material

import "slices"

// Layer is a sacrificial sheet that is sold as such.
type Layer struct {
	Name      string
	Meaning   string
	Thickness Range // mm, usual
	Through   Range // permeability across the sheet, m2
	Along     Range // permeability in its plane, m2
	Seat      Seat  // what a part lies on, for friction
}

// Layers lists the built-in layers in order of name. Boards differ widely from maker to maker: every range is wide,
// and a measured figure in the job file is better.
func Layers() []Layer { return slices.Clone(builtin().layers) }

// LayerNamed finds a built-in layer by its name.
func LayerNamed(name string) (Layer, bool) {
	for _, layer := range builtin().layers {
		if layer.Name == name {
			return layer, true
		}
	}
	return Layer{}, false
}
