package job

import (
	"fmt"
	"math"
	"strconv"

	"github.com/paulmach/orb"

	"staydown/hold/material"
	"staydown/sweep"
)

// defaultToleranceMM is how far the blank is off where the job does not say (common practice, no source: good plate;
// boards and cast sheet are often worse).
const defaultToleranceMM = 0.1

// shapes of a blank, and of a cut-out in it.
const (
	asRectangle = iota
	asDisc
	asPolygon
)

// stock reads [stock] and every [[blank]]. It is not ok when the geometry cannot be used; the reason has been reported.
func (r *reader) stock(root *node, w *userMaterials) (Stock, bool) {
	s := r.section(root, "stock")
	var out Stock
	if !s.given() {
		if r.absent(root, "stock") {
			r.say(s.at, "stock", "the table is missing", "write [stock] with corner, size and material")
		}
		return out, false
	}
	if s.need("material", `"aluminium-wrought"`) {
		out.Material, _ = w.named(s)
	}
	out.Faced = s.faced(out.Material)
	if w := out.Material; out.Porous() && !typed(w.Through) {
		s.assumeInput("permeability of the material", "material %s: permeability %s m2 across the sheet (%s), %s m2 "+
			"in its plane (%s)", w.Name,
			trimmed(w.Through.Likely), w.Through.Source,
			trimmed(w.Along.Likely), w.Along.Source)
	}
	anchored, given := s.flag("anchored")
	out.Anchored = anchored
	if !given && !s.has("anchored") {
		r.assume("the frame of the stock is held by vacuum only, not also anchored (anchored)")
	}
	tolerance := s.tolerance()
	out.ToleranceMM = max(-tolerance.Low, tolerance.High)
	blanks := r.each(root, "blank", maxBlanks)
	own := len(blanks) == 0
	for _, k := range []string{"shape", "corner", "size", "centre", "diameter", "corners", "thickness", "cutout"} {
		own = own || s.has(k)
	}
	g := geometry{reader: r, bottom: math.NaN()}
	if b, ok := s.quantity("bottom", length, anyPlaceMM); ok {
		g.bottom, g.from = b, s
	}
	if own {
		g.add(s)
	}
	for _, b := range blanks {
		g.add(b)
	}
	g.checkOverlaps()
	if !g.bad && math.IsNaN(g.bottom) {
		s.need("bottom", `"-6 mm"`)
		g.bad = true
	}
	if g.bad {
		return out, false
	}
	out.BottomMM = g.bottom
	r.sheetDoubt(out.BottomMM, tolerance)
	for i, b := range g.blanks {
		b.TopMM = g.bottom + g.thick[i]
		out.Blanks = append(out.Blanks, b)
	}
	return out, true
}

// tolerance reads how far thickness and flatness of the sheet may be off: either way, or [thinner, thicker].
func (s section) tolerance() material.Range {
	v, ok := s.usable("tolerance")
	if ok && v.form == list {
		ends, ok := s.lengths("tolerance", `["-0.3 mm", "0.1 mm"]`, thinnerMM, toleranceMM)
		if !ok {
			return material.Range{}
		}
		return material.Range{Low: ends[0], High: ends[1], Source: fromFile}
	}
	t, ok := s.quantity("tolerance", length, toleranceMM)
	if !ok && !s.has("tolerance") {
		s.assumeInput("thickness of the stock", "thickness and flatness of the stock are within %s (tolerance; "+
			"common practice, no source)",
			inLength(defaultToleranceMM))
		return material.Range{Low: -defaultToleranceMM, High: defaultToleranceMM, Source: "common practice, no source"}
	}
	return material.Range{Low: -t, High: t, Source: fromFile}
}

// Porous tells whether air passes through the work to what it lies on: it is not tight, and no skin covers its face on
// the table.
func (s Stock) Porous() bool {
	return s.Material.Through.Likely > 0 && s.Faced != material.FacedBottom && s.Faced != material.FacedBoth
}

// faced tells which faces a tight skin covers: as written, else as is usual for the material.
func (s section) faced(w material.Work) material.Facing {
	facings := [...]material.Facing{material.FacedNone, material.FacedTop, material.FacedBottom, material.FacedBoth}
	i, ok := s.choice("faced", "none", "top", "bottom", "both")
	if ok {
		return facings[i]
	}
	if w.Through.Likely > 0 && !s.has("faced") {
		s.assume("air passes through %s; faces covered by a tight skin: %v (faced)", w.Name, w.Faced)
	}
	return w.Faced
}

// geometry gathers blanks that rest on one table.
type geometry struct {
	*reader
	blanks   []sweep.Blank
	thick    []float64 // mm, of each
	sections []section
	cutouts  int
	bottom   float64 // NaN until a table names it
	from     section // the table that did
	bad      bool
}

// checkOverlaps reports blanks that share area.
func (g *geometry) checkOverlaps() {
	for i, a := range g.blanks {
		for j := range i {
			if overlap(a.Outline[0], g.blanks[j].Outline[0]) {
				at := g.sections[i]
				g.say(at.at, at.name, fmt.Sprintf("overlaps the part of stock on line %d", g.sections[j].at.Line),
					"write blanks that lie beside one another")
				g.bad = true
				break
			}
		}
	}
}

// rest notes the height of the table side that a blank names; all must name the same.
func (g *geometry) rest(s section, name string, z float64) {
	if math.IsNaN(g.bottom) {
		g.bottom, g.from = z, s
		return
	}
	if math.Abs(g.bottom-z) > sameMM {
		s.say(s.where(name), name, fmt.Sprintf("the table side lies at %s, but at %s for the part of stock on "+
			"line %d",
			s.length(z), s.length(g.bottom), g.from.at.Line), "write the same height: all parts rest on one layer")
		g.bad = true
	}
}

