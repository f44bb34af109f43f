package material

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
func Layers() []Layer {
	return []Layer{
		{
			Name:      "low-density-board",
			Seat:      OnBoard,
			Meaning:   "ultralight fibreboard, surfaced on both sides",
			Thickness: Range{12, 18, 25, "common practice, no source"},
			Through: Range{1e-12, 3e-12, 1e-11, "from memory: 1e-12 to 1e-11 m2 for ultralight fibreboard; not " +
				"confirmed"},
			Along: Range{2e-12, 6e-12, 2e-11, "from memory: about twice the figure across the sheet; not confirmed"},
		},
		{
			Name:      "mdf",
			Seat:      OnBoard,
			Meaning:   "medium density fibreboard, surfaced on both sides",
			Thickness: Range{12, 18, 25, "common practice, no source"},
			Through: Range{0.38e-13, 1e-13, 6.26e-13, "J. Wood & Forest Sci. Technol., gas permeability of medium " +
				"density fibreboard:" +
				" 0.38e-13 to 6.26e-13 m2 over adhesive and wax contents; a middle value"},
			Along: Range{0.4e-13, 2e-13, 6e-13, "from memory: about twice the figure across the sheet; not confirmed"},
		},
		{
			Name:      "porous-card",
			Seat:      OnCard,
			Meaning:   "soft, uncoated card, replaced for every job",
			Thickness: Range{0.5, 0.75, 1.1, "common practice, no source: about 0.03 in"},
			Through: Range{3e-14, 3e-13, 1.3e-12, "common practice, no source: inside the 1.4e-15 to 1.4e-12 m2 " +
				"that ISO 5636-5:2013" +
				" can measure at 0.75 mm"},
			Along: Range{3e-14, 3e-13, 1.3e-12, "common practice, no source: taken as across the sheet"},
		},
	}
}

// LayerNamed finds a built-in layer by its name.
func LayerNamed(name string) (Layer, bool) {
	for _, layer := range Layers() {
		if layer.Name == name {
			return layer, true
		}
	}
	return Layer{}, false
}
