package pieces

import (
	"math"

	"github.com/paulmach/orb/planar"

	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/raster"
)

// classify tells offcuts from parts by size against the tool that freed the piece. A strip of area A and perimeter P is
// about 2A/P wide; 4 pi A/P^2 is 1 for a disc and pi/4 for a square.
func classify(s *plan.Setup, c *raster.Cells, p *Piece, freed raster.Tick) Class {
	if freed < raster.FirstTick || len(p.Outline) == 0 {
		return Part
	}
	tool := s.Cutters[s.Moves.At(c.Clock.MoveOf(freed)).Tool]
	if tool == nil {
		return Part
	}
	around := planar.Length(p.Outline[0])
	if p.AreaMM2 < math.Pi*tool.R*tool.R {
		if 4*math.Pi*p.AreaMM2 > 0.6*around*around {
			return Slug
		}
		return Sliver
	}
	if 2*p.AreaMM2/around < tool.R {
		return Sliver
	}
	return Part
}
