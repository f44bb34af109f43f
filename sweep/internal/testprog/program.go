// Package testprog builds small programs and stocks for the tests of the rooms.
package testprog

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/parse"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/shape"
)

// Program builds programs for tests; every move is one line.
type Program struct {
	Moves []parse.Move
	Tip   parse.Point
	Tool  int32
}

// New begins high above the origin.
func New(tool int) *Program { return &Program{Tool: int32(tool), Tip: parse.Point{Z: 50}} }

// Push appends a move from where the tip is.
func (p *Program) Push(m parse.Move) *Program {
	m.Line = int32(len(p.Moves) + 1)
	m.Tool = p.Tool
	m.Start = p.Tip
	m.FeedMMMin = 1000
	p.Moves = append(p.Moves, m)
	p.Tip = m.End
	return p
}

// Line feeds straight to a place.
func (p *Program) Line(x, y, z float64) *Program {
	return p.Push(parse.Move{Kind: parse.Feed, End: parse.Point{X: x, Y: y, Z: z}})
}

// Rapid goes straight to a place.
func (p *Program) Rapid(x, y, z float64) *Program {
	return p.Push(parse.Move{Kind: parse.Rapid, End: parse.Point{X: x, Y: y, Z: z}})
}

// Arc turns about (cx, cy) in the XY plane and ends at height z.
func (p *Program) Arc(cx, cy, turn, z float64) *Program {
	sin, cos := math.Sincos(turn)
	dx, dy := p.Tip.X-cx, p.Tip.Y-cy
	end := parse.Point{X: cx + dx*cos - dy*sin, Y: cy + dx*sin + dy*cos, Z: z}
	if math.Mod(math.Abs(turn), 2*math.Pi) == 0 {
		end.X, end.Y = p.Tip.X, p.Tip.Y
	}
	return p.Push(parse.Move{Kind: parse.Arc, Plane: parse.PlaneXY, End: end, Centre: parse.Point{X: cx, Y: cy},
		TurnRad: turn})
}

// Enter goes down at a place from above.
func (p *Program) Enter(x, y, z float64) *Program {
	return p.Rapid(p.Tip.X, p.Tip.Y, 5).Rapid(x, y, 5).Line(x, y, z)
}

// Up lifts the tool off the stock.
func (p *Program) Up() *Program { return p.Rapid(p.Tip.X, p.Tip.Y, 5) }

// Plate is a rectangular stock from the origin, lying on Z = -t with its face at 0.
func Plate(w, h, t float64) raster.Stock {
	return raster.Stock{BottomMM: -t, Blanks: []raster.Blank{{
		Outline: orb.Polygon{{{0, 0}, {w, 0}, {w, h}, {0, h}, {0, 0}}}, TopMM: 0,
	}}}
}

// EndMill is one square end mill, tool 1.
func EndMill(d float64) map[int]shape.Tool {
	return map[int]shape.Tool{1: {Number: 1, Shape: shape.Flat, DiameterMM: d}}
}
