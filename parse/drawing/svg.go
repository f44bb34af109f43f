package drawing

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/paulmach/orb"
)

// node is an element of an SVG file.
type node struct {
	name     string // without name space; "" for elements that are not of SVG
	attrs    map[string]string
	line     int
	children []*node
	text     string // of a style element
}

const svgSpace = "http://www.w3.org/2000/svg"

// maxEntity is the longest text of an entity that is replaced, in bytes: a name space has less.
const maxEntity = 256

// entityDeclaration is an entity of a document type, which some writers use for name spaces.
var entityDeclaration = regexp.MustCompile(`<!ENTITY\s+([\w.-]+)\s+(?:"([^"]*)"|'([^']*)')\s*>`)

// readNodes reads the whole document; malformed XML is refused with its line.
func readNodes(data []byte) *node {
	in := xml.NewDecoder(bytes.NewReader(data))
	in.Entity = map[string]string{}
	in.CharsetReader = func(charset string, r io.Reader) (io.Reader, error) {
		switch strings.ToLower(charset) {
		case "iso-8859-1", "latin1", "us-ascii", "ascii", "windows-1252":
			return r, nil // numbers and names are ASCII
		}
		return nil, errors.New("character set " + charset + " is not read; save the drawing as UTF-8")
	}
	var root *node
	var open []*node
	for {
		token, err := in.Token()
		line, _ := in.InputPos()
		switch {
		case err == io.EOF:
			if root == nil {
				fail(1, "holds no svg element; the file is no SVG")
			}
			return root
		case err != nil:
			var syntax *xml.SyntaxError
			if errors.As(err, &syntax) {
				fail(syntax.Line, "malformed XML: %s; save the drawing again", syntax.Msg)
			}
			fail(line, "%v", err)
		}
		switch t := token.(type) {
		case xml.Directive:
			for _, m := range entityDeclaration.FindAllSubmatch(t, -1) {
				if text := string(m[2]) + string(m[3]); len(text) <= maxEntity {
					in.Entity[string(m[1])] = text
				}
			}
		case xml.StartElement:
			n := newNode(t, line)
			switch {
			case len(open) > 0:
				up := open[len(open)-1]
				up.children = append(up.children, n)
			case n.name != "svg":
				fail(line, "the file begins with element %q, not svg; it is no SVG", shortened(t.Name.Local))
			default:
				root = n
			}
			if open = append(open, n); len(open) > 256 {
				fail(line, "elements lie more than 256 deep in one another; ungroup the drawing")
			}
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 && open[len(open)-1].name == "style" {
				open[len(open)-1].text += string(t)
			}
		}
	}
}

// newNode is an element with its attributes; of attributes of other name spaces only href and label. The name of an
// element of another name space is "".
func newNode(t xml.StartElement, line int) *node {
	n := &node{line: line, attrs: map[string]string{}}
	if t.Name.Space == "" || t.Name.Space == svgSpace {
		n.name = t.Name.Local
	}
	for _, a := range t.Attr {
		key := a.Name.Local
		if a.Name.Space != "" && key != "href" && key != "label" {
			continue
		}
		if _, plain := n.attrs[key]; !plain || a.Name.Space == "" {
			n.attrs[key] = a.Value
		}
	}
	return n
}

// svg draws the nodes of an SVG file into a sketch.
type svg struct {
	*sketch
	byID    map[string]*node
	classes map[string]string // declarations of style sheets by class
	drawn   int
	size    [2]float64 // of the viewport, in the drawing's numbers; 0: not known
}

// place is where and as what an element is drawn.
type place struct {
	m      affine
	layer  string
	dashed bool // what has no dashes of its own
	depth  int  // of use in use
}

func (s *sketch) readSVG(data []byte) {
	s.format = "SVG"
	root := readNodes(data)
	d := &svg{sketch: s, byID: map[string]*node{}, classes: map[string]string{}}
	d.index(root)
	at := place{m: d.viewport(root)}
	for _, c := range root.children {
		d.draw(c, at)
	}
}

func (d *svg) index(n *node) {
	if id := n.attrs["id"]; id != "" && d.byID[id] == nil {
		d.byID[id] = n
	}
	if n.name == "style" {
		d.readStyle(n.text)
	}
	for _, c := range n.children {
		d.index(c)
	}
}

