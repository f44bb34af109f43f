package sweep

import (
	"math"
	"testing"

	"github.com/paulmach/orb"

	"staydown/parse"
)

// plate is a rectangular stock from the origin, lying on Z = -t with its face at 0.
func plate(w, h, t float64) Stock {
	return Stock{BottomMM: -t, Blanks: []Blank{{
		Outline: orb.Polygon{{{0, 0}, {w, 0}, {w, h}, {0, h}, {0, 0}}}, TopMM: 0,
	}}}
}

// path builds programs for the tests; every move is one line.
type prog struct {
	moves []parse.Move
	at    parse.Point
	tool  int32
}

func movesOf(list []parse.Move) *parse.Moves { return parse.NewMoves(list...) }

func program(tool int) *prog { return &prog{tool: int32(tool), at: parse.Point{Z: 50}} }

func (p *prog) push(m parse.Move) *prog {
	m.Line = int32(len(p.moves) + 1)
	m.Tool = p.tool
	m.Start = p.at
	m.FeedMMMin = 1000
	p.moves = append(p.moves, m)
	p.at = m.End
	return p
}

func (p *prog) line(x, y, z float64) *prog {
	return p.push(parse.Move{Kind: parse.Feed, End: parse.Point{X: x, Y: y, Z: z}})
}

func (p *prog) rapid(x, y, z float64) *prog {
	return p.push(parse.Move{Kind: parse.Rapid, End: parse.Point{X: x, Y: y, Z: z}})
}

// arc turns about (cx, cy) in the XY plane and ends at height z.
func (p *prog) arc(cx, cy, turn, z float64) *prog {
	sin, cos := math.Sincos(turn)
	dx, dy := p.at.X-cx, p.at.Y-cy
	end := parse.Point{X: cx + dx*cos - dy*sin, Y: cy + dx*sin + dy*cos, Z: z}
	if math.Mod(math.Abs(turn), 2*math.Pi) == 0 {
		end.X, end.Y = p.at.X, p.at.Y
	}
	return p.push(parse.Move{Kind: parse.Arc, Plane: parse.PlaneXY, End: end, Centre: parse.Point{X: cx, Y: cy},
		TurnRad: turn})
}

// enter goes down at a place from above.
func (p *prog) enter(x, y, z float64) *prog {
	return p.rapid(p.at.X, p.at.Y, 5).rapid(x, y, 5).line(x, y, z)
}

func (p *prog) up() *prog { return p.rapid(p.at.X, p.at.Y, 5) }

func flat(d float64) map[int]Tool { return map[int]Tool{1: {Number: 1, Shape: Flat, DiameterMM: d}} }

func sweep(t testing.TB, p *prog, tools map[int]Tool, s Stock, cell float64) *Record {
	t.Helper()
	r, err := Run(movesOf(p.moves), tools, s, Options{CellMM: cell})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.6g, want %.6g within %.3g", what, got, want, tol)
	}
}

// Source: area of a capsule, pi R^2 + 2 R L.
func TestSlotCoversACapsule(t *testing.T) {
	const r, l = 3.0, 40.0
	p := program(1).enter(10, 10, -6).line(10+l*0.8, 10+l*0.6, -6).up()
	rec := sweep(t, p, flat(2*r), plate(80, 60, 6), 0.25)
	want := (math.Pi*r*r + 2*r*l) * 6
	near(t, "removed", rec.RemovedMM3, want, 0.003*want)
	if len(rec.Pieces) != 1 {
		t.Errorf("a slot freed %d pieces", len(rec.Pieces)-1)
	}
}

func TestAClosedContourFreesOnePiece(t *testing.T) {
	p := program(1).enter(20, 20, -6.2).line(60, 20, -6.2).line(60, 50, -6.2).line(20, 50, -6.2).line(20, 20, -6.2).up()
	rec := sweep(t, p, flat(6), plate(80, 70, 6), 0.25)
	if len(rec.Pieces) != 2 {
		t.Fatalf("%d pieces, want the stock and one", len(rec.Pieces))
	}
	q := rec.Pieces[1]
	near(t, "area", q.AreaMM2, 34*24, 0.25*(2*(34+24))/2)
	near(t, "volume", q.VolumeMM3, 6*q.AreaMM2, 0.01)
	near(t, "top", q.TopMM, 0, 1e-4)
	near(t, "x", q.Centroid[0], 40, 0.13)
	near(t, "y", q.Centroid[1], 35, 0.13)
	if q.Freed.Move() != 6 {
		t.Errorf("freed by move %d, want the closing one, 6", q.Freed.Move())
	}
}
