package hold

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/parse"
)

// maxTurnRad bounds how far the feed direction may turn between two places at which a step is checked.
const maxTurnRad = math.Pi / 12

// place is the tool tip at a fraction of a move, with the direction of feed there.
type place struct {
	at         parse.Point
	cosF, sinF float64 // of the feed direction seen from above; (1, 0) when the tool only goes up or down
	rampRad    float64 // slope below the horizontal, positive down
}

// along gives the place of the tool tip at fraction f of the move.
func along(m *parse.Move, f float64) place {
	p, tangent := place{at: m.At(f), cosF: 1}, m.Tangent(f)
	flat := math.Hypot(tangent.X, tangent.Y)
	if flat > 0 {
		p.cosF, p.sinF = tangent.X/flat, tangent.Y/flat
	}
	if flat > 0 || tangent.Z != 0 {
		p.rampRad = math.Atan2(-tangent.Z, flat)
	}
	return p
}

// pathBound is the box round the path of the tool tip, seen from above.
func pathBound(m *parse.Move) orb.Bound {
	low, high := m.Bounds()
	return orb.Bound{Min: orb.Point{low.X, low.Y}, Max: orb.Point{high.X, high.Y}}
}

// places samples the stretch of a move from fraction a to b: both ends, and enough between that the feed never
// turns by more than maxTurnRad from one to the next.
func places(m *parse.Move, a, b float64) []place {
	n := 1
	if m.Kind == parse.Arc && b > a {
		n = max(1, int(math.Ceil(math.Abs(m.TurnRad)*(b-a)/maxTurnRad)))
	}
	if b <= a {
		return []place{along(m, b)}
	}
	out := make([]place, 0, n+1)
	for i := 0; i <= n; i++ {
		out = append(out, along(m, a+(b-a)*float64(i)/float64(n)))
	}
	return out
}
