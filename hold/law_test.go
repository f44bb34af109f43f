package hold

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"staydown/internal/testrun"
)

// shop is a small sheet with a coarse grid, so that laws can be tried on many jobs.
func shop(p plate) string {
	return strings.Replace(p.sized(150, 130).on(0.5), "anchored = false", "anchored = true", 1)
}

// leastOf is the least margin of the piece that a square cut frees.
func leastOf(t *testing.T, program, jobFile string) float64 {
	t.Helper()
	r := road(t, program, jobFile).Result
	if len(r.Pieces) < 2 {
		t.Fatalf("%d pieces, want 2", len(r.Pieces))
	}
	return r.Pieces[1].Least.Margin
}

func TestWhatNeverRaisesAMargin(t *testing.T) {
	if testing.Short() {
		t.Skip("a long run of whole programs")
	}
	random := rand.New(rand.NewPCG(7, 11)) // a fixed seed makes the jobs the same in every run
	for range testrun.Draws(2, 8) {
		p := aPlate()
		p.friction = 0.2 + 0.3*random.Float64()
		p.pumpM3h = 20 + 100*random.Float64()
		p.through = fmt.Sprintf("%g m2", 1e-14*math.Pow(10, 1.5*random.Float64()))
		side, feed, last := 30+math.Floor(40*random.Float64()), 400+math.Floor(1500*random.Float64()),
			0.4+random.Float64()
		cut := func(side, feed, last float64) string { return square(side, feed, 6-last, 6.2) }
		was := leastOf(t, cut(side, feed, last), shop(p))
		for name, now := range map[string]float64{
			"more feed":          leastOf(t, cut(side, feed*1.5, last), shop(p)),
			"a deeper last pass": leastOf(t, cut(side, feed, last*1.5), shop(p)),
			"a smaller piece":    leastOf(t, cut(side-8, feed, last), shop(p)),
			"less friction": func() float64 {
				q := p
				q.friction *= 0.7
				return leastOf(t, cut(side, feed, last),
					shop(q))
			}(),
			"a smaller pump": func() float64 {
				q := p
				q.pumpM3h *= 0.5
				return leastOf(t, cut(side, feed, last),
					shop(q))
			}(),
		} {
			if now > was*1.01 { // loads are rounded up by at most 1 % before they are looked up
				t.Errorf("%s raises the margin from %.4f to %.4f (side %g, feed %g, last pass %.2f)", name, was, now,
					side, feed, last)
			}
		}
	}
}

// mirrored turns X into 150 - X in a program of straight moves.
func mirrored(program string) string {
	var b strings.Builder
	for line := range strings.Lines(program) {
		for i, word := range strings.Fields(line) {
			if i > 0 {
				b.WriteByte(' ')
			}
			if word[0] == 'X' {
				var x float64
				fmt.Sscanf(word, "X%g", &x)
				word = fmt.Sprintf("X%g", 150-x)
			}
			b.WriteString(word)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func TestMirroredProgramHasMirroredResults(t *testing.T) {
	// The spindle turns the other way in the mirror.
	for _, side := range []float64{20, 36, 60} {
		program := square(side, 900, 5.2, 6.2)
		a := road(t, program, shop(aPlate())).Result
		b := road(t, strings.Replace(mirrored(program), "M3", "M4", 1), shop(aPlate())).Result
		if len(a.Pieces) != len(b.Pieces) {
			t.Fatalf("%d and %d pieces", len(a.Pieces), len(b.Pieces))
		}
		for i := range a.Pieces {
			p, q := a.Pieces[i], b.Pieces[i]
			if math.Abs(p.Centroid[0]+q.Centroid[0]-150) > 0.01 || math.Abs(p.Centroid[1]-q.Centroid[1]) > 0.01 {
				t.Errorf("piece %d at %v and %v", p.ID, p.Centroid, q.Centroid)
			}
			if p.FreedLine != q.FreedLine || p.Least.Line != q.Least.Line ||
				math.Abs(p.Least.Margin-q.Least.Margin) > 0.02*p.Least.Margin {
				t.Errorf("piece %d: %+v and %+v", p.ID, p.Least, q.Least)
			}
		}
	}
}

func TestMorePumpNeverLowersTheVacuum(t *testing.T) {
	p := aPlate()
	p.through = "3e-13 m2"
	last := 0.0
	for _, flow := range []float64{2, 5, 20, 80, 300} {
		p.pumpM3h = flow
		v := road(t, square(40, 900, 5.2, 6.2), shop(p)).Result.Vacuum.LeastKPa
		if !(v >= last) {
			t.Errorf("%g m3/h: %.3f kPa, less than the %.3f kPa of the smaller pump", flow, v, last)
		}
		last = v
	}
}
