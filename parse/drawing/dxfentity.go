package drawing

import (
	"math"

	"github.com/paulmach/orb"
)

// draw adds the curve of an entity through a map. What it does not know is refused.
func (d *dxf) draw(e *entity, vertices []entity, m affine, on string) {
	c := curve{layer: on, line: e.line}
	flat := d.flat(m.stretch())
	switch e.name {
	case "LINE":
		c.points = []orb.Point{{e.need(10), e.need(20)}, {e.need(11), e.need(21)}}
	case "CIRCLE":
		m = m.after(d.plane(e))
		c.points, c.closed = circle(orb.Point{e.need(10), e.need(20)}, e.radius(), 0, 2*math.Pi, flat), true
	case "ARC":
		m = m.after(d.plane(e))
		from, to := e.need(50)*math.Pi/180, e.need(51)*math.Pi/180
		c.points = circle(orb.Point{e.need(10), e.need(20)}, e.radius(), from, from+turnLeft(from, to), flat)
	case "ELLIPSE":
		c.points, c.closed = d.ellipse(e, flat)
	case "LWPOLYLINE":
		m = m.after(d.plane(e))
		c.points, c.closed = e.polyline(flat), e.whole(70, 0)&1 != 0
	case "POLYLINE":
		const threeD, meshes = 8, 16 | 64
		flags := e.whole(70, 0)
		if flags&meshes != 0 {
			fail(e.line, "POLYLINE is a mesh, which is not read; draw its outline")
		}
		if flags&threeD == 0 {
			m = m.after(d.plane(e))
		}
		c.points, c.closed = e.oldPolyline(vertices, flat), flags&1 != 0
	case "SPLINE":
		c.points = e.spline(flat) // one that is closed has the same ends
	default:
		fail(e.line, "%s is not read; explode it, or draw it with lines, arcs and polylines", shortened(e.name))
	}
	m.all(c.points)
	d.add(c)
}

func (e *entity) radius() float64 {
	r := e.need(40)
	if !(r > 0) {
		fail(e.line, "%s has a radius of %g; correct it", e.name, r)
	}
	return r
}

// turnLeft is the angle from one direction to another, counter-clockwise, above 0 up to a full turn.
func turnLeft(from, to float64) float64 {
	turn := math.Mod(to-from, 2*math.Pi)
	if turn <= 1e-12 {
		turn += 2 * math.Pi
	}
	return turn
}

// ellipse flattens an ELLIPSE, which is given in the drawing's own coordinates: center, major axis, ratio of the axes,
// and two values of the parameter between which it runs counter-clockwise about its extrusion.
func (d *dxf) ellipse(e *entity, flat float64) (points []orb.Point, closed bool) {
	side := d.plane(e).a // -1: the extrusion points down
	u := orb.Point{e.need(11), e.need(21)}
	ratio := e.need(40)
	if u == (orb.Point{}) || ratio == 0 {
		fail(e.line, "ELLIPSE has an axis without length; correct it")
	}
	v := orb.Point{-u[1] * ratio * side, u[0] * ratio * side}
	from, to := e.number(41, 0), e.number(42, 2*math.Pi)
	turn := turnLeft(from, to)
	return ellipse(orb.Point{e.need(10), e.need(20)}, u, v, from, from+turn, flat), math.Abs(turn-2*math.Pi) < 1e-6
}

// polyline flattens the vertices of an LWPOLYLINE. Their groups come in turns, each vertex with the first of its own;
// writers differ in whether X, Y or the bulge is first.
func (e *entity) polyline(flat float64) []orb.Point {
	var xs, ys []float64
	bulges := map[int]float64{}
	bulgeFirst := false
	for _, t := range e.tags {
		switch t.code {
		case 10:
			xs = append(xs, t.number())
		case 20:
			ys = append(ys, t.number())
		case 42:
			if len(xs) == 0 && len(ys) == 0 {
				bulgeFirst = true
			}
			at := max(len(xs), len(ys)) - 1
			if bulgeFirst {
				at++
			}
			bulges[at] = t.number()
		}
	}
	if n := e.whole(90, len(xs)); len(xs) != len(ys) || n != len(xs) {
		fail(e.line, "LWPOLYLINE says %d vertices and has %d X and %d Y; the file is damaged", n, len(xs), len(ys))
	}
	points := make([]orb.Point, len(xs))
	for i := range points {
		points[i] = orb.Point{xs[i], ys[i]}
	}
	return bulged(points, bulges, e.whole(70, 0)&1 != 0, flat)
}

// oldPolyline flattens the vertices of a POLYLINE. Those of the frame of a spline are no part of the line.
func (e *entity) oldPolyline(vertices []entity, flat float64) []orb.Point {
	const frame = 16
	var points []orb.Point
	bulges := map[int]float64{}
	for i := range vertices {
		v := &vertices[i]
		if v.name != "VERTEX" || v.whole(70, 0)&frame != 0 {
			continue
		}
		if b := v.number(42, 0); b != 0 {
			bulges[len(points)] = b
		}
		points = append(points, orb.Point{v.need(10), v.need(20)})
	}
	return bulged(points, bulges, e.whole(70, 0)&1 != 0, flat)
}

// bulged draws the arcs between vertices; bulges are by the vertex that they begin at.
func bulged(points []orb.Point, bulges map[int]float64, closed bool, flat float64) []orb.Point {
	if len(bulges) == 0 {
		return points
	}
	var out []orb.Point
	for i, p := range points {
		out = append(out, p)
		if i == len(points)-1 && !closed {
			break
		}
		arc := bulge(p, points[(i+1)%len(points)], bulges[i], flat)
		out = append(out, arc[1:len(arc)-1]...)
	}
	return out
}

// spline flattens a SPLINE by its control points.
func (e *entity) spline(flat float64) []orb.Point {
	const maxDegree = 10
	xs, ys := e.numbers(10), e.numbers(20)
	s := &nurbs{degree: e.whole(71, 3), knots: e.numbers(40), weights: e.numbers(41)}
	switch {
	case len(xs) == 0 && len(e.numbers(11)) > 0:
		fail(e.line, "SPLINE has fit points only, which do not say the curve between them; convert it to a polyline")
	case len(xs) != len(ys) || e.whole(73, len(xs)) != len(xs) || e.whole(72, len(s.knots)) != len(s.knots):
		fail(e.line, "SPLINE has other numbers of points or knots than it says; the file is damaged")
	case s.degree < 1 || s.degree > maxDegree || len(xs) <= s.degree || len(s.knots) != len(xs)+s.degree+1:
		fail(e.line, "SPLINE of degree %d has %d points and %d knots, which do not go together", s.degree, len(xs),
			len(s.knots))
	case len(s.weights) != 0 && len(s.weights) != len(xs):
		fail(e.line, "SPLINE has %d weights for %d points", len(s.weights), len(xs))
	}
	for i := 1; i < len(s.knots); i++ {
		if s.knots[i] < s.knots[i-1] {
			fail(e.line, "SPLINE has knots that fall")
		}
	}
	if !(s.knots[len(xs)] > s.knots[s.degree]) {
		fail(e.line, "SPLINE has no length between its knots")
	}
	if len(s.weights) == 0 {
		s.weights = nil
	}
	for _, w := range s.weights {
		if !(w > 0) {
			fail(e.line, "SPLINE has a weight of %g; only weights above 0 are read", w)
		}
	}
	for i := range xs {
		s.control = append(s.control, orb.Point{xs[i], ys[i]})
	}
	return s.flatten(flat)
}
