package sweep

import (
	"math"
	"math/rand"
	"testing"

	"staydown/internal/testrun"
	"staydown/sweep/internal/raster"
	"staydown/sweep/internal/testprog"
)

// In level cuts of a square end every cell goes in the move that first covers its center, at the moment at which the
// rim of the tool reaches it: l - sqrt(R^2 - s^2) along the path for a cell l along and s beside it.
func TestLevelCutsMeetACellWhenTheRimDoes(t *testing.T) {
	testrun.NotForRaces(t)
	rnd := rand.New(rand.NewSource(1))
	compared, inside := 0, 0
	for range testrun.Draws(20, 60) {
		r := 0.8 + 3*rnd.Float64()
		x, y := 40*rnd.Float64(), 40*rnd.Float64()
		p := testprog.New(1).Enter(x, y, -6.2)
		for range 30 {
			d := math.Exp(4*rnd.Float64() - 1.5)
			turn := 2 * math.Pi * rnd.Float64()
			x, y = x+d*math.Cos(turn), y+d*math.Sin(turn)
			p.Line(x, y, -6.2)
		}
		rec := sweep(t, p, testprog.EndMill(2*r), testprog.Plate(40, 40, 6), 0.5)
		g, c := rec.Grid, rec.cells
		for iy := range g.NY {
			for ix := range g.NX {
				px, py := g.OriginX+(float64(ix)+0.5)*g.CellMM, g.OriginY+(float64(iy)+0.5)*g.CellMM
				if got := c.CutAt(ix, iy); got >= raster.FirstTick {
					compared++
					lo, hi, sure := rimMeets(p, c, r, px, py)
					if sure && (got < lo || got > hi) {
						t.Fatalf("cell %d, %d goes at tick %d, the rim meets it from %d to %d", ix, iy, got, lo, hi)
					}
					if sure && got != raster.TickNever {
						inside++
					}
				}
			}
		}
	}
	if inside < compared/20 {
		t.Errorf("only %d cut cells of %d compared", inside, compared)
	}
}

// rimMeets gives the tick in which the rim of a tool of radius r first meets a place, give or take rounding, and
// TickNever if it does not. sure is false where the place lies on the edge of a sweep.
func rimMeets(p *testprog.Program, c *raster.Cells, r, px, py float64) (lo, hi raster.Tick, sure bool) {
	const close = 1e-9
	for i := range p.Moves {
		m := &p.Moves[i]
		if m.Start.Z > -6 && m.End.Z > -6 {
			continue
		}
		n := math.Hypot(m.End.X-m.Start.X, m.End.Y-m.Start.Y)
		dx, dy := px-m.Start.X, py-m.Start.Y
		if n == 0 {
			if d := math.Hypot(dx, dy); math.Abs(d-r) < close {
				return 0, 0, false
			} else if d < r {
				return c.Clock.First[i], c.Clock.First[i+1], true // on the way down
			}
			continue
		}
		ux, uy := (m.End.X-m.Start.X)/n, (m.End.Y-m.Start.Y)/n
		l, s := ux*dx+uy*dy, ux*dy-uy*dx
		far := math.Hypot(l-max(0, min(n, l)), s)
		if math.Abs(far-r) < close {
			return 0, 0, false
		}
		if far > r {
			continue
		}
		u := max(0, min(n, l-math.Sqrt(r*r-s*s)))
		return c.Clock.At(i, max(0, u/n-close)), c.Clock.At(i, min(1, u/n+close)), true
	}
	return raster.TickNever, raster.TickNever, true
}
