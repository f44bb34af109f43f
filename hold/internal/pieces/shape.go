package pieces

import (
	"math"
	"slices"
	"staydown/sweep"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

const (
	alikeCells   = 1.5 // cells by which outlines of equal parts may differ: each is rounded to cells on its own
	alikeSamples = 60  // points of an outline that are compared
	// alikeShare of them must lie on the other outline. The rest may be where the cut closes: an outline is
	// that of the moment that frees the part, with a last bit still on it.
	alikeShare = 0.9
)

// Shapes gives for each piece of a record the lowest id of those of the same outline, up to translation and quarter
// turns. The first blank is alone.
func Shapes(rec *sweep.Record) []int {
	var leads []silhouette // one of each shape
	out := make([]int, len(rec.Pieces))
	for i := range rec.Pieces {
		p := &rec.Pieces[i]
		out[i] = p.ID
		if i == 0 || len(p.Outline) == 0 {
			continue
		}
		c := newSilhouette(rec, p)
		k := slices.IndexFunc(leads, func(lead silhouette) bool { return c.equals(&lead) })
		if k >= 0 {
			out[i] = leads[k].id
		} else {
			leads = append(leads, c)
		}
	}
	return out
}

// silhouette is the outline of a piece about its centroid.
type silhouette struct {
	id       int
	lines    []orb.LineString
	samples  []orb.Point // evenly along all lines
	size     [2]float64
	areaMM2  float64
	rimMM    float64
	withinMM float64
}

func newSilhouette(rec *sweep.Record, p *sweep.Piece) silhouette {
	c := silhouette{id: p.ID, areaMM2: p.FinalAreaMM2, withinMM: alikeCells * rec.Grid.CellMM, size: SizeMM(rec, p)}
	for _, polygon := range p.Outline {
		for _, ring := range polygon {
			line := make(orb.LineString, len(ring))
			for i, at := range ring {
				line[i] = orb.Point{at[0] - p.Centroid[0], at[1] - p.Centroid[1]}
			}
			c.lines = append(c.lines, line)
			c.rimMM += planar.Length(line)
		}
	}
	for _, line := range c.lines {
		n := max(1, int(math.Round(alikeSamples*planar.Length(line)/c.rimMM)))
		for _, s := range Segments(orb.Ring(line), n) {
			c.samples = append(c.samples, s.Middle)
		}
	}
	return c
}

// equals tells whether two outlines cover each other in one of the four quarter turns.
func (c *silhouette) equals(d *silhouette) bool {
	if len(c.lines) != len(d.lines) || math.Abs(c.areaMM2-d.areaMM2) > c.withinMM*c.rimMM/2 {
		return false
	}
	for turns := range 4 {
		w, h := c.size[turns%2], c.size[1-turns%2]
		if math.Abs(w-d.size[0]) <= c.withinMM && math.Abs(h-d.size[1]) <= c.withinMM &&
			c.liesOn(d, turns) && d.liesOn(c, 4-turns) {
			return true
		}
	}
	return false
}

// liesOn tells whether the outline, turned so many quarters, lies on the other.
func (c *silhouette) liesOn(d *silhouette, turns int) bool {
	off := 0
	for _, at := range c.samples {
		for range turns {
			at = orb.Point{-at[1], at[0]}
		}
		if d.distanceTo(at) > d.withinMM {
			off++
		}
	}
	return float64(off) <= (1-alikeShare)*float64(len(c.samples))
}

func (c *silhouette) distanceTo(at orb.Point) float64 {
	least := math.Inf(1)
	for _, line := range c.lines {
		least = math.Min(least, planar.DistanceFrom(line, at))
	}
	return least
}
