package subcell

import (
	"github.com/paulmach/orb"

	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/removal"
)

// workspace keeps what one worker uses again from window to window.
type workspace struct {
	pool raster.TilePool
	sets fineSets
}

// soonTicks is how long after the raster's moment the end of a bridge is looked for first.
const soonTicks = 2 * raster.TicksPerCell

// link is the last moment at which two sides of a place hang together, and the cells that stand for the bridge.
type link struct {
	at      raster.Tick
	cramped bool // the bridge outlives the last cells of a side that the window shows
	bridge  []uint32
}

// window is a window on the surroundings of a cell.
type window struct {
	cx, cy, w      int         // the cell, and how many cells the window reaches beyond it
	x0, y0, x1, y1 int         // what of that is on the grid
	marks          []int8      // sides of the cells of the window, row by row
	since          raster.Tick // links that are gone before are left out
	was            raster.Tick // when the raster says that the last goes
	fine           raster.Grid
}

// linksAround sweeps a window again on a finer grid and gives the links between the sides marked there, the
// longest-lived first, as a tree.
func (b *Bridges) linksAround(p *window, tools *workspace) []link {
	// Mostly the moments soon after was tell everything: a bridge thinner than a cell outlives it. Those before and
	// after do not matter then, beyond their order.
	soon := raster.Interval{From: max(p.since, p.was-1), To: min(p.was, raster.TickNever-soonTicks) + soonTicks}
	if links, ok := b.linksIn(p, soon, tools); ok {
		return links
	}
	links, _ := b.linksIn(p, p.always(), tools)
	return links
}

func (b *Bridges) windowAt(cx, cy, w int, marks []int8, since, was raster.Tick) *window {
	g := b.s.Grid
	p := &window{cx: cx, cy: cy, w: w, marks: marks, since: since, was: was}
	p.x0, p.y0, p.x1, p.y1 = max(0, cx-w), max(0, cy-w), min(g.NX-1, cx+w), min(g.NY-1, cy+w)
	p.fine = raster.Grid{
		OriginX: g.OriginX + float64(p.x0)*g.CellMM, OriginY: g.OriginY + float64(p.y0)*g.CellMM,
		CellMM: g.CellMM / fineness, NX: (p.x1 - p.x0 + 1) * fineness, NY: (p.y1 - p.y0 + 1) * fineness,
	}
	return p
}

// always is all the time that a window may be asked for.
func (p *window) always() raster.Interval {
	return raster.Interval{From: p.since, To: raster.TickNever}
}

// linksIn gives the links that a window shows and that are gone in the time asked for. ok is false where others may
// matter.
func (b *Bridges) linksIn(p *window, asked raster.Interval, tools *workspace) (links []link, ok bool) {
	if b.heldAfter(asked.To, p) {
		return nil, false
	}
	v := &tools.sets
	c := removal.Again(b.s, b.c, b.near, removal.Part{Grid: p.fine, Blank: b.blankIn(p), Asked: asked}, &tools.pool)
	v.reset(c, p.fine)
	tools.pool.Recycle(c)
	for y := p.y0; y <= p.y1; y++ {
		for x := p.x0; x <= p.x1; x++ {
			if m := p.marks[(y-p.cy+p.w)*(2*p.w+1)+x-p.cx+p.w]; m > 0 {
				b.mark(v, p, x, y, m)
			}
		}
	}
	ok = v.fill(asked, max(p.was, nearTicks)-nearTicks, func(at raster.Tick, cell int32, a, c int8) {
		links = append(links, link{at, at != raster.TickNever && v.mine[cell] != 0, b.bridge(v, p, at, a, c)})
	})
	return links, ok && (v.sides <= 1 || asked.From == p.since)
}

// bridge gives the cells of the raster, gone before a moment, through which two sides hang together until then.
func (b *Bridges) bridge(v *fineSets, p *window, at raster.Tick, from, to int8) (out []uint32) {
	seen := map[uint32]bool{}
	for _, n := range v.path(at, from, to) {
		t, k := b.c.At(p.x0+n%v.w/fineness, p.y0+n/v.w/fineness)
		if t == nil {
			continue
		}
		id := t.ID(k)
		if cut := t.Cut[k]; !seen[id] && cut >= raster.FirstTick && cut < at {
			seen[id] = true
			out = append(out, id)
		}
	}
	return out
}

// heldAfter tells whether a cell in a window stands for a bridge that outlives a moment, though not all: which of its
// parts do then matters.
func (b *Bridges) heldAfter(at raster.Tick, p *window) bool {
	if len(b.held) == 0 {
		return false
	}
	for y := p.y0; y <= p.y1; y++ {
		for x := p.x0; x <= p.x1; x++ {
			if t, k := b.c.At(x, y); t != nil {
				if held, ok := b.held[t.ID(k)]; ok && held >= at && held != raster.TickNever {
					return true
				}
			}
		}
	}
	return false
}

// blankIn gives the blank that a window lies in, mixed where an edge of one comes near.
func (b *Bridges) blankIn(p *window) int16 {
	box := p.fine.Box().Pad(p.fine.CellMM)
	for _, blank := range b.s.Stock.Blanks {
		for _, ring := range blank.Outline {
			for i, from := range ring {
				to := ring[(i+1)%len(ring)]
				if (orb.Bound{Min: from, Max: from}).Extend(to).Intersects(box) {
					return raster.Mixed
				}
			}
		}
	}
	return b.c.BlankAt(p.cx, p.cy)
}

// mark enters cell x, y as a place of a side: by its center, or, where it stands for a bridge, by the parts that stand
// as long as the bridge. A bridge that goes when the sides part is on neither.
func (b *Bridges) mark(v *fineSets, p *window, x, y int, side int8) {
	fx, fy := x-p.x0, y-p.y0
	if t, k := b.c.At(x, y); t != nil && len(b.held) > 0 {
		if at, ok := b.held[t.ID(k)]; ok && at > t.Cut[k] {
			if at <= p.was {
				return
			}
			for n := 0; n < fineness*fineness; n++ {
				if px, py := fx*fineness+n%fineness, fy*fineness+n/fineness; v.cut[py*v.w+px] >= at {
					v.mark(px, py, side)
				}
			}
			return
		}
	}
	v.mark(fx*fineness+fineness/2, fy*fineness+fineness/2, side)
}
