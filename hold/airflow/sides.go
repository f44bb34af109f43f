package airflow

import "math"

// sides counts the sides and corners at which covered cells of the sweep meet exposed ones.
type sides struct {
	eastWest   int32 // sides that look east or west
	northSouth int32
	corner     int32
}

func (s *sides) add(o sides, sign int32) {
	s.eastWest += sign * o.eastWest
	s.northSouth += sign * o.northSouth
	s.corner += sign * o.corner
}

// length is that of the edge in cells, after the Cauchy-Crofton formula with four directions on a square grid. It is
// scaled to be exact along the axes and the diagonals; in between it is up to 8.2 % too long, never too short (but for
// the corners of a polygon, each of which is rounded by 0.3 of a cell).
func (s sides) length() float64 {
	return (float64(s.eastWest+s.northSouth) + float64(s.corner)/math.Sqrt2) / (1 + math.Sqrt2)
}

// straightness is by how much the depth behind the edge exceeds area over length, where the edge bends within the area:
// 1 for an edge along an axis, 4/3 where two of the same length meet at a right angle (2 would be exact for plain
// conduction in a square cell). It is the mean of the square of the length and of the sum of squares along both axes:
// the former lets too much air in on slanting edges, the latter too little (a few parts in a thousand of a disc's hold,
// either way).
func (s sides) straightness() float64 {
	x, y, l := float64(s.eastWest), float64(s.northSouth), s.length()
	if x+y <= 0 {
		return 1
	}
	return 2 * l * l / (l*l + x*x + y*y)
}

// adjacency is how two cells of the sweep touch.
type adjacency uint8

const (
	besideEachOther adjacency = iota
	aboveEachOther
	cornerwise
)

func (a adjacency) side() sides {
	switch a {
	case besideEachOther:
		return sides{eastWest: 1}
	case aboveEachOther:
		return sides{northSouth: 1}
	}
	return sides{corner: 1}
}
