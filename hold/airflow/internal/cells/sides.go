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

// TurnedLength is the length of edges that all lie at one angle to the axes, or across it: those of a rectangle,
// however it is turned. The share of corners tells the angle, and so by how much the formula of Length is too long. It
// is exact at every angle; round a disc it is up to 2.6 % too short.
func TurnedLength(sides, corners float64) float64 {
	if sides <= 0 {
		return 0
	}
	length := (sides + corners/math.Sqrt2) / (1 + math.Sqrt2)
	// A line at an angle a of up to 45 degrees has cos a + sin a sides and 2 cos a corners.
	tan := math.Max(0, math.Min(1, 2*sides/math.Max(corners, 1)-1))
	return length * math.Sqrt(1+tan*tan) / (1 + (math.Sqrt2-1)*tan)
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
