package sweep

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/parse"
)

// moveIndex finds the moves near a place.
type moveIndex struct {
	// boxes are those of the moves, grown by the tool and empty where it cannot cut, then of indexGroup of them, and of as many of those.
	boxes [3][]orb.Bound
}

const indexGroup = 64

var noBox = orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}

func newMoveIndex(s *setup) *moveIndex {
	ix := new(moveIndex)
	n := len(s.moves)
	for level := range ix.boxes {
		ix.boxes[level] = make([]orb.Bound, n)
		n = (n + indexGroup - 1) / indexGroup
	}
	share(s.opt.Jobs, len(ix.boxes[1]), func(_, g int) {
		for i := g * indexGroup; i < min(len(s.moves), (g+1)*indexGroup); i++ {
			ix.boxes[0][i] = s.reachOf(&s.moves[i])
		}
		ix.boxes[1][g] = unionOf(ix.boxes[0], g)
	})
	for g := range ix.boxes[2] {
		ix.boxes[2][g] = unionOf(ix.boxes[1], g)
	}
	return ix
}

// reachOf gives a box round what a move can cut.
func (s *setup) reachOf(m *parse.Move) orb.Bound {
	c := s.cutters[m.Tool]
	if m.Kind == parse.Dwell || c == nil || lowestZ(m)-s.stock.BottomMM >= s.top {
		return noBox
	}
	b := orb.Bound{Min: orb.Point{m.Start.X, m.Start.Y}, Max: orb.Point{m.Start.X, m.Start.Y}}
	b = b.Extend(orb.Point{m.End.X, m.End.Y})
	if m.Kind == parse.Arc {
		r, _ := arcShape(m)
		b = b.Union(orb.Bound{Min: orb.Point{m.Centre.X - r, m.Centre.Y - r}, Max: orb.Point{m.Centre.X + r, m.Centre.Y + r}})
	}
	return b.Pad(c.r)
}

// unionOf gives the box round group g of boxes.
func unionOf(boxes []orb.Bound, g int) orb.Bound {
	all := noBox
	for _, b := range boxes[g*indexGroup : min(len(boxes), (g+1)*indexGroup)] {
		switch {
		case b.IsEmpty():
		case all.IsEmpty():
			all = b
		default:
			all = all.Union(b)
		}
	}
	return all
}

// each calls f for the moves near a box in the order of the program.
func (ix *moveIndex) each(b orb.Bound, f func(move int)) { ix.eachOf(len(ix.boxes)-1, 0, b, f) }

func (ix *moveIndex) eachOf(level, first int, b orb.Bound, f func(move int)) {
	last := len(ix.boxes[level])
	if level < len(ix.boxes)-1 {
		last = min(last, first+indexGroup)
	}
	for i := first; i < last; i++ {
		switch {
		case !ix.boxes[level][i].Intersects(b):
		case level == 0:
			f(i)
		default:
			ix.eachOf(level-1, i*indexGroup, b, f)
		}
	}
}

// bench keeps what one worker uses again from window to window.
type bench struct {
	shed shed
	void void
}

// soonTicks is how far from the raster's moment the end of a bridge is looked for first.
const soonTicks = 2 * ticksPerCell

// link is the last moment at which two sides of a place hang together, and the cells that stand for the bridge.
type link struct {
	at      tick
	cramped bool // the bridge outlives the last cells of a side that the window shows
	bridge  []uint32
}

// window sweeps the surroundings of a cell again on a finer grid and gives the links between the sides marked there, the
// longest-lived first, as a tree. Links that are gone before since are left out; was is when the raster says that they go.
func (b *bridges) window(cx, cy, w int, marks []int8, since, was tick, tools *bench) []link {
	g := b.s.grid
	x0, y0 := max(0, cx-w), max(0, cy-w)
	x1, y1 := min(g.NX-1, cx+w), min(g.NY-1, cy+w)
	fine := Grid{
		OriginX: g.OriginX + float64(x0)*g.CellMM, OriginY: g.OriginY + float64(y0)*g.CellMM,
		CellMM: g.CellMM / fineness, NX: (x1 - x0 + 1) * fineness, NY: (y1 - y0 + 1) * fineness,
	}
	v := &tools.void
	// Mostly the moments round was tell everything; those before and after do not matter then, beyond their order.
	soon := span{max(since, max(was, soonTicks)-soonTicks), min(was, tickNever-soonTicks) + soonTicks}
	for _, asked := range [...]span{soon, {since, tickNever}} {
		exact := asked
		if b.heldOutside(asked, x0, y0, x1, y1) {
			if asked == soon {
				continue
			}
			exact = span{0, tickNever}
		}
		c := sweepAgain(b.s, b.c, fine, b.near, &tools.shed, b.blankIn(fine, cx, cy), exact)
		v.reset(c, fine)
		tools.shed.recycle(c)
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				if m := marks[(y-cy+w)*(2*w+1)+x-cx+w]; m > 0 {
					b.mark(v, x, y, x-x0, y-y0, m)
				}
			}
		}
		links, ok := b.links(v, x0, y0, asked, max(was, nearTicks)-nearTicks)
		if asked != soon || ok && (v.sides <= 1 || asked.from == since) {
			return links
		}
	}
	return nil
}

