package raster

import (
	"math"

	"github.com/paulmach/orb"
)

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

// TopMM is the highest Z of all blanks; -Inf without any.
func (s *Stock) TopMM() float64 {
	top := math.Inf(-1)
	for _, b := range s.Blanks {
		top = max(top, b.TopMM)
	}
	return top
}

// Bound is the rectangle round all blanks.
func (s *Stock) Bound() orb.Bound {
	var bound orb.Bound
	for i, b := range s.Blanks {
		if i == 0 {
			bound = b.Outline.Bound()
		}
		bound = bound.Union(b.Outline.Bound())
	}
	return bound
}
