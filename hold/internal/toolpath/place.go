package toolpath

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/parse"
)

// maxTurnRad bounds how far the feed direction may turn between two places at which a step is checked.
const maxTurnRad = math.Pi / 12

// Place is the tool tip at a fraction of a move, with the direction of feed there.
type Place struct {
	At         parse.Point
	CosF, SinF float64 // of the feed direction seen from above; (1, 0) when the tool only goes up or down
	RampRad    float64 // slope below the horizontal, positive down
}

// Along gives the place of the tool tip at fraction f of the move.
func Along(m *parse.Move, f float64) Place {
	p, tangent := Place{At: m.At(f), CosF: 1}, m.Tangent(f)
	flat := math.Hypot(tangent.X, tangent.Y)
	if flat > 0 {
		p.CosF, p.SinF = tangent.X/flat, tangent.Y/flat
	}
	if flat > 0 || tangent.Z != 0 {
		p.RampRad = math.Atan2(-tangent.Z, flat)
	}
	return p
}

// Bound is the box round the path of the tool tip, seen from above.
func Bound(m *parse.Move) orb.Bound {
	low, high := m.Bounds()
	return orb.Bound{Min: orb.Point{low.X, low.Y}, Max: orb.Point{high.X, high.Y}}
}

// Places samples the stretch of a move from fraction a to b: both ends, and enough between that the feed never
// turns by more than maxTurnRad from one to the next.
func Places(m *parse.Move, a, b float64) []Place {
	n := 1
	if m.Kind == parse.Arc && b > a {
		n = max(1, int(math.Ceil(math.Abs(m.TurnRad)*(b-a)/maxTurnRad)))
	}
	if b <= a {
		return []Place{Along(m, b)}
	}
	out := make([]Place, 0, n+1)
	for i := 0; i <= n; i++ {
		out = append(out, Along(m, a+(b-a)*float64(i)/float64(n)))
	}
	return out
}