// span is a stretch of time, the end left out.
type span struct{ from, to tick }

// links gives the links between the sides marked in a window that are gone in the time asked for. ok is false where some hang together
// longer.
func (b *bridges) links(v *void, x0, y0 int, asked span, about tick) (out []link, ok bool) {
	ok = v.fill(asked, about, func(at tick, cell int32, a, c int8) {
		l := link{at: at, cramped: at != tickNever && v.mine[cell] != 0}
		seen := map[uint32]bool{}
		for _, n := range v.path(at, a, c) {
			x, y := x0+n%v.w/fineness, y0+n/v.w/fineness
			t, k := b.c.at(x, y)
			if t == nil {
				continue
			}
			id := uint32(t.slot)<<(2*tileBits) | uint32(k)
			if cut := t.cut[k]; !seen[id] && cut >= firstTick && cut < at {
				seen[id] = true
				l.bridge = append(l.bridge, id)
			}
		}
		out = append(out, l)
	})
	return out, ok
}

// heldOutside tells whether a cell in x0..x1, y0..y1 stands for a bridge that is gone at another time.
func (b *bridges) heldOutside(s span, x0, y0, x1, y1 int) bool {
	if len(b.hold) == 0 {
		return false
	}
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			if t, k := b.c.at(x, y); t != nil {
				if held, ok := b.hold[uint32(t.slot)<<(2*tileBits)|uint32(k)]; ok && held != tickNever && (held < s.from || held >= s.to) {
					return true
				}
			}
		}
	}
	return false
}

// blankIn gives the blank that a local grid round cell cx, cy lies in, mixed where an edge of one comes near.
func (b *bridges) blankIn(g Grid, cx, cy int) int16 {
	box := g.box().Pad(g.CellMM)
	for _, blank := range b.s.stock.Blanks {
		for _, ring := range blank.Outline {
			for i, p := range ring {
				q := ring[(i+1)%len(ring)]
				if (orb.Bound{Min: p, Max: p}).Extend(q).Intersects(box) {
					return mixed
				}
			}
		}
	}
	return b.blankOf(cx, cy)
}

// mark enters cell x, y as a place of a side: by its centre, or, where it stands for a bridge, by the parts that stand as
// long as the bridge.
func (b *bridges) mark(v *void, x, y, fx, fy int, side int8) {
	if t, k := b.c.at(x, y); t != nil && len(b.hold) > 0 {
		if at, ok := b.hold[uint32(t.slot)<<(2*tileBits)|uint32(k)]; ok && at > t.cut[k] {
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

// sweepAgain runs the moves near a small grid over it, all of it in one blank unless that is mixed. Of cells that go outside the time
// asked for only the move is right.
func sweepAgain(s *setup, coarse *cells, g Grid, near *moveIndex, spare *shed, blank int16, asked span) *cells {
	c := &cells{
		tx: (g.NX + tileSide - 1) / tileSide, ty: (g.NY + tileSide - 1) / tileSide,
		tops: coarse.tops, clock: coarse.clock,
	}
	c.tiles, c.plain = make([]*tile, c.tx*c.ty), make([]uniform, c.tx*c.ty)
	if blank == mixed {
		c.lay(g, rasterBlanks(g, s.stock), len(s.stock.Blanks), spare)
	} else {
		for i := range c.plain {
			c.plain[i].blank = blank
		}
	}
	local := *s
	local.grid, local.opt.Jobs = g, 1
	d := newDriver(&local, c, spare)
	d.only, d.asked, d.kernels[0].only = true, asked, true
	near.each(g.box(), func(i int) {
		d.add(i)
		if d.n >= chunkSamples || len(d.segs) >= chunkSegs {
			d.flush()
		}
	})
	d.finish()
	return c
}
