package joins

import (
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/parse"
)

// A surface finished in many short moves has hundreds of strokes on each square millimetre. Each that comes near a line
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

// At gives stroke i.
func (s *strokes) at(i int32) *stroke { return &s.blocks[i>>strokeBits][i&(strokeBlock-1)] }

// Add keeps a stroke and gives its index.
func (s *strokes) add(g *stroke) int32 {
	i := int32(s.n)
	if int(i>>strokeBits) == len(s.blocks) {
		s.blocks = append(s.blocks, make([]stroke, strokeBlock))
	}
	*s.at(i) = *g
	s.n++
	return i
}

// Each calls f for all strokes, block by block.
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

// gather keeps the strokes of a box that may leave their mark between each of some spokes and the one behind it; next
// is that behind the last.
func (v *heightField) gather(spokes []spoke, next *spoke, box orb.Bound) {
	w := &v.now
	w.kept = w.kept[:0]
	after := func(i int) *spoke {
		if i+1 < len(spokes) {
			return &spokes[i+1]
		}
		return next
	}
	for i := range spokes {
		k, b := &spokes[i], after(i)
		w.near[i] = w.near[i][:0]
		w.centre[i] = orb.Point{(k.wall[0] + k.mid[0]) / 2, (k.wall[1] + k.mid[1]) / 2}
		w.farMM[i] = planar.Distance(k.wall, k.mid)/2 + max(k.stepMM, planar.Distance(k.mid, b.mid)) +
			planar.Distance(b.wall, b.mid)
	}
	known := knownStrokes{strokes: &v.kept, runs: v.before}
	v.eachStroke(box, func(g *stroke, to parse.Point) {
		at := int32(-1)
		for i := range spokes {
			k := &spokes[i]
			if b := after(i); k.bare != b.bare {
				k.endsNear(g, to, b)
			}
			if d, _ := g.away(w.centre[i]); d > g.tool.R+w.farMM[i] {
				continue
			}
			if at < 0 {
				if at = known.find(g); at < 0 {
					at = v.kept.add(g)
				}
				w.kept = follow(w.kept, at)
			}
			w.near[i] = follow(w.near[i], at)
		}
	})
	for i := range spokes {
		from := len(v.list)
		v.list = append(v.list, w.near[i]...)
		spokes[i].near = v.list[from:len(v.list):len(v.list)]
	}
	v.before, w.kept = w.kept, v.before
}

// endsNear notes the ends of a path that lie near the middle of a spoke, or of the next where that one is bare.
func (k *spoke) endsNear(g *stroke, to parse.Point, next *spoke) {
	mid := cutMid(k, next)
	for _, end := range [2]orb.Point{{g.ax, g.ay}, {to.X, to.Y}} {
		if end != mid && planar.Distance(end, mid) < k.reachMM+next.reachMM {
			k.ends = append(k.ends, end)
		}
	}
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
