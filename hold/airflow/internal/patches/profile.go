package patches

import "math"

// portion is a part of a group with one transmission.
type portion struct{ share, w float64 }

const (
	// edgeDepth is where, in decay lengths from an edge, the loss beside it is taken to end.
	edgeDepth = 4.0
	// thinnest is the depth of a cell, in decay lengths, below which its profile is as good as flat.
	thinnest = 0.3
)

// gauss4 is the Gauss-Legendre rule with four points on (0, 1).
var gauss4 = [4]struct{ at, weight float64 }{
	{0.0694318442029737, 0.1739274225687269}, {0.3300094782075719, 0.3260725774312731},
	{0.6699905217924281, 0.3260725774312731}, {0.9305681557970263, 0.1739274225687269},
}

// profile divides an area of the given mean transmission in portions that follow 1 - D exp(-x), x counted in decay
// lengths from the edge over the depth y, and keep the mean. Pressure is not linear in w: the mean alone would
// understate the hold.
func profile(into []portion, mean, y float64) []portion {
	into = into[:0]
	if y < thinnest || mean <= 0 || mean >= 1 {
		return append(into, portion{1, min(1, max(0, mean))})
	}
	deep := min(y, edgeDepth)
	for _, node := range gauss4 {
		into = append(into, portion{node.weight * deep / y, math.Exp(-node.at * deep)})
	}
	if y > deep {
		rest := y - deep
		into = append(into, portion{rest / y, (math.Exp(-deep) - math.Exp(-y)) / rest})
	}
	fall := 0.0 // mean of exp(-x)
	for _, p := range into {
		fall += p.share * p.w
	}
	if d := (1 - mean) / fall; d <= 1 {
		for i := range into {
			into[i].w = 1 - d*into[i].w
		}
		return into
	}
	for i := range into {
		into[i].w = min(1, mean*(1-into[i].w)/(1-fall))
	}
	return into
}

// levels are the borders in sqrt(1-w) between portions that are kept apart when patches are joined. Pressure below
// ambient is about 1 - sqrt(1-w): within a level it is so near to linear that the joined hold is at most 1 % short,
// never too large.
var levels = [...]float64{0.01, 0.03, 0.06, 0.12, 0.2, 0.3, 0.45, 0.6, 0.8}

const levelCount = len(levels) + 1

func levelOf(w float64) int {
	lost := 1 - w // v^2
	for i, border := range levels {
		if lost < border*border {
			return i
		}
	}
	return len(levels)
}
