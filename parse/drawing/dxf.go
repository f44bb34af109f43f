package drawing

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"
)

// dxf reads a DXF file into a sketch.
type dxf struct {
	*sketch
	tags
	layers map[string]layer
	dashed map[string]bool // line types, by upper-case name
	blocks map[string]*block
	placed int // entities of blocks that were placed
}

// layer is what matters of a layer.
type layer struct {
	hidden   bool // off or frozen
	lineType string
}

// block is a set of entities that INSERT places.
type block struct {
	base     orb.Point
	entities []entity
	external bool
	line     int
}

const maxPlaced = 2_000_000

// insUnits are the values of $INSUNITS (DXF reference, HEADER section).
var insUnits = map[int]Unit{
	1: {"inch", 25.4}, 2: {"ft", 304.8}, 4: {"mm", 1}, 5: {"cm", 10}, 6: {"m", 1000},
	8: {"microinch", 25.4e-6}, 9: {"mil", 25.4e-3}, 10: {"yard", 914.4}, 13: {"micron", 1e-3}, 14: {"dm", 100},
}

func (s *sketch) readDXF(data []byte) {
	s.format = "DXF"
	s.noUnit = "the drawing has no $INSUNITS"
	if !bytes.Contains(data, []byte("\n")) { // some writers end lines by CR alone
		data = bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))
	}
	d := &dxf{sketch: s, tags: tags{data: data}, layers: map[string]layer{}, dashed: map[string]bool{},
		blocks: map[string]*block{}}
	first := d.peek()
	if first.code != 0 && first.code != 999 {
		fail(first.line, "a DXF file begins with group 0 or 999, not %d; the file is no ASCII DXF", first.code)
	}
	var drawn []entity
	for {
		for d.peek().code == 999 {
			d.take()
		}
		switch e := d.entity(); {
		case e.name == "EOF":
			d.place(drawn, identity, "", 0)
			return
		case e.name != "SECTION":
			fail(e.line, "%s stands outside of a section; the file is damaged", shortened(e.name))
		default:
			switch section := strings.ToUpper(e.text(2)); section {
			case "HEADER":
				d.header(&e)
				d.skipTo("ENDSEC")
			case "TABLES":
				d.tables()
			case "BLOCKS":
				d.readBlocks()
			case "ENTITIES":
				drawn = append(drawn, d.until("ENDSEC")...)
			default: // CLASSES, OBJECTS, THUMBNAILIMAGE and later ones draw nothing
				d.skipTo("ENDSEC")
			}
		}
	}
}

func (d *dxf) skipTo(name string) {
	for {
		if e := d.entity(); e.name == name {
			return
		} else if e.name == "EOF" {
			fail(e.line, "the file ends inside a section; it may have been cut short")
		}
	}
}

// until gives the entities up to one of a name.
func (d *dxf) until(name string) (out []entity) {
	for {
		e := d.entity()
		switch {
		case e.name == name:
			return out
		case e.name == "EOF":
			fail(e.line, "the file ends inside a section; it may have been cut short")
		case len(out) >= maxCurves:
			fail(e.line, "the drawing has more than %d entities; split it", maxCurves)
		}
		out = append(out, e)
	}
}

// header reads the variables: group 9 names one, the groups behind it are its values.
func (d *dxf) header(e *entity) {
	variable := ""
	for _, t := range e.tags {
		switch {
		case t.code == 9:
			variable = strings.ToUpper(t.value)
		case variable == "$INSUNITS" && t.code == 70:
			n := t.whole()
			unit, known := insUnits[n]
			if n == 0 {
				d.noUnit = fmt.Sprintf("the drawing says that it has no unit ($INSUNITS is 0 in line %d)", t.line)
			} else if !known {
				d.noUnit = fmt.Sprintf("$INSUNITS %d in line %d is no unit of a part", n, t.line)
			}
			if d.opt.Unit.MM == 0 {
				d.unit = unit
			} else if known && unit.MM != d.opt.Unit.MM {
				d.note(t.line, "the drawing says that it is in %s; read in %s as asked", unit.Name, d.opt.Unit.Name)
			}
		}
	}
}

func (d *dxf) tables() {
	for _, e := range d.until("ENDSEC") {
		name := strings.ToUpper(e.text(2))
		switch e.name {
		case "LAYER":
			d.layers[name] = layer{
				// off: a negative color; frozen: bit 1 of the flags
				hidden:   e.whole(62, 7) < 0 || e.whole(70, 0)&1 != 0,
				lineType: strings.ToUpper(e.text(6)),
			}
		case "LTYPE":
			d.dashed[name] = e.whole(73, 0) > 0
		}
	}
}

func (d *dxf) readBlocks() {
	var b *block
	for _, e := range d.until("ENDSEC") {
		switch {
		case e.name == "BLOCK":
			// Bits 4 and 8 of the flags: the block is another file.
			b = &block{base: orb.Point{e.number(10, 0), e.number(20, 0)}, external: e.whole(70, 0)&12 != 0,
				line: e.line}
			d.blocks[strings.ToUpper(e.text(2))] = b
		case e.name == "ENDBLK":
			b = nil
		case b == nil:
			fail(e.line, "%s stands outside of a block; the file is damaged", shortened(e.name))
		default:
			b.entities = append(b.entities, e)
		}
	}
}

