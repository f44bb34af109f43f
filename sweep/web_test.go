package sweep

import (
	"fmt"
	"math"
	"testing"
)

// tabbed cuts a square of side 2 h about (cx, cy), turned by a, in a plate 6 mm thick: first at full depth with the tool
// lifted over a tab of width wide in the middle of each side, high mm thick.
func tabbed(cx, cy, h, a, wide, high float64) *prog {
	const tool = 3.0
	sin, cos := math.Sincos(a)
	at := func(x, y float64) (float64, float64) { return cx + x*cos - y*sin, cy + x*sin + y*cos }
	p := program(1)
	x, y := at(-h, -h)
	p.enter(x, y, -6.2)
	dx, dy := 1.0, 0.0
	px, py := -h, -h
	for side := 0; side < 4; side++ {
		go_ := func(d, z float64) {
			x, y := at(px+dx*d, py+dy*d)
			p.line(x, y, z)
		}
		// The end caps of radius tool leave the tab narrowest in its middle: wide there.
		go_(h-wide/2-tool, -6.2)
		go_(h-wide/2-tool, -6+high)
		go_(h+wide/2+tool, -6+high)
		go_(h+wide/2+tool, -6.2)
		go_(2*h, -6.2)
		px, py = px+2*h*dx, py+2*h*dy
		dx, dy = -dy, dx
	}
	return p.up()
}

// Four tabs 6 mm wide and 1.5 mm thick have a section of 4 x 6 x 1.5 = 36 mm2 wherever they sit.
func TestFourTabsHaveTheirSection(t *testing.T) {
	for _, c := range []struct{ cx, cy, a, cell float64 }{
		{50, 50, 0, 0.25}, {50.1, 49.93, 0, 0.25}, {50, 50, 0.3, 0.25}, {50, 50, math.Pi / 4, 0.25}, {50, 50, 0, 0.5}, {50.2, 50, 1.1, 0.5},
	} {
		t.Run(fmt.Sprintf("%+v", c), func(t *testing.T) {
			r := sweep(t, tabbed(c.cx, c.cy, 20, c.a, 6, 1.5), flat(6), plate(100, 100, 6), c.cell)
			if len(r.Hanging) != 1 {
				t.Fatalf("%d pieces hang, want 1; %d pieces", len(r.Hanging), len(r.Pieces))
			}
			p := r.Pieces[r.Hanging[0]]
			if len(p.Webs) != 4 {
				t.Fatalf("%d webs, want 4: %+v", len(p.Webs), p.Webs)
			}
			sum := 0.0
			for _, w := range p.Webs {
				if w.Kind != Tab {
					t.Errorf("kind %d, want a tab", w.Kind)
				}
				near(t, "thickness", w.ThicknessMM, 1.5, 1e-4)
				// Two ends, each within half a cell.
				near(t, "width", w.WidthMM, 6, 1.01*c.cell)
				// The kerf is 6 mm wide.
				near(t, "length", w.LengthMM, 6, 4*c.cell+6*(math.Sqrt2-1))
				sum += w.SectionMM2
			}
			near(t, "section", sum, 36, 4*1.5*c.cell*0.7)
			if p.Freed != Never || p.Hung == Never {
				t.Errorf("freed %v hung %v", p.Freed, p.Hung)
			}
		})
	}
}
