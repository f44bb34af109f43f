package raster

import "github.com/paulmach/orb"

// Blank is one part of the stock: a prism between the table side of the stock and TopMM. Cut-outs that are
// there before the program starts are holes of the outline.
type Blank struct {
	Outline orb.Polygon // mm, program coordinates
	TopMM   float64     // Z of its upper face
}

// Stock is what lies on the layer when the program starts. All blanks rest on BottomMM.
type Stock struct {
	BottomMM float64 // Z of the table side of every blank, which is the top of the layer
	Blanks   []Blank
}
