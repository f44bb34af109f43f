package field

import "staydown/hold/airflow/internal/layer"

// Land ends at the edge of a groove, or at the rim of a zone. Air goes straight through the land, and into the plenum as
// if that began beyondEdgeMM further on (layer.GrooveLink: part conformal mapping, part the loss beside an edge). These
// conductances make the straight profile a solution wherever the edge lies between or in the air cells:
//
//	 plenum |  land         The share phi of the cell lies over the plenum. A flow of kappa per length makes the mean
//	--------+------------   of 1 - w
//	 |  cell  |  next |       in the cell   (1 - phi) (beyond + (1 - phi) depth/2)
//	 | phi    |       |       in the next    beyond + (1 - phi) depth + next/2
//
// The cell's own source is the flow over the first, the link the flow over the difference. Where the edge lies on a
// face (phi = 1) the land draws from the plenum itself and past the mean of the cell over it, side by side; the link is
// what is left of both for the latter.
//
// They serve where grooves are told from their lands, by cells that are not narrower than beyondEdgeMM: narrower ones
// tell by themselves what is behind the edge. A sliver of groove between the edge and a cut gives less than is taken:
// the hold comes out up to 3.5 % too high there.

// atGrooveEdge tells whether one of two neighbors is all land and the other reaches over the plenum.
func (f *Field) atGrooveEdge(i, j int) bool {
	return f.coarse && (f.breath[i] > 0) != (f.breath[j] > 0)
}

// beyondEdgeMM is how much further the plenum seems than its edge.
func (f *Field) beyondEdgeMM() float64 { return layer.SurfaceLossWidth * f.sheet.Reach }

// overPlenum is the share of what is covered of a cell that lies over the plenum.
func (f *Field) overPlenum(cell int) float64 { return float64(f.breath[cell]) / float64(f.area[cell]) }

// landLink is the conductance per width between a cell over the plenum and one that is all land, mm2/mm.
func (f *Field) landLink(over, land int, overMM, landMM float64) float64 {
	kappa := f.kappa[land]
	if phi := f.overPlenum(over); phi < 1 {
		return kappa / (phi*f.beyondEdgeMM() + ((1-phi*phi)*overMM+landMM)/2)
	}
	past := f.beyondEdgeMM() / meanRise(f.Grid.CellMM/f.beyondEdgeMM())
	plenum, half := layer.GrooveLink*f.sheet.Reach, 2*kappa/landMM
	return past * half * half / ((past + plenum + half) * (plenum + half))
}

// landSource is the conductance from the plenum to a cell with land of some depth behind an edge, per length of it.
func (f *Field) landSource(cell int, landMM float64) float64 {
	kappa := f.sheet.Reach * f.sheet.Reach
	if phi := f.overPlenum(cell); phi > 0 && f.coarse {
		return kappa / ((1 - phi) * (f.beyondEdgeMM() + landMM/2))
	}
	return 1 / (1/(layer.GrooveLink*f.sheet.Reach) + landMM/(2*kappa))
}
