package machine

import (
	"fmt"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/contact"
	"staydown/hold/job"
	"staydown/sweep"
)

// clampSamples is the number of points along each side of the box round a clamp's footprint at which it is asked which
// piece lies there. The share of a footprint that lies on a piece is known to about one row of them, a 24th.
const clampSamples = 24

// footing is a clamp with the pieces that may lie below it.
type footing struct {
	clamp  *job.Clamp
	index  int         // of the clamp in the job
	points []orb.Point // of its footprint, evenly spread
	pieces [][]int     // indices of the pieces whose outlines hold each point
}

// Clamps are the clamps of a job with what lies below them.
type Clamps struct {
	pieces   []sweep.Piece
	plan     *Plan
	wetFrom  sweep.Progress // from when on the work lies wet
	footings []footing
}

// NewClamps finds for every clamp which pieces may come to lie below it.
func NewClamps(pieces []sweep.Piece, plan *Plan, wetFrom sweep.Progress) Clamps {
	out := Clamps{pieces: pieces, plan: plan, wetFrom: wetFrom}
	for i := range plan.job.Clamps {
		f := footing{clamp: &plan.job.Clamps[i], index: i}
		b := f.clamp.Footprint.Bound()
		for ix := range clampSamples {
			for iy := range clampSamples {
				p := orb.Point{
					b.Min[0] + (b.Max[0]-b.Min[0])*(float64(ix)+0.5)/clampSamples,
					b.Min[1] + (b.Max[1]-b.Min[1])*(float64(iy)+0.5)/clampSamples,
				}
				if planar.RingContains(f.clamp.Footprint, p) {
					f.points = append(f.points, p)
				}
			}
		}
		f.pieces = make([][]int, len(f.points))
		for k := range pieces {
			outline := pieces[k].Outline
			if !outline.Bound().Intersects(b) {
				continue
			}
			for n, p := range f.points {
				if planar.MultiPolygonContains(outline, p) {
					f.pieces[n] = append(f.pieces[n], k)
				}
			}
		}
		out.footings = append(out.footings, f)
	}
	return out
}

// Varied are the clamps with the forces of a varied job.
func (c Clamps) Varied(j *job.Job) Clamps {
	c.footings = slices.Clone(c.footings)
	for i := range c.footings {
		f := &c.footings[i]
		f.clamp = &j.Clamps[f.index]
	}
	return c
}

// below is the id of the piece at a point of the footprint at a moment, 0 for none: of the pieces whose outlines
// contain the point, the one freed last.
func (c *Clamps) below(f *footing, point int, at sweep.Progress) int {
	id, freed := 0, sweep.Progress(-1)
	for _, k := range f.pieces[point] {
		if p := &c.pieces[k]; p.Freed <= at && p.Freed > freed {
			id, freed = p.ID, p.Freed
		}
	}
	return id
}

// under returns the points of a footprint that have a piece below them at a moment, and the number of points with any
// piece below. A piece on webs counts by its outline.
func (c *Clamps) under(f *footing, p *sweep.Piece, at sweep.Progress) (own []orb.Point, all int) {
	hung := p.HangsAt(at)
	for n := range f.points {
		id := c.below(f, n, at)
		if id == 0 {
			continue
		}
		all++
		if id == p.ID || hung && f.holds(n, p.ID-1) {
			own = append(own, f.points[n])
		}
	}
	return own, all
}

// holds tells whether the outline of a piece, by its index, holds a point of the footprint.
func (f *footing) holds(point, piece int) bool {
	for _, k := range f.pieces[point] {
		if k == piece {
			return true
		}
	}
	return false
}

// clampShare is the share of a clamp's force that surely presses a piece under part of it. A stiff clamp bears on its
// highest contact, so of several pieces only the one under most of it counts, by its excess over the others.
func clampShare(own, all int) float64 {
	if all == 0 {
		return 0
	}
	return max(0, 2*float64(own)/float64(all)-1)
}

// pressOf is the force of a clamp on a piece at a moment, at the center of the contact; ok is false if none is sure. A
// wet clamp pad counts as frictionless: its wet friction is unknown.
func (c *Clamps) pressOf(f *footing, p *sweep.Piece, at sweep.Progress) (press contact.Press, ok bool) {
	if !c.plan.ClampOn(f.index, at) {
		return press, false
	}
	own, all := c.under(f, p, at)
	share := clampShare(len(own), all)
	if share == 0 {
		return press, false
	}
	press = contact.Press{ForceN: share * f.clamp.ForceN, Friction: f.clamp.Friction, Face: own}
	if at > c.wetFrom {
		press.Friction = 0
	}
	for _, q := range own {
		press.X += q[0] / float64(len(own))
		press.Y += q[1] / float64(len(own))
	}
	return press, true
}

// Each visits the clamps that surely press a piece at a moment.
func (c *Clamps) Each(p *sweep.Piece, at sweep.Progress, visit func(clamp *job.Clamp, press contact.Press)) {
	for i := range c.footings {
		if press, ok := c.pressOf(&c.footings[i], p, at); ok {
			visit(c.footings[i].clamp, press)
		}
	}
}

// PressesOn gives what presses a piece at a moment.
func (c *Clamps) PressesOn(p *sweep.Piece, at sweep.Progress) (out []contact.Press) {
	c.Each(p, at, func(_ *job.Clamp, press contact.Press) { out = append(out, press) })
	return out
}

// Statements are the assumptions about clamps.
func (c *Clamps) Statements() []string {
	if len(c.footings) == 0 {
		return nil
	}
	out := []string{"each clamp stays in place for the whole program and presses with its force " +
		"on the center of what lies below it, as long as it is on"}
	for i := range c.footings {
		f := &c.footings[i]
		seen := map[int]bool{}
		for n := range f.points {
			if id := c.below(f, n, sweep.Never-1); id > 0 {
				seen[id] = true
			}
		}
		if len(seen) > 1 {
			out = append(out, fmt.Sprintf("clamp %s lies on %d pieces at the end: it counts only for the one under "+
				"most of it, by its excess over the others", f.clamp.Name, len(seen)))
		}
	}
	return out
}
