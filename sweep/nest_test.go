package sweep

import (
	"math"

	"github.com/paulmach/orb"

	"staydown/sweep/internal/testprog"
)

// nest cuts cols x rows wavy rounds of about 2 r mm, each in one pass of n straight blocks, with a 6 mm tool.
func nest(cols, rows int, pitch, r float64, n int) *testprog.Program {
	p := testprog.New(1)
	for j := 0; j < rows; j++ {
		for i := 0; i < cols; i++ {
			cx, cy := pitch*(float64(i)+0.5), pitch*(float64(j)+0.5)
			at := func(k int) (x, y float64) {
				sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
				d := r * (1 + 0.1*math.Cos(10*math.Pi*float64(k)/float64(n)))
				return cx + d*cos, cy + d*sin
			}
			x, y := at(0)
			p.Enter(x, y, -6.2)
			for k := 1; k <= n; k++ {
				x, y = at(k)
				p.Line(x, y, -6.2)
			}
			p.Up()
		}
	}
	return p
}

func sheet(w, h float64) Stock {
	return Stock{BottomMM: -6, Blanks: []Blank{{Outline: orb.Polygon{{{0, 0}, {w, 0}, {w, h}, {0, h}, {0, 0}}},
		TopMM: 0}}}
}