// svgUnits are the absolute units of CSS but for px, whose size is that of the program that wrote the file.
var svgUnits = map[string]float64{"mm": 1, "cm": 10, "Q": 0.25, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6}

// viewport gives the map from the drawing's numbers to X right, Y up, and settles the unit. With a width in mm and a
// viewBox the drawing says its unit; without, its numbers are px, of which there were 72, 90 and 96 to the inch.
func (d *svg) viewport(root *node) affine {
	box := numbers(root.attrs["viewBox"])
	if box != nil && (len(box) != 4 || !(box[2] > 0) || !(box[3] > 0)) {
		fail(root.line, "viewBox %q is not four numbers with a size above 0", shortened(root.attrs["viewBox"]))
	}
	w, wUnit, wOK := splitLength(root.attrs["width"])
	h, hUnit, hOK := splitLength(root.attrs["height"])
	if d.size = [2]float64{w, h}; len(box) == 4 {
		d.size = [2]float64{box[2], box[3]}
	}
	if len(box) == 4 && wOK && root.attrs["height"] == "" {
		h, hUnit, hOK = w*box[3]/box[2], wUnit, true
	}
	sized := wOK && hOK && w > 0 && h > 0
	wMM, hMM := w*svgUnits[wUnit], h*svgUnits[hUnit]
	flip := affine{a: 1, d: -1}
	switch {
	case box == nil:
		d.noUnit = "the drawing has no viewBox, so its numbers are px, of which programs write 72, 90 or 96 to the inch"
		if sized {
			flip.f = h
			if wMM > 0 && hMM > 0 && d.unit.MM > 0 {
				flip.f = hMM / d.unit.MM
			} else if wMM > 0 && hMM > 0 {
				flip.f = 0
			}
		}
		if sized && wMM == 0 && hMM == 0 {
			d.page = orb.Bound{Max: orb.Point{w, h}}
		}
		return flip
	case d.opt.Unit.MM > 0 || !(wMM > 0) || !(hMM > 0):
		if wMM > 0 && hMM > 0 {
			d.note(root.line, "the drawing says that it is %.5g x %.5g mm; read in %s as asked", wMM, hMM,
				d.opt.Unit.Name)
		}
		d.noUnit = "the drawing gives its width and height in px or not at all, so its numbers have no unit"
		if sized && d.opt.Unit.MM > 0 && strings.HasPrefix(d.opt.Unit.Name, "px") {
			// px of the page, not of the viewBox
			return d.fitted(root, box, w, h)
		}
		d.page = orb.Bound{Max: orb.Point{box[2], box[3]}}
		return flip.after(translate(-box[0], -box[1]-box[3]))
	}
	d.unit = Unit{"mm", 1}
	return d.fitted(root, box, wMM, hMM)
}

// fitted maps the viewBox into a page of a size as preserveAspectRatio says (SVG 1.1, 7.8).
func (d *svg) fitted(root *node, box []float64, w, h float64) affine {
	sx, sy := w/box[2], h/box[3]
	align := strings.Fields(root.attrs["preserveAspectRatio"])
	how := "xMidYMid"
	if len(align) > 0 {
		how = align[0]
	}
	if how != "none" {
		s := math.Min(sx, sy)
		if slices.Contains(align, "slice") {
			s = math.Max(sx, sy)
		}
		sx, sy = s, s
	}
	dx, dy := w-sx*box[2], h-sy*box[3]
	for _, at := range []struct {
		word  string
		share float64
	}{{"xMin", 0}, {"xMid", 0.5}, {"xMax", 1}} {
		if strings.Contains(how, at.word) {
			dx *= at.share
		}
		if strings.Contains(how, "YM"+at.word[2:]) {
			dy *= at.share
		}
	}
	d.page = orb.Bound{Max: orb.Point{w, h}}
	return affine{a: 1, d: -1, f: h}.after(translate(dx, dy)).after(affine{a: sx, d: sy}).after(translate(-box[0],
		-box[1]))
}

