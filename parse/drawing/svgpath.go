package drawing

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"github.com/paulmach/orb"
)

// pathReader reads the path data of SVG 1.1, 8.3, strictly.
type pathReader struct {
	text string
	at   int // bytes
	line int // of the element
	flat float64

	curves      []curve
	points      []orb.Point // of the subpath under way
	pen, start  orb.Point
	control     orb.Point // last control point, of the kind of curve that was before
	controlKind byte      // 'C' or 'Q'; else there is none
}

func (p *pathReader) refuse(what string) {
	fail(p.line, "path data, character %d: %s", p.at+1, what)
}

func (p *pathReader) blanks(comma bool) {
	for p.at < len(p.text) {
		switch c := p.text[p.at]; {
		case c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f':
		case c == ',' && comma:
			comma = false
		default:
			return
		}
		p.at++
	}
}

// numberForm is a number of path data; the next one may follow without a blank, as in "1.5.5-3".
var numberForm = regexp.MustCompile(`^[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?`)

func (p *pathReader) number() float64 {
	p.blanks(true)
	text := numberForm.FindString(p.text[p.at:])
	if text == "" {
		p.refuse("a number is missing")
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		p.refuse(text + " is too large")
	}
	p.at += len(text)
	return v
}

// flag is a single 0 or 1, which needs no blank behind it.
func (p *pathReader) flag() bool {
	p.blanks(true)
	if p.at >= len(p.text) || p.text[p.at] != '0' && p.text[p.at] != '1' {
		p.refuse("a flag of an arc is 0 or 1")
	}
	p.at++
	return p.text[p.at-1] == '1'
}

// point reads a pair, counted from the pen for relative commands.
func (p *pathReader) point(relative bool) orb.Point {
	x := p.number()
	y := p.number()
	if relative {
		return orb.Point{p.pen[0] + x, p.pen[1] + y}
	}
	return orb.Point{x, y}
}

// more tells whether another set of arguments of the same command follows.
func (p *pathReader) more() bool {
	p.blanks(true)
	return p.at < len(p.text) && strings.IndexByte("+-.0123456789", p.text[p.at]) >= 0
}

func (p *pathReader) read() []curve {
	p.blanks(false)
	if strings.TrimSpace(p.text) == "none" {
		return nil
	}
	for p.at < len(p.text) {
		command := p.text[p.at]
		if len(p.curves) == 0 && p.points == nil && command != 'M' && command != 'm' {
			p.refuse("path data begins with M")
		}
		p.at++
		p.command(command)
		p.blanks(false)
	}
	p.end(false)
	return p.curves
}

// command carries out a command with all its sets of arguments.
func (p *pathReader) command(c byte) {
	upper := c &^ 0x20
	relative := c != upper
	switch {
	case upper == 'Z':
		p.end(true)
		p.pen, p.controlKind = p.start, 0
		p.points = []orb.Point{p.start}
		return
	case strings.IndexByte("MLHVCSQTA", upper) < 0 || c < 'A':
		p.at--
		p.refuse(strconv.Quote(string(rune(c))) + " is no command")
	}
	for first := true; first || p.more(); first = false {
		if upper == 'M' && first {
			p.end(false)
			p.start = p.point(relative)
			p.pen, p.controlKind = p.start, 0
			p.points = []orb.Point{p.start}
			continue
		}
		p.segment(upper, relative)
	}
}

// segment draws one segment; further pairs behind M are those of L.
func (p *pathReader) segment(upper byte, relative bool) {
	kind, control := byte(0), orb.Point{}
	var points []orb.Point
	switch upper {
	case 'M', 'L':
		points = []orb.Point{p.pen, p.point(relative)}
	case 'H', 'V':
		to, axis := p.pen, int(upper-'H')&1
		if upper == 'V' {
			axis = 1
		}
		v := p.number()
		if relative {
			v += p.pen[axis]
		}
		to[axis] = v
		points = []orb.Point{p.pen, to}
	case 'C', 'S':
		first := p.mirrored('C')
		if upper == 'C' {
			first = p.point(relative)
		}
		kind, control = 'C', p.point(relative)
		points = bezier([]orb.Point{p.pen, first, control, p.point(relative)}, p.flat)
	case 'Q', 'T':
		kind, control = 'Q', p.mirrored('Q')
		if upper == 'Q' {
			control = p.point(relative)
		}
		points = bezier([]orb.Point{p.pen, control, p.point(relative)}, p.flat)
	case 'A':
		points = p.arc(relative)
	}
	p.points = append(p.points, points[1:]...)
	p.pen, p.control, p.controlKind = points[len(points)-1], control, kind
	if len(p.points) > maxPoints {
		p.refuse("the path is too long; split it")
	}
}

