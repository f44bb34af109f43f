package pieces

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/sweep/internal/raster"
)

// Section is what still joins a piece to its surroundings at a moment: the smallest face round it that would have to
// break.
type Section struct {
	At      raster.Progress // Never: at the end of the program
	AreaMM2 float64
	// RoundMM is the length of the closed line round the piece in which the face lies.
	RoundMM float64
	Joins   []Join
}

// Join is a stretch of that face. A wide one comes in several parts, so that each has its place.
type Join struct {
	At       orb.Point // center of the part, mm
	WidthMM  float64   // of the part, along the face
	WholeMM  float64   // of the whole stretch that it is part of
	HeightMM float64   // mean
	LengthMM float64   // across the cut, between the two bodies that it joins
	// EdgewiseMM and UprightMM are the lengths of bars of even width that bend edgewise and upright as it does, at most
	// LengthMM.
	EdgewiseMM, UprightMM float64
}

// Covered is the share of the line round the piece on which material still stands.
func (s *Section) Covered() float64 {
	sum := 0.0
	for i := range s.Joins {
		sum += s.Joins[i].WidthMM
	}
	if s.RoundMM <= 0 {
		return 0
	}
	return min(1, sum/s.RoundMM)
}

// BendMM2 sums up what the joins resist upright when they bend: width times height squared over length. Floor that goes
// most of the way round is stretched like a drum before it can bend: the part of the length that bends falls from all
// of it, where half of the line is covered, to none.
func (s *Section) BendMM2() float64 {
	share, sum := s.Bends(), 0.0
	for i := range s.Joins {
		j := &s.Joins[i]
		if j.UprightMM <= 0 || share <= 0 {
			return math.Inf(1)
		}
		sum += j.WidthMM * j.HeightMM * j.HeightMM / (j.UprightMM * share)
	}
	return sum
}

// EdgeMM2 sums up what the joins resist sideways when they bend edgewise: height times width squared over length, of
// which a part of a wide join has its share.
func (s *Section) EdgeMM2() float64 {
	share, sum := s.Bends(), 0.0
	for i := range s.Joins {
		j := &s.Joins[i]
		if j.EdgewiseMM <= 0 || share <= 0 {
			return math.Inf(1)
		}
		sum += j.HeightMM * j.WidthMM * max(j.WholeMM, j.WidthMM) / (j.EdgewiseMM * share)
	}
	return sum
}

// Bends is the share of the length of the joins that bends.
func (s *Section) Bends() float64 { return Bends(s.Covered()) }

func Bends(covered float64) float64 { return max(0, min(1, 2*(1-covered))) }
