package cells

import "math"

// Sides counts the sides and corners at which covered cells of the sweep meet exposed ones.
type Sides struct {
	EastWest   int32 // sides that look east or west
	NorthSouth int32
	Corner     int32
}

func (s *Sides) Add(o Sides, sign int32) {
	s.EastWest += sign * o.EastWest
	s.NorthSouth += sign * o.NorthSouth
	s.Corner += sign * o.Corner
}

// Length is that of the edge in cells, after the Cauchy-Crofton formula with four directions on a square grid. It is
// scaled to be exact along the axes and the diagonals; in between it is up to 8.2 % too long, never too short (but for
// the corners of a polygon, each of which is rounded by 0.3 of a cell).
func (s Sides) Length() float64 {
	return (float64(s.EastWest+s.NorthSouth) + float64(s.Corner)/math.Sqrt2) / (1 + math.Sqrt2)
}

// Straightness is by how much the depth behind the edge exceeds area over length, where the edge bends within the area:
// 1 for an edge along an axis, 4/3 where two of the same length meet at a right angle (2 would be exact for plain
// conduction in a square cell). It is the mean of the square of the length and of the sum of squares along both axes:
// the former lets too much air in on slanting edges, the latter too little (a few parts in a thousand of a disc's hold,
// either way).
func (s Sides) Straightness() float64 {
	x, y, l := float64(s.EastWest), float64(s.NorthSouth), s.Length()
	if x+y <= 0 {
		return 1
	}
	return 2 * l * l / (l*l + x*x + y*y)
}

// Adjacency is how two cells of the sweep touch.
type Adjacency uint8

const (
	BesideEachOther Adjacency = iota
	AboveEachOther
	Cornerwise
)

func (a Adjacency) Side() Sides {
	switch a {
	case BesideEachOther:
		return Sides{EastWest: 1}
	case AboveEachOther:
		return Sides{NorthSouth: 1}
	}
	return Sides{Corner: 1}
}
