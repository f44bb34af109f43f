package pieces

import (
	"cmp"
	"math"
	"slices"

	"staydown/sweep/internal/raster"
)

// plunges tells the ticks in which a tool goes straight down. In such a tick the cells count as cut from its middle
// outwards: a bridge that it leaves beside other cuts or at the rim shows as a neck then.
type plunges struct {
	maybeTicks []uint64 // a bit for each plungeBucket ticks; nil if nobody asks
	DistanceOf func(at raster.Tick, id uint32) (cells2 float64, ok bool)
}

const plungeBucket = 8

// maybe is quick and true for more ticks than needed.
func (s *plunges) maybe(at raster.Tick) bool {
	n := at / plungeBucket
	return int(n/64) < len(s.maybeTicks) && s.maybeTicks[n/64]>>(n%64)&1 != 0
}

func (s *plunges) Add(first, end raster.Tick) {
	for n := first / plungeBucket; n <= (end-1)/plungeBucket; n++ {
		for int(n/64) >= len(s.maybeTicks) {
			s.maybeTicks = append(s.maybeTicks, 0)
		}
		s.maybeTicks[n/64] |= 1 << (n % 64)
	}
}

// sort puts the cells of one tick in order of their distance from the tool, to a ten-thousandth, then by their place in
// the tile.
func (s *plunges) sort(at raster.Tick, cells []uint64) {
	type ranked struct {
		low  uint32
		cell uint64
	}
	list := make([]ranked, len(cells))
	for i, cell := range cells {
		id := uint32(cell)
		list[i] = ranked{id, cell}
		if far, ok := s.DistanceOf(at, id); ok {
			list[i].low = math.Float32bits(float32(far))&^(raster.TileArea-1) | id&(raster.TileArea-1)
		}
	}
	slices.SortStableFunc(list, func(a, b ranked) int { return cmp.Compare(a.low, b.low) })
	for i := range list {
		cells[i] = list[i].cell
	}
}