func (g *geometry) add(s section) {
	shape, ok := s.shape()
	if !ok {
		g.bad = true
		return
	}
	var outline orb.Ring
	thick := 0.0
	switch shape {
	case asRectangle:
		s.only("belongs to another shape", `leave it out or write shape = "disc" or "polygon"`, "centre", "diameter",
			"corners")
		okC := s.need("corner", `["0 mm", "0 mm", "-6 mm"]`)
		okS := s.need("size", `["600 mm", "400 mm", "6 mm"]`)
		var corner, size []float64
		if okC {
			corner, okC = s.lengths("corner", `["0 mm", "0 mm", "-6 mm"]`, anyPlaceMM, anyPlaceMM, anyPlaceMM)
		}
		if okS {
			size, okS = s.lengths("size", `["600 mm", "400 mm", "6 mm"]`, blankMM, blankMM, thickMM)
		}
		if t, given := s.quantity("thickness", length, thickMM); given && okS && math.Abs(t-size[2]) > sameMM {
			s.say(s.where("thickness"), "thickness", "differs from the third value of size", "leave it out")
		}
		if okC {
			g.rest(s, "corner", corner[2])
		}
		ok = okC && okS
		if ok {
			outline, thick = rectangle(corner[0], corner[1], corner[0]+size[0], corner[1]+size[1]), size[2]
		}
	case asDisc, asPolygon:
		var okT bool
		outline, ok = s.roundOrPolygon(shape, blankMM)
		if s.need("thickness", `"6 mm"`) {
			thick, okT = s.quantity("thickness", length, thickMM)
		}
		ok = ok && okT
	}
	if s.name != "stock" { // the one of [stock] has been read
		if b, given := s.quantity("bottom", length, anyPlaceMM); given {
			g.rest(s, "bottom", b)
		}
	}
	if !ok {
		g.bad = true
		return
	}
	holes, ok := g.holes(s, outline)
	g.bad = g.bad || !ok
	g.blanks = append(g.blanks, sweep.Blank{Outline: append(orb.Polygon{outline}, holes...)})
	g.thick = append(g.thick, thick)
	g.sections = append(g.sections, s)
}

// shape reads the word, or tells it from the keys that are there.
func (s section) shape() (int, bool) {
	if s.has("shape") {
		return s.choice("shape", "rectangle", "disc", "polygon")
	}
	switch {
	case s.has("corners"):
		return asPolygon, true
	case s.has("centre"), s.has("diameter"):
		return asDisc, true
	}
	return asRectangle, true
}

func (s section) roundOrPolygon(shape int, in span) (orb.Ring, bool) {
	if shape == asPolygon {
		s.only("belongs to another shape", "leave it out: the shape is a polygon", "corner", "size", "centre",
			"diameter")
		if !s.need("corners", exampleCorners) {
			return nil, false
		}
		return s.polygon("corners", 3)
	}
	s.only("belongs to another shape", "leave it out: the shape is a disc", "corner", "size", "corners")
	okC, okD := s.need("centre", `["0 mm", "0 mm"]`), s.need("diameter", `"300 mm"`)
	var c []float64
	var d float64
	if okC {
		c, okC = s.lengths("centre", `["0 mm", "0 mm"]`, anyPlaceMM, anyPlaceMM)
	}
	if okD {
		d, okD = s.quantity("diameter", length, in)
	}
	if !okC || !okD {
		return nil, false
	}
	return disc(orb.Point{c[0], c[1]}, d), true
}

// holes reads the cut-outs that a blank has from the start, as clockwise rings that lie apart from one another.
func (g *geometry) holes(s section, outline orb.Ring) ([]orb.Ring, bool) {
	var rings []orb.Ring
	ok := true
	for i, c := range g.each(s.node, "cutout", maxCutouts) {
		g.cutouts++
		if g.cutouts > maxCutouts {
			c.say(c.at, "cutout", "more than "+strconv.Itoa(maxCutouts)+" of them", "leave out the smallest")
			return nil, false
		}
		shape, good := c.shape()
		var ring orb.Ring
		if good {
			ring, good = c.footprint(shape)
		}
		if !good {
			ok = false
			continue
		}
		if !within(ring, outline) {
			c.say(c.at, "cutout", "does not lie wholly within its blank", "write the blank's outline as a polygon "+
				"that leaves it out")
			ok = false
			continue
		}
		for _, other := range rings {
			if overlap(ring, other) {
				c.say(c.at, "cutout", fmt.Sprintf("cut-out %d overlaps another", i+1), "write both as one polygon")
				ok = false
				break
			}
		}
		rings = append(rings, ring)
	}
	for _, ring := range rings {
		ring.Reverse()
	}
	return rings, ok
}

// footprint reads an outline seen from above, without heights.
func (s section) footprint(shape int) (orb.Ring, bool) {
	if shape != asRectangle {
		return s.roundOrPolygon(shape, diameterOfHoleMM)
	}
	s.only("belongs to another shape", `leave it out or write shape = "disc" or "polygon"`, "centre", "diameter",
		"corners")
	okC, okS := s.need("corner", `["10 mm", "10 mm"]`), s.need("size", `["50 mm", "20 mm"]`)
	var corner, size []float64
	if okC {
		corner, okC = s.lengths("corner", `["10 mm", "10 mm"]`, anyPlaceMM, anyPlaceMM)
	}
	if okS {
		size, okS = s.lengths("size", `["50 mm", "20 mm"]`, diameterOfHoleMM, diameterOfHoleMM)
	}
	if !okC || !okS {
		return nil, false
	}
	return rectangle(corner[0], corner[1], corner[0]+size[0], corner[1]+size[1]), true
}
