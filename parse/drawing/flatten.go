package drawing

import (
	"math"

	"github.com/paulmach/orb"
)

// affine maps (x, y) to (a x + c y + e, b x + d y + f), the matrix of SVG.
type affine struct{ a, b, c, d, e, f float64 }

var identity = affine{a: 1, d: 1}

func (m affine) at(p orb.Point) orb.Point {
	return orb.Point{m.a*p[0] + m.c*p[1] + m.e, m.b*p[0] + m.d*p[1] + m.f}
}

// after is the map that applies n first and then m.
func (m affine) after(n affine) affine {
	return affine{
		a: m.a*n.a + m.c*n.b, b: m.b*n.a + m.d*n.b,
		c: m.a*n.c + m.c*n.d, d: m.b*n.c + m.d*n.d,
		e: m.a*n.e + m.c*n.f + m.e, f: m.b*n.e + m.d*n.f + m.f,
	}
}

// stretch bounds by how much the map stretches a length (Frobenius norm).
func (m affine) stretch() float64 {
	return math.Sqrt(m.a*m.a + m.b*m.b + m.c*m.c + m.d*m.d)
}

func translate(x, y float64) affine { return affine{1, 0, 0, 1, x, y} }

func rotate(rad float64) affine {
	sin, cos := math.Sincos(rad)
	return affine{cos, sin, -sin, cos, 0, 0}
}

func (m affine) all(points []orb.Point) []orb.Point {
	for i, p := range points {
		points[i] = m.at(p)
	}
	return points
}

// most chords of one curve
const maxChords = 20_000

// chords is the number of chords for a curve over a stretch of its parameter on which its second derivative is at most
// bend: a chord over a stretch h strays by at most bend h^2/8.
func chords(stretch, bend, flat float64) int {
	n := math.Ceil(stretch * math.Sqrt(bend/(8*flat)))
	if !(n < maxChords) {
		return maxChords
	}
	return max(1, int(n))
}

// ellipse flattens center + u cos t + v sin t over t from a0 to a1. A quarter takes at least two chords.
func ellipse(centre, u, v orb.Point, a0, a1, flat float64) []orb.Point {
	bend := math.Hypot(math.Hypot(u[0], u[1]), math.Hypot(v[0], v[1]))
	if math.Abs(u[0]*v[0]+u[1]*v[1]) < 1e-9*bend*bend { // axes: the longer one decides
		bend = math.Max(math.Hypot(u[0], u[1]), math.Hypot(v[0], v[1]))
	}
	n := max(chords(math.Abs(a1-a0), bend, flat), int(math.Ceil(math.Abs(a1-a0)/(math.Pi/4))))
	full := math.Abs(math.Abs(a1-a0)-2*math.Pi) < 1e-9
	if full {
		n = (n + 3) / 4 * 4 // the ends of the axes are on it
	}
	out := make([]orb.Point, n+1)
	for k := range out {
		sin, cos := math.Sincos(a0 + (a1-a0)*float64(k)/float64(n))
		out[k] = orb.Point{centre[0] + u[0]*cos + v[0]*sin, centre[1] + u[1]*cos + v[1]*sin}
	}
	if full { // but for rounding; wherever it lies it has as many points
		out[n] = out[0]
	}
	return out
}

func circle(centre orb.Point, r, a0, a1, flat float64) []orb.Point {
	return ellipse(centre, orb.Point{r, 0}, orb.Point{0, r}, a0, a1, flat)
}

// bulge flattens the arc from p to q that turns by 4 atan(b), left for b above 0.
func bulge(p, q orb.Point, b, flat float64) []orb.Point {
	if b == 0 || p == q {
		return []orb.Point{p, q}
	}
	// The center lies (1 - b^2) / 4b of the chord to the left of its middle.
	h := (1 - b*b) / (4 * b)
	c := orb.Point{(p[0]+q[0])/2 - h*(q[1]-p[1]), (p[1]+q[1])/2 + h*(q[0]-p[0])}
	a0 := math.Atan2(p[1]-c[1], p[0]-c[0])
	out := circle(c, math.Hypot(p[0]-c[0], p[1]-c[1]), a0, a0+4*math.Atan(b), flat)
	out[0], out[len(out)-1] = p, q
	return out
}

