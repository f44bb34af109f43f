package parse

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// Offsets of simple contours, worked out by hand. Tool 1 has a radius of 3 mm, tool 2 of 5 mm. The rules are those
// of NIST RS274NGC v3, appendix B; concave corners at the intersection are common practice, no source.
func TestCompensation(t *testing.T) {
	for _, c := range []struct {
		name, program string
		end           Point
	}{
		// CP = 20 along +Y, r = 3: CQ = sqrt(391), turned to the right by asin(3/20).
		{"entry on the right", "G0 X20 Y-20 | G42 D1 G1 X20 Y0 F100 | G40 | M2", Point{20 + math.Sqrt(391)*0.15,
			-20 + math.Sqrt(391)*math.Sqrt(1-0.0225), 0}},
		// Left of a line along +X, then left turn of 90 degrees: concave; the tool turns at (50-3, 3).
		{"concave corner", "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | Y50", Point{47, 50, 0}},
		{"convex corner", "G0 X-10 Y-10 | G42 D1 G1 X0 Y0 F100 | X50 | Y50", Point{53, 50, 0}},
		{"arc outside", "G0 X0 Y-30 | G41 D1 G1 X0 Y-10 F100 | G2 X0 Y10 I0 J10", Point{0, 13, 0}},
		{"arc inside", "G0 X0 Y0 | G41 D1 G1 X0 Y-10 F100 | G3 X0 Y10 I0 J10", Point{0, 7, 0}},
		{"larger tool", "G0 X-10 Y-10 | G42 D2 G1 X0 Y0 F100 | X50 | Y50", Point{55, 50, 0}},
		{"tool in the spindle", "T2 M6 | G0 X-10 Y-10 | G42 G1 X0 Y0 F100 | X50 | Y50", Point{55, 50, 0}},
		{"depth inside the contour", "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | Z-2 | Y50", Point{47, 50, -2}},
		{"increments count from the program", "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | G91 X50 | Y50", Point{47, 50, 0}},
		{"back on the path", "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | G40 Y50", Point{50, 50, 0}},
		{"back on the path in both axes", "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | G40 X60", Point{60, 0, 0}},
		{"up before back", "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | G40 | G0 Z5", Point{50, 3, 5}},
		{"up, then back", "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | G40 | G0 Z5 | X60", Point{60, 0, 5}},
		{"increment behind", "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | G40 G91 X10", Point{60, 0, 0}},
		{"home of Z behind", "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 Z-1 F100 | X50 | G40 | G91 G28 Z0", Point{50, 3, 0}},
		{"hole behind", "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | G40 | G99 G81 Z-1 R1", Point{50, 3, 1}},
		{"rapid entry", "G0 X-10 Y-10 | G41 D1 G0 X0 Y0 | G1 X50 F100", Point{50, 3, 0}},
		{"straight back", "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | X0", Point{0, -3, 0}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := read(t, c.program)
			if u := unreadNotes(p); len(u) > 0 {
				t.Fatalf("unread: %v", u)
			}
			if !nearPoint(endOf(p), c.end, 1e-9) {
				t.Errorf("ends at %v, want %v", endOf(p), c.end)
			}
		})
	}
}

// The tool turns where the offset paths meet, and what happens in the corner happens there.
func TestConcaveCornerIsCutOff(t *testing.T) {
	p := read(t, "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | Z-2 | G4 P1 | Y50")
	var corner Point
	for _, m := range p.Moves.All() {
		if m.Kind == Dwell {
			corner = m.Start
		}
	}
	if !nearPoint(corner, Point{47, 3, -2}, 1e-9) {
		t.Errorf("corner at %v, want (47, 3, -2)", corner)
	}
	for _, m := range p.Moves.All() {
		if m.Kind == Feed && !near(m.DurationS, m.LengthMM/100*60, 1e-9) {
			t.Errorf("duration of a move that was cut off: %+v", m)
		}
	}
}