// splitLength splits a length into number and unit; ok is false for none, and for shares of something.
func splitLength(text string) (v float64, unit string, ok bool) {
	text = strings.TrimSpace(text)
	number := strings.TrimRight(text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ%")
	unit = text[len(number):]
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	return v, unit, err == nil && unit != "%" && unit != "em" && unit != "ex"
}

// numbers reads a list with commas or blanks between; nil if it is none.
func numbers(text string) (out []float64) {
	for _, f := range strings.FieldsFunc(text, func(c rune) bool { return c == ',' || c <= ' ' }) {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil {
			return []float64{}
		}
		out = append(out, v)
	}
	return out
}

// Elements that draw no outline themselves: groups, what is told and left out, and what is only defined.
var (
	svgGroups = []string{"g", "a", "switch"}
	svgTold   = map[string]string{"text": "lettering", "flowRoot": "lettering", "image": "image",
		"foreignObject": "foreign object"}
	svgSilent = []string{"", "defs", "title", "desc", "metadata", "style", "script", "clipPath", "mask", "pattern",
		"marker", "linearGradient", "radialGradient", "filter", "symbol", "cursor", "font", "view", "animate", "set",
		"animateTransform", "animateMotion", "color-profile"}
)

// draw draws an element and what is in it.
func (d *svg) draw(n *node, at place) {
	if d.drawn++; d.drawn > maxPlaced {
		fail(n.line, "use draws more than %d elements; unlink the copies", maxPlaced)
	}
	if slices.Contains(svgSilent, n.name) {
		return
	}
	if d.hidden(n) {
		d.leave(n.line, "hidden element")
		return
	}
	at.m = at.m.after(n.transform())
	if kind := svgTold[n.name]; kind != "" {
		d.leave(n.line, kind)
		if n.name == "text" {
			d.texts = append(d.texts, at.m.at(orb.Point{d.textAt(n, "x"), d.textAt(n, "y")}))
		}
		return
	}
	if dashes := d.property(n, "stroke-dasharray"); dashes != "" {
		at.dashed = dashes != "none" && strings.ContainsAny(dashes, "123456789")
	}
	switch {
	case slices.Contains(svgGroups, n.name):
		if label := n.attrs["label"]; label != "" {
			at.layer = label
		} else if at.layer == "" {
			at.layer = n.attrs["id"]
		}
		for _, c := range n.children {
			d.draw(c, at)
		}
	case n.name == "use":
		d.use(n, at)
	case n.name == "svg":
		fail(n.line, "a drawing within the drawing (svg within svg) is not read; ungroup it")
	case at.dashed:
		d.leave(n.line, "dashed line")
	case noCutLayer(at.layer):
		d.leave(n.line, noCut(at.layer))
	default:
		d.shape(n, at)
	}
}

func (d *svg) use(n *node, at place) {
	id := strings.TrimPrefix(n.attrs["href"], "#")
	what := d.byID[id]
	switch {
	case what == nil || id == n.attrs["href"]:
		fail(n.line, "use of %q, which is not in the file", shortened(n.attrs["href"]))
	case what.name == "symbol" && what.attrs["viewBox"] != "" || what.name == "svg":
		fail(n.line, "use of %q, which has a viewBox of its own; unlink the copy", shortened(id))
	case at.depth >= maxDepth:
		fail(n.line, "use lies more than %d deep in one another; unlink the copies", maxDepth)
	}
	at.m = at.m.after(translate(d.length(n, "x", 0), d.length(n, "y", 0)))
	at.depth++
	if what.name == "symbol" {
		for _, c := range what.children {
			d.draw(c, at)
		}
		return
	}
	d.draw(what, at)
}

// textAt is where lettering begins along an axis; 0 where that is not told, or in the size of its letters.
func (d *svg) textAt(n *node, axis string) float64 {
	first := strings.FieldsFunc(n.attrs[axis], func(c rune) bool { return c == ',' || c <= ' ' })
	if len(first) == 0 {
		return 0
	}
	if _, unit, ok := splitLength(first[0]); !ok || unit != "" && unit != "px" && svgUnits[unit] == 0 {
		return 0
	}
	return d.length(&node{name: n.name, line: n.line, attrs: map[string]string{axis: first[0]}}, axis, 0)
}

// length reads an attribute in the drawing's own numbers; a unit is read at 96 px to the inch (CSS).
func (d *svg) length(n *node, key string, other float64) float64 {
	text, ok := n.attrs[key]
	if !ok {
		return other
	}
	v, unit, ok := splitLength(text)
	if whole := d.whole(key); unit == "%" && whole > 0 {
		return v / 100 * whole
	}
	if !ok {
		fail(n.line, "%s %s=%q is not a length", n.name, key, shortened(text))
	}
	if unit == "" || unit == "px" {
		return v
	}
	mm := svgUnits[unit]
	if mm == 0 {
		fail(n.line, "%s %s=%q: unit %q is not known", n.name, key, shortened(text), unit)
	}
	return v * mm * 96 / 25.4
}

// whole is what percentages of an attribute count: the width or height of the viewport, or for radii their root mean
// square (SVG 1.1, 7.10); 0 where that is not known.
func (d *svg) whole(key string) float64 {
	w, h := d.size[0], d.size[1]
	switch {
	case !(w > 0) || !(h > 0):
		return 0
	case key == "r":
		return math.Sqrt((w*w + h*h) / 2)
	case strings.Contains(key, "y") || key == "height":
		return h
	}
	return w
}

// shape draws a basic shape or a path.
func (d *svg) shape(n *node, at place) {
	flat := d.flat(at.m.stretch())
	var curves []curve
	switch n.name {
	case "path":
		p := pathReader{text: n.attrs["d"], line: n.line, flat: flat}
		curves = p.read()
	case "rect":
		curves = d.rect(n, flat)
	case "circle", "ellipse":
		rx, ry := d.length(n, "r", 0), d.length(n, "r", 0)
		if n.name == "ellipse" {
			rx, ry = d.length(n, "rx", 0), d.length(n, "ry", 0)
		}
		if rx < 0 || ry < 0 {
			fail(n.line, "%s has a radius below 0; correct it", n.name)
		}
		if rx > 0 && ry > 0 {
			c := orb.Point{d.length(n, "cx", 0), d.length(n, "cy", 0)}
			curves = []curve{{points: ellipse(c, orb.Point{rx, 0}, orb.Point{0, ry}, 0, 2*math.Pi, flat), closed: true}}
		}
	case "line":
		curves = []curve{{points: []orb.Point{{d.length(n, "x1", 0), d.length(n, "y1", 0)},
			{d.length(n, "x2", 0), d.length(n, "y2", 0)}}}}
	case "polyline", "polygon":
		xy := numbers(n.attrs["points"])
		if len(xy)%2 != 0 || len(xy) == 0 && strings.TrimSpace(n.attrs["points"]) != "" {
			fail(n.line, "%s points=%q is not a list of pairs", n.name, shortened(n.attrs["points"]))
		}
		c := curve{closed: n.name == "polygon"}
		for i := 0; i < len(xy); i += 2 {
			c.points = append(c.points, orb.Point{xy[i], xy[i+1]})
		}
		curves = []curve{c}
	default:
		fail(n.line, "element %q is not read; convert it to a path", shortened(n.name))
	}
	for _, c := range curves {
		if len(c.points) == 0 {
			continue
		}
		at.m.all(c.points)
		c.layer, c.line = at.layer, n.line
		d.add(c)
	}
}

// rect draws a rectangle with its rounded corners (SVG 1.1, 9.2).
func (d *svg) rect(n *node, flat float64) []curve {
	x, y, w, h := d.length(n, "x", 0), d.length(n, "y", 0), d.length(n, "width", 0), d.length(n, "height", 0)
	if w < 0 || h < 0 {
		fail(n.line, "rect has a size below 0; correct it")
	}
	if w == 0 || h == 0 {
		return nil
	}
	rx := d.length(n, "rx", d.length(n, "ry", 0))
	ry := d.length(n, "ry", rx)
	rx, ry = math.Min(rx, w/2), math.Min(ry, h/2)
	if !(rx > 0) || !(ry > 0) {
		return []curve{{points: []orb.Point{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}, closed: true}}
	}
	var points []orb.Point
	for k, c := range []orb.Point{{x + w - rx, y + ry}, {x + w - rx, y + h - ry}, {x + rx, y + h - ry},
		{x + rx, y + ry}} {
		from := float64(k-1) * math.Pi / 2
		points = append(points, ellipse(c, orb.Point{rx, 0}, orb.Point{0, ry}, from, from+math.Pi/2, flat)...)
	}
	return []curve{{points: points, closed: true}}
}
