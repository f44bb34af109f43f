package joins

import (
	"github.com/paulmach/orb"
)

// A surface finished in many short moves has hundreds of strokes on each square millimeter. Each that comes near a line
// round a piece is kept once; what comes to one spoke are mostly strokes that follow each other, so they are told as
// runs.

// strokes are kept in blocks of strokeBlock, which grow without being copied.
type strokes struct {
	blocks [][]stroke
	n      int
}

const (
	strokeBits  = 10
	strokeBlock = 1 << strokeBits
)

// strokeRun is a stretch of strokes kept one behind the other in one block.
type strokeRun struct{ from, n int32 }

// of gives the strokes of a run.
func (s *strokes) of(r strokeRun) []stroke {
	at := r.from & (strokeBlock - 1)
	return s.blocks[r.from>>strokeBits][at : at+r.n]
}

// at gives stroke i.
func (s *strokes) at(i int32) *stroke { return &s.blocks[i>>strokeBits][i&(strokeBlock-1)] }

// add keeps a stroke and gives its index.
func (s *strokes) add(g *stroke) int32 {
	i := int32(s.n)
	if int(i>>strokeBits) == len(s.blocks) {
		s.blocks = append(s.blocks, make([]stroke, strokeBlock))
	}
	*s.at(i) = *g
	s.n++
	return i
}

// each calls f for all strokes, block by block.
func (s *strokes) each(f func(ss []stroke)) {
	for i := 0; i < s.n; i += strokeBlock {
		f(s.of(strokeRun{int32(i), int32(min(strokeBlock, s.n-i))}))
	}
}

// follow appends a stroke to runs.
func follow(runs []strokeRun, i int32) []strokeRun {
	if n := len(runs); n > 0 && runs[n-1].from+runs[n-1].n == i && i&(strokeBlock-1) != 0 {
		runs[n-1].n++
		return runs
	}
	return append(runs, strokeRun{i, 1})
}

// gatherScratch is the scratch of gather.
type gatherScratch struct {
	centre [chunkSpoke]orb.Point
	farMM  [chunkSpoke]float64
	near   [chunkSpoke][]strokeRun
	kept   []strokeRun
}

// knownStrokes are strokes kept before, in the order of the program.
type knownStrokes struct {
	strokes *strokes
	runs    []strokeRun
	in      int32 // the first run
}

// find gives the index of a stroke, -1 if it is not among them. What is asked for comes in the order of the program.
func (k *knownStrokes) find(g *stroke) int32 {
	for len(k.runs) > 0 {
		if k.in == k.runs[0].n {
			k.runs, k.in = k.runs[1:], 0
			continue
		}
		i := k.runs[0].from + k.in
		switch s := k.strokes.at(i); {
		case s.move > g.move || s.move == g.move && s.part > g.part:
			return -1
		case s.move == g.move && s.part == g.part:
			return i
		}
		k.in++
	}
	return -1
}

// chunkSpoke is how many spokes share their strokes.
const chunkSpoke = 16
