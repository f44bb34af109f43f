package parse

import (
	"math"
	"strings"
	"testing"
)

// The check programs below assume: millimeters; start at (0,0,0) of the machine and of G54; all offsets zero; G28
// and G30 home at machine (0,0,0); tool 1 of diameter 6 mm, tool 2 of diameter 10 mm and length 50 mm; block delete
// off; start modes of the published standard. Blocks are separated by " | ".
//
// With all offsets zero, the coordinates of the moves are machine coordinates.
func harness() Options {
	opt := Options{
		Name: "check.nc", RapidMMMin: 10000,
		start: &Point{}, MachineZero: &Point{}, Origins: map[string]Point{},
		Tools: map[int]Tool{1: {DiameterMM: 6}, 2: {DiameterMM: 10}},
	}
	for n := 1; n <= 9; n++ {
		opt.Origins[systemName(n)] = Point{}
	}
	return opt
}

func blocksOf(program string) []byte { return []byte(strings.ReplaceAll(program, " | ", "\n")) }

func read(t *testing.T, program string, change ...func(*Options)) *Program {
	t.Helper()
	opt := harness()
	for _, c := range change {
		c(&opt)
	}
	p := Read(blocksOf(program), opt)
	checkSound(t, p)
	return p
}

// checkSound holds for every program that was read, however bad.
func checkSound(t interface {
	Helper()
	Errorf(string, ...any)
}, p *Program) {
	t.Helper()
	gap := false
	for _, n := range p.Notes {
		if n.Kind == Unread {
			gap = true
		}
		if n.Message == "" || n.Pos.Line < 0 || n.Pos.Line > p.Lines+1 && n.Pos.File == p.Name {
			t.Errorf("bad note %+v", n)
		}
	}
	for i, m := range p.Moves.All() {
		for _, v := range []float64{m.Start.X, m.Start.Y, m.Start.Z, m.End.X, m.End.Y, m.End.Z, m.Centre.X, m.Centre.Y,
			m.Centre.Z, m.TurnRad, m.LengthMM, m.FeedMMMin, m.RPM, m.DurationS} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("move %d is not finite: %+v", i, m)
				return
			}
		}
		if m.LengthMM < 0 || m.DurationS < 0 {
			t.Errorf("move %d runs backwards: %+v", i, m)
		}
		if i > 0 && !gap && p.Moves.At(i-1).End != m.Start {
			t.Errorf("move %d does not start where the last one ended: %+v, %+v", i, p.Moves.At(i-1).End, m.Start)
		}
	}
}

func feedLen(p *Program) (l float64) {
	for _, m := range p.Moves.All() {
		if m.Kind == Feed || m.Kind == Arc {
			l += m.LengthMM
		}
	}
	return l
}

func rapidLen(p *Program) (l float64) {
	for _, m := range p.Moves.All() {
		if m.Kind == Rapid {
			l += m.LengthMM
		}
	}
	return l
}

func dwellS(p *Program) (s float64) {
	for _, m := range p.Moves.All() {
		if m.Kind == Dwell {
			s += m.DurationS
		}
	}
	return s
}

func endOf(p *Program) Point {
	if p.Moves.Len() == 0 {
		return Point{}
	}
	return p.Moves.At(p.Moves.Len() - 1).End
}

func unreadNotes(p *Program) (out []Note) {
	for _, n := range p.Notes {
		if n.Kind == Unread {
			out = append(out, n)
		}
	}
	return out
}

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

func nearPoint(a, b Point, tol float64) bool {
	return near(a.X, b.X, tol) && near(a.Y, b.Y, tol) && near(a.Z, b.Z, tol)
}

// box gives the lowest and highest point of the moves, by fine steps.
func box(p *Program) (lo, hi Point) {
	lo, hi = Point{math.Inf(1), math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for _, m := range p.Moves.All() {
		for i := 0; i <= 360; i++ {
			q := along(m, float64(i)/360)
			lo = Point{min(lo.X, q.X), min(lo.Y, q.Y), min(lo.Z, q.Z)}
			hi = Point{max(hi.X, q.X), max(hi.Y, q.Y), max(hi.Z, q.Z)}
		}
	}
	return lo, hi
}

// along gives the point at a fraction of a move, from the definition in Move's own comment.
func along(m Move, f float64) Point {
	s, e, c := m.Start.axes(), m.End.axes(), m.Centre.axes()
	var q axes
	for i := range q {
		q[i] = s[i] + f*(e[i]-s[i])
	}
	if m.Kind == Arc {
		u, v, _ := m.Plane.inPlane()
		du, dv := s[u]-c[u], s[v]-c[v]
		sin, cos := math.Sincos(f * m.TurnRad)
		q[u], q[v] = c[u]+du*cos-dv*sin, c[v]+du*sin+dv*cos
	}
	return q.point()
}
