package joins

import (
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/parse"
)

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