// mirrored is the last control point mirrored at the pen; the pen itself behind another kind of segment.
func (p *pathReader) mirrored(kind byte) orb.Point {
	if p.controlKind != kind {
		return p.pen
	}
	return orb.Point{2*p.pen[0] - p.control[0], 2*p.pen[1] - p.control[1]}
}

// arc draws an elliptical arc, from its ends to its center (SVG 1.1, F.6.5 and F.6.6).
func (p *pathReader) arc(relative bool) []orb.Point {
	rx, ry := math.Abs(p.number()), math.Abs(p.number())
	sin, cos := math.Sincos(p.number() * math.Pi / 180)
	large, left := p.flag(), p.flag()
	from, to := p.pen, p.point(relative)
	if rx == 0 || ry == 0 || from == to {
		return []orb.Point{from, to}
	}
	dx, dy := (from[0]-to[0])/2, (from[1]-to[1])/2
	x, y := cos*dx+sin*dy, cos*dy-sin*dx
	over := (x/rx)*(x/rx) + (y/ry)*(y/ry)
	if over > 1 {
		rx, ry = rx*math.Sqrt(over), ry*math.Sqrt(over)
		over = 1
	}
	k := math.Sqrt(math.Max(0, 1/over-1))
	if large == left {
		k = -k
	}
	cx, cy := k*rx*y/ry, -k*ry*x/rx
	a0 := math.Atan2((y-cy)/ry, (x-cx)/rx)
	turn := math.Atan2((-y-cy)/ry, (-x-cx)/rx) - a0
	if left && turn < 0 {
		turn += 2 * math.Pi
	} else if !left && turn > 0 {
		turn -= 2 * math.Pi
	}
	centre := orb.Point{cos*cx - sin*cy + (from[0]+to[0])/2, sin*cx + cos*cy + (from[1]+to[1])/2}
	out := ellipse(centre, orb.Point{rx * cos, rx * sin}, orb.Point{-ry * sin, ry * cos}, a0, a0+turn, p.flat)
	out[0], out[len(out)-1] = from, to
	return out
}

// end finishes the subpath under way.
func (p *pathReader) end(closed bool) {
	if len(p.points) > 1 {
		p.curves = append(p.curves, curve{points: p.points, closed: closed})
	}
	p.points = nil
}

// transformForm is one function of a transform attribute.
var transformForm = regexp.MustCompile(`^[\s,]*(\w+)\s*\(([^)]*)\)`)

// transform reads the transform attribute (SVG 1.1, 7.6).
func (n *node) transform() affine {
	m := identity
	for text := n.attrs["transform"]; strings.Trim(text, " \t\r\n,") != ""; {
		f := transformForm.FindStringSubmatch(text)
		if f == nil {
			fail(n.line, "transform %q is not read; correct it", shortened(text))
		}
		text = text[len(f[0]):]
		step, ok := transformOf(f[1], numbers(f[2]))
		if !ok {
			fail(n.line, "transform %s(%s) is not read; correct it", shortened(f[1]), shortened(f[2]))
		}
		m = m.after(step)
	}
	if det := m.a*m.d - m.b*m.c; det == 0 {
		fail(n.line, "transform %q leaves nothing of the drawing; correct it", shortened(n.attrs["transform"]))
	}
	return m
}

func transformOf(name string, v []float64) (m affine, ok bool) {
	arg := func(i int, other float64) float64 {
		if i < len(v) {
			return v[i]
		}
		return other
	}
	rad := arg(0, 0) * math.Pi / 180
	switch n := len(v); {
	case name == "matrix" && n == 6:
		return affine{v[0], v[1], v[2], v[3], v[4], v[5]}, true
	case name == "translate" && (n == 1 || n == 2):
		return translate(v[0], arg(1, 0)), true
	case name == "scale" && (n == 1 || n == 2):
		return affine{a: v[0], d: arg(1, v[0])}, true
	case name == "rotate" && (n == 1 || n == 3):
		return translate(arg(1, 0), arg(2, 0)).after(rotate(rad)).after(translate(-arg(1, 0), -arg(2, 0))), true
	case name == "skewX" && n == 1:
		return affine{a: 1, c: math.Tan(rad), d: 1}, true
	case name == "skewY" && n == 1:
		return affine{a: 1, b: math.Tan(rad), d: 1}, true
	}
	return m, false
}