// Entities that are no outlines, by what is told of them.
var leftOut = map[string]string{
	"TEXT": "lettering", "MTEXT": "lettering", "ATTDEF": "lettering", "ATTRIB": "lettering", "RTEXT": "lettering",
	"DIMENSION": "dimension", "ARC_DIMENSION": "dimension", "LARGE_RADIAL_DIMENSION": "dimension",
	"LEADER": "dimension", "MULTILEADER": "dimension", "MLEADER": "dimension", "TOLERANCE": "dimension",
	"HATCH": "hatching", "SOLID": "filled area", "TRACE": "filled area", "WIPEOUT": "filled area", "POINT": "point",
	"VIEWPORT": "viewport", "IMAGE": "image", "OLE2FRAME": "image", "OLEFRAME": "image", "PDFUNDERLAY": "image",
	"DWFUNDERLAY": "image", "DGNUNDERLAY": "image", "RAY": "construction line", "XLINE": "construction line",
	"SHAPE": "lettering", "ACAD_TABLE": "lettering", "ARCALIGNEDTEXT": "lettering", "LIGHT": "light",
	"SECTION": "section plane", "SEQEND": "",
}

// place draws entities through a map; those on layer 0 of a block take the layer of its insert.
func (d *dxf) place(list []entity, m affine, inherited string, depth int) {
	for i := 0; i < len(list); i++ {
		e := &list[i]
		if d.placed++; d.placed > maxPlaced {
			fail(e.line, "blocks place more than %d entities; explode the drawing", maxPlaced)
		}
		var vertices []entity
		if e.name == "POLYLINE" || e.name == "INSERT" {
			for i+1 < len(list) && slices.Contains([]string{"VERTEX", "ATTRIB", "SEQEND"}, list[i+1].name) {
				i++
				vertices = append(vertices, list[i])
			}
		}
		on := cmp.Or(e.text(8), "0")
		if on == "0" && inherited != "" {
			on = inherited
		}
		switch kind, known := leftOut[e.name]; {
		case known && kind == "":
		case e.whole(67, 0) == 1:
			d.leave(e.line, "thing of the paper space")
		case d.layers[strings.ToUpper(on)].hidden || e.whole(60, 0) == 1:
			d.leave(e.line, "thing of a layer that is off")
		case strings.EqualFold(on, "DEFPOINTS"):
			d.leave(e.line, "thing of a layer that does not print")
		case known:
			d.leave(e.line, kind)
			if kind == "lettering" {
				d.texts = append(d.texts, m.at(orb.Point{e.number(10, 0), e.number(20, 0)}))
			}
		case e.name == "INSERT":
			d.insert(e, vertices, m, on, depth)
		case d.isDashed(e, on):
			d.leave(e.line, "dashed line")
		case noCutLayer(on):
			d.leave(e.line, noCut(on))
		default:
			d.draw(e, vertices, m, on)
		}
	}
}

// dashedNames begin the names of the usual line types with gaps; 2 and X2 behind them are other scales.
var dashedNames = []string{"BORDER", "CENTER", "CENTRE", "DASH", "DIVIDE", "DOT", "HIDDEN", "PHANTOM"}

// isDashed tells whether a line has gaps: by the table of line types, or by the name of its type where the table has
// none of that name.
func (d *dxf) isDashed(e *entity, on string) bool {
	name := strings.ToUpper(e.text(6))
	if name == "" || name == "BYLAYER" {
		name = d.layers[strings.ToUpper(on)].lineType
	}
	dashed, known := d.dashed[name]
	begins := func(s string) bool { return strings.HasPrefix(name, s) }
	return dashed || !known && slices.ContainsFunc(dashedNames, begins)
}

// plane is the map from an entity's own coordinates: those are mirrored where its extrusion points down.
func (d *dxf) plane(e *entity) affine {
	x, y, z := e.number(210, 0), e.number(220, 0), e.number(230, 1)
	switch l := math.Hypot(math.Hypot(x, y), z); {
	case !(l > 0) || math.Hypot(x, y) > 1e-6*l:
		fail(e.line, "%s lies in a plane that is not that of the table; draw it flat", e.name)
	case z < 0:
		return affine{a: -1, d: 1} // arbitrary axis algorithm (DXF reference) for (0, 0, -1)
	}
	return identity
}

// insert places a block, or an array of it.
func (d *dxf) insert(e *entity, attributes []entity, m affine, on string, depth int) {
	for range attributes {
		d.leave(e.line, "lettering")
	}
	name := e.text(2)
	b := d.blocks[strings.ToUpper(name)]
	switch {
	case b == nil:
		fail(e.line, "INSERT of block %q, which the file does not have; explode the drawing", shortened(name))
	case b.external:
		fail(e.line, "INSERT of %q, which is another file; bind it into the drawing", shortened(name))
	case depth >= maxDepth:
		fail(e.line, "blocks lie more than %d deep in one another; explode the drawing", maxDepth)
	}
	sx, sy := e.number(41, 1), e.number(42, 1)
	if sx == 0 || sy == 0 {
		fail(e.line, "INSERT of %q has a scale of 0; correct it", shortened(name))
	}
	columns, rows := max(1, e.whole(70, 1)), max(1, e.whole(71, 1))
	if columns*rows > maxPlaced || columns > maxPlaced || rows > maxPlaced {
		fail(e.line, "INSERT of %d x %d copies; explode the drawing", columns, rows)
	}
	turn := rotate(e.number(50, 0) * math.Pi / 180)
	at := m.after(d.plane(e)).after(translate(e.number(10, 0), e.number(20, 0)))
	for row := range rows {
		for column := range columns {
			step := translate(float64(column)*e.number(44, 0), float64(row)*e.number(45, 0))
			own := affine{a: sx, d: sy}.after(translate(-b.base[0], -b.base[1]))
			d.place(b.entities, at.after(turn).after(step).after(own), on, depth+1)
		}
	}
}
