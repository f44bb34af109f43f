package sweep

import (
	"math"
	"math/bits"
	"slices"

	"github.com/paulmach/orb"
)

// ways tells of the cells of a tile how they are reached from a hung set over its web.
type ways struct {
	far  [tileArea]int32 // cells from the set, in as few steps as possible; 0 outside the web, unreached until known
	thin [tileArea]fix   // least height on any such way
}

const unreached int32 = -1

// haloStep is the step to a neighbour in a halo; dir as for cells.side.
var haloStep = [4]int{1, haloSide, -1, -haloSide}

// depth gives the number of cells between the set and the rest: the median over the rest's border, since the place where the
// set came apart is narrower than the others at that moment. last is how far the farthest cell of the web is from the set.
func (v *survey) depth() (median, last int32) {
	c, queue := v.c, v.queue[:0]
	defer func() { v.queue = queue[:0] }()
	v.ways.reset(len(c.tiles))
	for _, tile := range v.webs {
		way, shot, t := v.ways.at(int(tile)), v.snap.at(int(tile)), c.tiles[tile]
		shot.now.each(func(k int) { way.far[k] = unreached })
		shot.inner.each(func(k int) {
			way.far[k], way.thin[k] = 1, t.webHeight(k)
			queue = append(queue, tile<<(2*tileBits)|int32(k))
		})
	}
	var across []int32
	for next := 0; next < len(queue); next++ {
		i, k := int(queue[next]>>(2*tileBits)), int(queue[next]&(tileArea-1))
		way := v.ways.tiles[i]
		last = way.far[k]
		if v.snap.at(i).outer.has(k) {
			across = append(across, last)
		}
		for dir := range 4 {
			ni, nk, beside := i, k+inTile[dir], way
			if !inside(k) {
				ok := false
				if ni, nk, ok = c.side(i, k, dir); !ok || v.ways.tiles[ni] == nil {
					continue
				}
				beside = v.ways.tiles[ni]
			}
			switch beside.far[nk] {
			case unreached:
				beside.far[nk], beside.thin[nk] = last+1, min(way.thin[k], c.tiles[ni].webHeight(nk))
				queue = append(queue, int32(ni)<<(2*tileBits)|int32(nk))
			case last + 1:
				beside.thin[nk] = min(way.thin[k], beside.thin[nk])
			}
		}
	}
	if len(across) == 0 {
		return 1, last
	}
	slices.Sort(across)
	return across[len(across)/2], last
}

// place puts the web in the middle of its cells and notes when they are cut.
func (w *Web) place(v *survey) {
	c := v.c
	var sx, sy float64
	begin, gone := tickNever, tick(0)
	for _, tile := range v.webs {
		i := int(tile)
		cut := &c.tiles[i].cut
		v.snap.at(i).now.each(func(k int) {
			x, y := c.place(i, k)
			sx, sy = sx+float64(x), sy+float64(y)
			begin, gone = min(begin, cut[k]), max(gone, cut[k])
		})
	}
	n := float64(v.cells)
	w.At = orb.Point{v.s.grid.OriginX + (sx/n+0.5)*v.s.grid.CellMM, v.s.grid.OriginY + (sy/n+0.5)*v.s.grid.CellMM}
	w.Begin, w.Gone = c.clock.progress(begin), c.clock.progress(gone)
}

// rings measures a large web by cuts that run round the set at equal distance, as cells go, up to the last: the shortest of them, times
// the mean over all ways outwards of the least height on the way. Where the outline has inward corners the smallest cut may
// round them off, by less than a tenth of its length.
func (w *Web) rings(v *survey, last int32) {
	w.place(v)
	var high float64
	n := 0
	// step[d] is what ring d has more than ring d-1; ring d parts the cells at most d from the set from the others.
	step := make([]int64, last+2)
	pair := func(b, a int32, weight int64) {
		if b == 0 || b > a {
			step[min(a, b)] += weight
			step[max(a, b)] -= weight
		}
	}
	for _, tile := range v.webs {
		i := int(tile)
		shot, way, near := v.snap.at(i), v.ways.tiles[i], v.levels(i, last+1)
		shot.outer.each(func(k int) {
			if way.far[k] > 0 {
				high += way.thin[k].mm()
				n++
			}
		})
		shot.now.each(func(k int) {
			at, a := inHalo(k), way.far[k]
			if a <= 0 {
				return
			}
			for dir, step := range haloStep {
				pair(near[at+step], a, weightAxis)
				pair(near[at+step+haloStep[(dir+1)&3]], a, weightCorner)
			}
		})
	}
	least, sum := int64(math.MaxInt64), int64(0)
	for d := int32(0); d <= last; d++ {
		sum += step[d]
		least = min(least, sum)
	}
	if n == 0 || least <= 0 {
		return
	}
	w.WidthMM = float64(least) / 1024 * v.s.grid.CellMM
	w.ThicknessMM = high / float64(n)
	w.SectionMM2 = w.WidthMM * w.ThicknessMM
}

// levels gives for the cells of tile i and those round it, as in a halo, how far they are from the set: 0 for the set itself, beyond for
// other material above web height, unreached where there is nothing or what cannot be reached.
func (v *survey) levels(i int, beyond int32) *[haloSide * haloSide]int32 {
	out := &v.level
	for n := range out {
		out[n] = unreached
	}
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			j, ok := v.c.tileBeside(i, dx, dy)
			if !ok {
				continue
			}
			shot, way := v.snap.at(j), v.ways.tiles[j]
			first, columns := 0, ^uint32(0)
			switch dx {
			case -1:
				columns = 1 << tileMask
			case 1:
				columns = 1
			}
			end := tileSide
			switch dy {
			case -1:
				first = tileMask
			case 1:
				end = 1
			}
			for y := first; y < end; y++ {
				row := (y+dy*tileSide+1)*haloSide + dx*tileSide + 1
				core, solid, web := shot.core[y]&columns, shot.solid[y]&^shot.core[y]&columns, shot.now[y]&columns
				for ; core != 0; core &= core - 1 {
					out[row+bits.TrailingZeros32(core)] = 0
				}
				for ; solid != 0; solid &= solid - 1 {
					out[row+bits.TrailingZeros32(solid)] = beyond
				}
				for ; web != 0; web &= web - 1 {
					x := bits.TrailingZeros32(web)
					out[row+x] = way.far[y<<tileBits|x]
				}
			}
		}
	}
	return out
}