// bezier flattens a curve of two to four control points.
func bezier(control []orb.Point, flat float64) []orb.Point {
	n, bend := float64(len(control)-1), 0.0
	for i := 2; i < len(control); i++ {
		x := control[i][0] - 2*control[i-1][0] + control[i-2][0]
		y := control[i][1] - 2*control[i-1][1] + control[i-2][1]
		bend = math.Max(bend, n*(n-1)*math.Hypot(x, y))
	}
	count := chords(1, bend, flat)
	out := make([]orb.Point, count+1)
	work := make([]orb.Point, len(control))
	for k := range out {
		t := float64(k) / float64(count)
		copy(work, control)
		for left := len(work) - 1; left > 0; left-- { // de Casteljau
			for i := range left {
				work[i] = orb.Point{work[i][0] + t*(work[i+1][0]-work[i][0]), work[i][1] + t*(work[i+1][1]-work[i][1])}
			}
		}
		out[k] = work[0]
	}
	out[count] = control[len(control)-1]
	return out
}

// nurbs is a rational B-spline: len(knots) = len(control) + degree + 1, weights above 0.
type nurbs struct {
	degree  int
	knots   []float64
	control []orb.Point
	weights []float64 // nil: all 1
}

// at evaluates the spline by de Boor's algorithm in homogeneous coordinates (de Boor, "A Practical Guide to Splines").
func (s *nurbs) at(t float64) orb.Point {
	p := s.degree
	k := p
	for k < len(s.control)-1 && t >= s.knots[k+1] {
		k++
	}
	work := make([][3]float64, p+1)
	for i := range work {
		c, w := s.control[k-p+i], 1.0
		if s.weights != nil {
			w = s.weights[k-p+i]
		}
		work[i] = [3]float64{c[0] * w, c[1] * w, w}
	}
	for r := 1; r <= p; r++ {
		for i := p; i >= r; i-- {
			lo, hi := s.knots[k-p+i], s.knots[k+1+i-r]
			a := 0.0
			if hi > lo {
				a = (t - lo) / (hi - lo)
			}
			for x := range 3 {
				work[i][x] = (1-a)*work[i-1][x] + a*work[i][x]
			}
		}
	}
	return orb.Point{work[p][0] / work[p][2], work[p][1] / work[p][2]}
}

// flatten halves every span between knots until three points inside each half lie within flat of its chord.
func (s *nurbs) flatten(flat float64) []orb.Point {
	first, last := s.knots[s.degree], s.knots[len(s.control)]
	out := []orb.Point{s.at(first)}
	for k := s.degree; k < len(s.control); k++ {
		lo, hi := s.knots[k], s.knots[k+1]
		if !(hi > lo) {
			continue
		}
		const parts = 4 // a span may turn twice
		for n := range parts {
			a, b := lo+(hi-lo)*float64(n)/parts, lo+(hi-lo)*float64(n+1)/parts
			out = s.halve(out, stretch{a, b, out[len(out)-1], s.at(math.Min(b, last))}, flat, 12)
		}
	}
	return out
}

// stretch of a curve: its parameters and places at both ends.
type stretch struct {
	a, b float64
	p, q orb.Point
}

func (s *nurbs) halve(out []orb.Point, c stretch, flat float64, depth int) []orb.Point {
	far := 0.0
	for _, t := range []float64{0.25, 0.5, 0.75} {
		far = math.Max(far, offChord(c.p, c.q, s.at(c.a+t*(c.b-c.a))))
	}
	if far <= flat/2 || depth == 0 {
		return append(out, c.q)
	}
	m := (c.a + c.b) / 2
	middle := s.at(m)
	out = s.halve(out, stretch{c.a, m, c.p, middle}, flat, depth-1)
	return s.halve(out, stretch{m, c.b, middle, c.q}, flat, depth-1)
}

// offChord is the distance of x from the line from p to q.
func offChord(p, q, x orb.Point) float64 {
	l := math.Hypot(q[0]-p[0], q[1]-p[1])
	if l == 0 {
		return math.Hypot(x[0]-p[0], x[1]-p[1])
	}
	return math.Abs((q[0]-p[0])*(x[1]-p[1])-(q[1]-p[1])*(x[0]-p[0])) / l
}