// Left of a line along +X, then a quarter of a clockwise circle of radius 20 that starts to the left (a concave
// corner): offset line y = 3; the arc from (50,0) about (70,0), G2, is on its outside at radius 23. They meet at
// x = 70 - sqrt(23^2 - 3^2).
func TestConcaveCornerLineArc(t *testing.T) {
	p := read(t, "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | G2 X70 Y20 I20 J0")
	if u := unreadNotes(p); len(u) > 0 {
		t.Fatal(u)
	}
	last := p.Moves.At(p.Moves.Len() - 1)
	want := Point{70 - math.Sqrt(23*23-9), 3, 0}
	if !nearPoint(last.Start, want, 1e-9) || !nearPoint(last.End, Point{70, 23, 0}, 1e-9) || last.Kind != Arc {
		t.Errorf("%+v, want from %v", last, want)
	}
	if want := -(math.Pi/2 - math.Asin(3.0/23)); !near(last.TurnRad, want, 1e-9) {
		t.Errorf("turn %v, want %v", last.TurnRad, want)
	}
	// The other way round: arc, then line, and arc to arc.
	p = read(t, "G0 X90 Y40 | G42 D1 G1 X70 Y20 F100 | G3 X50 Y0 I0 J-20 | G1 X0")
	if u := unreadNotes(p); len(u) > 0 {
		t.Fatal(u)
	}
	if m := p.Moves.At(p.Moves.Len() - 1); !nearPoint(m.Start, want, 1e-9) {
		t.Errorf("%+v, want from %v", m, want)
	}
	// Two arcs of radius 23 about (0,0) and (40,0) meet at (20, sqrt(23^2-20^2)).
	p = read(t, "G0 X-40 Y-20 | G41 D1 G1 X-20 Y0 F100 | G2 X20 Y0 I20 J0 | G2 X60 Y0 I20 J0")
	if u := unreadNotes(p); len(u) > 0 {
		t.Fatal(u)
	}
	if m := p.Moves.At(p.Moves.Len() - 1); !nearPoint(m.Start, Point{20, math.Sqrt(23*23 - 400), 0}, 1e-9) {
		t.Errorf("%+v", m)
	}
}

func TestNegativeDiameterSwapsSides(t *testing.T) { // NIST RS274NGC v3, 3.5.10
	swap := func(o *Options) { o.Tools = map[int]Tool{1: {DiameterMM: -6}} }
	const path = " G1 X0 Y0 F100 | X50 | Y50 | G40 X0"
	a := read(t, "G0 X-10 Y-10 | G42 D1"+path, swap)
	b := read(t, "G0 X-10 Y-10 | G41 D1"+path)
	if feedLen(a) != feedLen(b) || feedLen(a) < 100 {
		t.Errorf("%v and %v mm", feedLen(a), feedLen(b))
	}
}

func TestPathAlreadyCompensated(t *testing.T) {
	in := func(o *Options) { o.Tools = map[int]Tool{1: {DiameterMM: 6, InPath: true}} }
	p := read(t, "T1 M6 | G41 D1 G1 X1 Y0 F100 | X20 | Y20 | G40 X0", in)
	if !near(feedLen(p), 60, 1e-9) || len(unreadNotes(p)) > 0 {
		t.Errorf("%v mm, %v", feedLen(p), p.Notes)
	}
}

