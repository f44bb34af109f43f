package job

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"staydown/hold/material"
)

// Clamp presses down what lies below its footprint, and stands in the way of tool and holder.
type Clamp struct {
	Name      string   // as given, or its number
	Footprint orb.Ring // mm, program coordinates
	TopMM     float64  // Z of its highest point
	ForceN    float64
	Friction  float64 // work on clamp; 0: not given, and none is counted
}

// Fixture is a thing on the table that neither tool nor holder may touch; it holds nothing.
type Fixture struct {
	Name      string
	Footprint orb.Ring
	TopMM     float64
}

// clamps reads every [[clamp]].
func (r *reader) clamps(root *node, stock Stock) []Clamp {
	var out []Clamp
	seen := map[string]section{}
	for i, s := range r.each(root, "clamp", maxClamps) {
		c := Clamp{Name: s.named(i, seen)}
		shape, ok := s.shape()
		if ok {
			c.Footprint, ok = s.footprint(shape)
		}
		if ok && shape == asDisc {
			circumscribe(c.Footprint)
		}
		below := highestBelow(c.Footprint, stock)
		if ok && len(stock.Blanks) > 0 && math.IsInf(below, -1) {
			s.say(s.at, "clamp", "stands beside the stock and presses on nothing", "move it onto the stock, or "+
				"write [[fixture]] for what only stands in the way")
		}
		c.TopMM = s.clampTop(below)
		var pressing material.Range
		if s.need("force", `"500 N"`) {
			pressing, _ = s.figure("force", force, clampN, material.OfClampForce)
		}
		var given bool
		if c.Friction, given = s.number("friction", frictionRange); !given && !s.has("friction") {
			s.assume("clamp %s: keeps the work in its place by friction on the table alone (friction)", c.Name)
		}
		if ok {
			c.ForceN = pressing.Likely
			r.clampDoubt(len(out), c.Name, pressing)
			out = append(out, c)
		}
	}
	return out
}

// clampTop reads the highest point of a clamp, above the stock below it or as a place.
func (s section) clampTop(below float64) float64 {
	if s.has("top") {
		s.only("says the same as top", "leave out one of the two", "height")
		top, ok := s.quantity("top", length, anyPlaceMM)
		if ok && top < below {
			s.say(s.where("top"), "top", fmt.Sprintf("the clamp ends below the top of the stock at Z %s",
				s.length(below)), "write the Z of its highest point")
		}
		return top
	}
	if !s.need("height", `"25 mm" above the stock, or top = "25 mm" as a Z`) {
		return below
	}
	h, _ := s.quantity("height", length, clampMM)
	return below + h
}

// fixtures reads every [[fixture]].
func (r *reader) fixtures(root *node) []Fixture {
	var out []Fixture
	seen := map[string]section{}
	for i, s := range r.each(root, "fixture", maxFixtures) {
		f := Fixture{Name: s.named(i, seen)}
		shape, ok := s.shape()
		switch {
		case !ok:
		case shape == asRectangle:
			f.Footprint, f.TopMM, ok = s.fixtureBox()
		default:
			f.Footprint, ok = s.footprint(shape)
			if ok && shape == asDisc {
				circumscribe(f.Footprint)
			}
			okT := s.need("top", `"40 mm"`)
			if okT {
				f.TopMM, okT = s.quantity("top", length, anyPlaceMM)
			}
			ok = ok && okT
		}
		if ok {
			out = append(out, f)
		}
	}
	return out
}

// fixtureBox reads a box by its lowest corner and its extents.
func (s section) fixtureBox() (footprint orb.Ring, topMM float64, ok bool) {
	const exampleCorner, exampleSize = `["-60 mm", "0 mm", "-6 mm"]`, `["40 mm", "400 mm", "30 mm"]`
	s.only("belongs to another shape", `leave it out or write shape = "disc" or "polygon"`, "centre", "diameter",
		"corners")
	s.only("belongs to another shape", "leave it out: corner and size say how high the box is", "top")
	okC, okS := s.need("corner", exampleCorner), s.need("size", exampleSize)
	var corner, size []float64
	if okC {
		corner, okC = s.lengths("corner", exampleCorner, anyPlaceMM, anyPlaceMM, anyPlaceMM)
	}
	if okS {
		size, okS = s.lengths("size", exampleSize, blankMM, blankMM, clampMM)
	}
	if !okC || !okS {
		return nil, 0, false
	}
	return rectangle(corner[0], corner[1], corner[0]+size[0], corner[1]+size[1]), corner[2] + size[2], true
}

// named reads a name that messages use; things without one go by their number.
func (s section) named(i int, seen map[string]section) string {
	name, ok := s.phrase("name")
	if !ok {
		return fmt.Sprint(i + 1)
	}
	if before, twice := seen[name]; twice {
		s.say(s.where("name"), "name", fmt.Sprintf("%q is already the %s on line %d", name, s.name, before.at.Line),
			"write another name")
	}
	seen[name] = s
	return name
}

// highestBelow is the highest top of the blanks that a footprint lies on, -Inf when it lies on none.
func highestBelow(footprint orb.Ring, stock Stock) float64 {
	top := math.Inf(-1)
	for _, b := range stock.Blanks {
		if len(footprint) > 0 && overlap(footprint, b.Outline[0]) {
			top = math.Max(top, b.TopMM)
		}
	}
	return top
}

// circumscribe moves the corners of a disc's polygon out until its sides touch the circle from outside: what stands in
// the way is never smaller than it is.
func circumscribe(ring orb.Ring) {
	n := len(ring) - 1
	centre := ring.Bound().Center()
	grow := 1 / math.Cos(math.Pi/float64(n))
	for i, p := range ring {
		ring[i] = orb.Point{centre[0] + grow*(p[0]-centre[0]), centre[1] + grow*(p[1]-centre[1])}
	}
}
