package sweep

import (
	"math"

	"github.com/paulmach/orb/planar"
)

// classify tells offcuts from parts by size against the tool that freed the piece. A strip of area A and perimeter P is
// about 2A/P wide; 4 pi A/P^2 is 1 for a disc and pi/4 for a square.
func classify(s *setup, c *cells, p *Piece, freed tick) Class {
	if freed < firstTick || len(p.Outline) == 0 {
		return Part
	}
	tool := s.cutters[s.moves.At(c.clock.move(freed)).Tool]
	if tool == nil {
		return Part
	}
	around := planar.Length(p.Outline[0])
	if p.AreaMM2 < math.Pi*tool.r*tool.r {
		if 4*math.Pi*p.AreaMM2 > 0.6*around*around {
			return Slug
		}
		return Sliver
	}
	if 2*p.AreaMM2/around < tool.r {
		return Sliver
	}
	return Part
}