func TestCompensationFaults(t *testing.T) {
	const enter = "G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | "
	for _, c := range []struct{ name, program, want string }{
		{"inner arc too small", enter + "G3 X54 Y0 I2 J0", "inner arc"},
		{"corner too narrow", enter + "X51 Y1 | X50 Y2 | X49 Y1", "does not fit"},
		{"arc entry", "G41 D1 G2 X10 Y0 I5 F100", "first move"},
		{"no such tool", "G41 D7 G1 X10 F100", "no diameter"},
		{"negative D", "G41 D-1 G1 X10 F100", "not a tool's number"},
		{"G42 while on", enter + "G42 X60", "already"},
		{"plane", enter + "G18", "plane"},
		{"home", enter + "G28", "cancel"},
		{"G53", enter + "G53 G0 X0", "cancel"},
		{"G92", enter + "G92 X0", "cancel"},
		{"G10", enter + "G10 L2 P1 X0", "cancel"},
		{"work system", enter + "G55", "cancel"},
		{"tool change", enter + "T2 M6", "cancel"},
		{"rotation", enter + "G68 X0 Y0 R10", "cancel"},
	} { // NIST RS274NGC v3, 3.5.10, B.2, B.4, B.5; the last three common practice, no source
		p := read(t, c.program)
		found := false
		for _, n := range unreadNotes(p) {
			found = found || strings.Contains(n.Message, c.want)
		}
		if !found {
			t.Errorf("%s: %v", c.name, p.Notes)
		}
	}
	// In strict reading the move behind G40 is plain from where the tool is (NIST RS274NGC v3, B.6).
	plain := read(t, enter+"G40 X60 | M2", func(o *Options) { o.Strict = true })
	if len(unreadNotes(plain)) != 0 || !nearPoint(endOf(plain), Point{60, 3, 0}, 1e-9) {
		t.Errorf("behind G40 in strict reading: %v %v", endOf(plain), plain.Notes)
	}
	strict := read(t, enter+"Y50 | M2", func(o *Options) { o.Strict = true })
	if len(unreadNotes(strict)) != 1 { // NIST RS274NGC v3, B.5.1
		t.Errorf("concave corner in strict reading: %v", strict.Notes)
	}
}

// Beside any polygon whose corners leave room, the tool's center keeps the radius as its least distance from every
// edge. The check measures distances to the programmed polygon and knows nothing of how offsets are made.
func TestOffsetKeepsItsDistance(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for trial := 0; trial < 200; trial++ {
		n := 5 + rng.IntN(8)
		corners := make([]Point, n)
		for i := range corners {
			a := 2 * math.Pi * float64(i) / float64(n)
			r := 60 + 25*rng.Float64()
			corners[i] = Point{round4(r * math.Cos(a)), round4(r * math.Sin(a)), 0}
		}
		// Counter-clockwise with the tool on the right: outside.
		var s strings.Builder
		first := corners[0]
		s.WriteString("G0 X" + formatNumber(first.X+20) + " Y" + formatNumber(first.Y-20) + " | G42 D1 G1 X" +
			formatNumber(first.X) + " Y" + formatNumber(first.Y) + " F100")
		for i := 1; i <= n; i++ {
			c := corners[i%n]
			s.WriteString(" | X" + formatNumber(c.X) + " Y" + formatNumber(c.Y))
		}
		p := read(t, s.String())
		if u := unreadNotes(p); len(u) > 0 {
			t.Fatalf("%s\n%v", s.String(), u)
		}
		least := math.Inf(1)
		// Without the entry, which comes to the first corner from anywhere, and without the last edge, which ends
		// square to itself whatever the first corner is like.
		for i := 3; i < p.Moves.Len()-1; i++ {
			m := p.Moves.At(i)
			for k := 0; k <= 50; k++ {
				q := along(m, float64(k)/50)
				for i := range corners {
					least = math.Min(least, distance(q, corners[i], corners[(i+1)%n]))
				}
			}
		}
		if !near(least, 3, 1e-6) {
			t.Fatalf("%s\nleast distance %v", s.String(), least)
		}
	}
}

func round4(v float64) float64 { return math.Round(v*1e4) / 1e4 }

// distance of q from the segment ab in XY.
func distance(q, a, b Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := ((q.X-a.X)*dx + (q.Y-a.Y)*dy) / (dx*dx + dy*dy)
	t = math.Max(0, math.Min(1, t))
	return math.Hypot(q.X-a.X-t*dx, q.Y-a.Y-t*dy)
}
