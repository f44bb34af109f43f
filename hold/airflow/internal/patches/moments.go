package patches

// Patch is a small part of a piece's face on an open zone. W is the transmission in [0,1] of squared pressure:
// p^2 = pa^2 - W (pa^2 - pv^2), where pv is the absolute pressure in the chuck and pa that of the air.
type Patch struct {
	X, Y    float64 // centroid, mm
	AreaMM2 float64
	W       float64
	Part
}

// Part of the chuck, where zones have ducts of their own; 0 and 0 where all are at one pressure.
type Part struct {
	Zone   uint16 // from 1
	Beside uint16 // another zone that is near enough for air to flow over under the cover; 0 for none
}

// moments are partial sums over parts of a face of one level of transmission: the area, its first moments and its
// transmission.
type moments struct{ area, x, y, w float64 }

func (s *moments) add(o moments) {
	s.area += o.area
	s.x += o.x
	s.y += o.y
	s.w += o.w
}

// patch is all of it at its centroid, its area scaled.
func (s *moments) patch(scale float64) Patch {
	return Patch{X: s.x / s.area, Y: s.y / s.area, AreaMM2: s.area * scale, W: min(1, max(0, s.w/s.area))}
}
