package outline

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/internal/pieces"
	"staydown/hold/result"
	"staydown/parse/drawing"
)

// match finds how each item fares in a result: by the smallest piece that has the item's middle in it. Pieces that no
// item has found go to the item that they lie in: where the tool cuts one part into several pieces the worst counts.
// What is cut off outside of all outlines counts with the sheet.
func (g *judge) match(r *result.Result) []Trial {
	sheet := len(g.items) - 1
	out := make([]Trial, len(g.items))
	for i := range out {
		out[i] = Trial{Tried: true, Margin: math.NaN(), Low: math.NaN(), High: math.NaN(),
			Why: "no piece of it is left"}
		if g.items[i].Kind == OffcutItem { // of an odd shape, all of which is kerf
			out[i].Holds, out[i].Why = true, "nothing is left of it"
		}
	}
	areas := make([]float64, len(g.items))
	found, taken := make([]bool, len(g.items)), make([]bool, len(r.Pieces))
	note := func(i, k int) {
		if t := trialOf(&r.Pieces[k]); !found[i] || t.worse(out[i]) {
			out[i], found[i] = t, true
		}
		taken[k] = true
	}
	boxes := make([]orb.Bound, len(r.Pieces))
	for k := range r.Pieces {
		boxes[k] = r.Pieces[k].Outline.Bound()
	}
	for i := range g.items[:sheet] {
		areas[i] = planar.Area(g.items[i].Outline[0])
		if k := pieceAt(drawing.Inside(g.items[i].Outline...), r, boxes); k >= 0 {
			note(i, k)
		}
	}
	for k := range r.Pieces {
		if p := &r.Pieces[k]; !taken[k] {
			at := sheet
			if cutOut(p) {
				if at = g.itemAt(drawing.Inside(p.Outline[0]...), areas); at < 0 {
					at = sheet
				}
			}
			note(at, k)
		}
	}
	return out
}

// cutOut tells whether a piece was cut out of the stock, free or on webs.
func cutOut(p *result.Piece) bool { return (p.Freed || p.WebLine > 0) && len(p.Outline) > 0 }

// pieceAt is the smallest piece cut out of the stock with a point in it, by the boxes round the pieces; -1 for none.
func pieceAt(at orb.Point, r *result.Result, boxes []orb.Bound) int {
	return pieces.Smallest(len(boxes), func(k int) float64 { return r.Pieces[k].AreaMM2 }, func(k int) bool {
		p := &r.Pieces[k]
		return cutOut(p) && boxes[k].Contains(at) && planar.MultiPolygonContains(p.Outline, at)
	})
}

// itemAt is the item with the smallest outline round a point; -1 for none.
func (g *judge) itemAt(at orb.Point, areas []float64) int {
	return pieces.Smallest(len(g.items), func(i int) float64 { return areas[i] }, func(i int) bool {
		if g.items[i].Kind == SheetItem {
			return false
		}
		ring := g.items[i].Outline[0]
		return ring.Bound().Contains(at) && planar.RingContains(ring, at)
	})
}
