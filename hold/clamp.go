package hold

import (
	"fmt"

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

// footings finds for every clamp which pieces may come to lie below it.
func (a *Analysis) footings() []footing {
	var out []footing
	for i := range a.job.Clamps {
		f := footing{clamp: &a.job.Clamps[i], index: i}
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
		for k := range a.rec.Pieces {
			outline := a.rec.Pieces[k].Outline
			if !outline.Bound().Intersects(b) {
				continue
			}
			for n, p := range f.points {
				if planar.MultiPolygonContains(outline, p) {
					f.pieces[n] = append(f.pieces[n], k)
				}
			}
		}
		out = append(out, f)
	}
	return out
}

// below is the id of the piece at a point of the footprint at a moment, 0 for none: of the pieces whose outlines
// contain the point, the one freed last.
func (a *Analysis) below(f *footing, point int, at sweep.Progress) int {
	id, freed := 0, sweep.Progress(-1)
	for _, k := range f.pieces[point] {
		if p := &a.rec.Pieces[k]; p.Freed <= at && p.Freed > freed {
			id, freed = p.ID, p.Freed
		}
	}
	return id
}

// under returns the points of a footprint that have a piece below them at a moment, and the number of points with any
// piece below. A piece on webs counts by its outline.
func (a *Analysis) under(f *footing, p *sweep.Piece, at sweep.Progress) (own []orb.Point, all int) {
	hung := p.HangsAt(at)
	for n := range f.points {
		id := a.below(f, n, at)
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
func (a *Analysis) pressOf(f *footing, p *sweep.Piece, at sweep.Progress) (press contact.Press, ok bool) {
	if !a.clampOn(f.index, at) {
		return press, false
	}
	own, all := a.under(f, p, at)
	share := clampShare(len(own), all)
	if share == 0 {
		return press, false
	}
	press = contact.Press{ForceN: share * f.clamp.ForceN, Friction: f.clamp.Friction, Face: own}
	if at > a.wetFrom {
		press.Friction = 0
	}
	for _, q := range own {
		press.X += q[0] / float64(len(own))
		press.Y += q[1] / float64(len(own))
	}
	return press, true
}

// pressesOn gives the clamps that press a piece at a moment.
func (a *Analysis) pressesOn(p *sweep.Piece, at sweep.Progress) []contact.Press {
	var out []contact.Press
	for i := range a.clamps {
		if press, ok := a.pressOf(&a.clamps[i], p, at); ok {
			out = append(out, press)
		}
	}
	return out
}

// clamped reports whether a clamp presses a piece when it is freed.
func (a *Analysis) clamped(p *sweep.Piece) bool { return len(a.pressesOn(p, p.Freed)) > 0 }

// clampStatements are the assumptions about clamps.
func (a *Analysis) clampStatements() []string {
	if len(a.clamps) == 0 {
		return nil
	}
	out := []string{"each clamp stays in place for the whole program and presses with its force " +
		"on the center of what lies below it, as long as it is on"}
	for i := range a.clamps {
		f := &a.clamps[i]
		seen := map[int]bool{}
		for n := range f.points {
			if id := a.below(f, n, sweep.Never-1); id > 0 {
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

// clampRows lists the clamps that press a piece.
func (a *Analysis) clampRows(p *sweep.Piece, at sweep.Progress) []Row {
	var rows []Row
	total := 0.0
	for i := range a.clamps {
		c := a.clamps[i].clamp
		if press, ok := a.pressOf(&a.clamps[i], p, at); ok {
			total += press.ForceN
			rows = append(rows, text("clamp "+c.Name, fmt.Sprintf("presses with %s of its %s at %s",
				a.units.Force().Text(press.ForceN), a.units.Force().Text(c.ForceN), a.place(press.X, press.Y))))
		}
	}
	if total > 0 {
		rows = append(rows, Row{What: "clamps", Symbol: "C", Formula: "sum of what presses", Value: total, Unit: "N",
			Source: "job file, clamp"})
	}
	return rows
}
