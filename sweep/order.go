package sweep

import "math"

// order is the moment of a cell, by which all cells follow each other: the tick in the upper half; below, what parts cells of one
// tick. 0 stands for no material.
type order uint64

const orderNever = order(tickNever) << 32

func (o order) tick() tick { return tick(o >> 32) }

// orderOf gives the order of cell k of tile i.
func (f *forest) orderOf(i, k int) order {
	t := f.c.tiles[i]
	switch {
	case t != nil:
		return f.orderIn(t, k, f.level(t)[k])
	case f.c.plain[i].blank < 0:
		return 0
	}
	return orderNever
}

// orderIn gives the order of cell k of a tile with memory that is gone at a tick.
func (f *forest) orderIn(t *tile, k int, at tick) order {
	id := t.id(k)
	switch {
	case at < firstTick:
		return 0
	case f.stands.maybe(at):
		if low, ok := f.stands.low(at, id); ok {
			return order(at)<<32 | order(low)
		}
	}
	return order(at)<<32 | order(id)
}

func (f *forest) orderOfRep(rep int64) order {
	return f.orderOf(int(rep>>(2*tileBits)), int(rep&(tileArea-1)))
}

// stands tells the ticks in which a tool goes straight down. In such a tick the cells count as cut from its middle outwards: a bridge
// that it leaves beside other cuts or at the rim shows as a neck then.
type stands struct {
	seldom []uint64 // a bit for each standBucket ticks; nil if nobody asks
	far    func(at tick, id uint32) (cells2 float64, ok bool)
}

const standBucket = 8

// maybe is quick and true for more ticks than needed.
func (s *stands) maybe(at tick) bool {
	n := at / standBucket
	return int(n/64) < len(s.seldom) && s.seldom[n/64]>>(n%64)&1 != 0
}

// within is quick and true if a span, not empty, has one of those ticks, and for some near it.
func (s *stands) within(when span) bool {
	last := when.to - 1
	for n := int(when.from / standBucket); n <= int(last/standBucket) && n/64 < len(s.seldom); n = (n/64 + 1) * 64 {
		bits := s.seldom[n/64] >> (n % 64)
		if left := int(last/standBucket) - n + 1; left < 64 {
			bits &= 1<<left - 1
		}
		if bits != 0 {
			return true
		}
	}
	return false
}

func (s *stands) enter(first, end tick) {
	for n := first / standBucket; n <= (end-1)/standBucket; n++ {
		for int(n/64) >= len(s.seldom) {
			s.seldom = append(s.seldom, 0)
		}
		s.seldom[n/64] |= 1 << (n % 64)
	}
}

// low parts the cells of one tick: by their distance from the tool, to a ten-thousandth, then by their place in the tile.
func (s *stands) low(at tick, id uint32) (uint32, bool) {
	far, ok := s.far(at, id)
	return math.Float32bits(float32(far))&^(tileArea-1) | id&(tileArea-1), ok
}
