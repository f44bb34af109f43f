package hold

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"staydown/hold/result"
	"staydown/internal/testrun"
)

// searches gives the searches for remedies of every piece with findings.
func searches(t testing.TB, a *Analysis) []remedySearch {
	t.Helper()
	low := newLowTrials(enough * a.asked)
	queue := newQueue(1, a.sweepPart, low.add)
	for i := range a.air {
		if err := queue.addEpoch(i, &a.air[i]); err != nil {
			t.Fatal(err)
		}
	}
	if err := queue.drain(); err != nil {
		t.Fatal(err)
	}
	runs, err := a.stretches(low)
	if err != nil {
		t.Fatal(err)
	}
	of := map[int32][]*stretch{}
	var order []int32
	for _, run := range runs {
		if of[run.piece] == nil {
			order = append(order, run.piece)
		}
		of[run.piece] = append(of[run.piece], run)
	}
	var out []remedySearch
	for _, id := range order {
		if p, ok := a.remedySearch(of[id]); ok {
			p.thorough = true
			out = append(out, p)
		}
	}
	return out
}

// same finds the piece of another run that lies where a piece lay.
func same(p result.Piece, r *result.Result) (result.Piece, bool) {
	if p.ID == 1 {
		return r.Pieces[0], true
	}
	for _, q := range r.Pieces[1:] {
		if math.Hypot(p.Centroid[0]-q.Centroid[0], p.Centroid[1]-q.Centroid[1]) < 1.5 &&
			math.Abs(q.AreaMM2-p.AreaMM2) < 0.15*p.AreaMM2 {
			return q, true
		}
	}
	return result.Piece{}, false
}

// cured applies a remedy to a piece and runs the whole road again: the piece must have no finding of a margin any more,
// and no other piece may come by one.
func cured(t *testing.T, name string, a *Analysis, piece int, sentence string) (kind string) {
	t.Helper()
	e := newEditing(t, a)
	kind = e.apply(sentence)
	program := e.program()
	r := roadWith(t, program, &e.job).Result
	for i, p := range a.Result.Pieces {
		if i > 0 && p.ID != piece && len(riskOf(a.Result, p.ID)) > 0 || p.AreaMM2 < 30 {
			continue
		}
		q, found := same(p, r)
		if !found {
			if kind != "tabs" && kind != "skin" { // a piece on thick webs is none
				t.Errorf("%s: %q: piece %d is gone", name, sentence, p.ID)
			}
			continue
		}
		if p.ID == 1 && piece != 1 && len(riskOf(a.Result, 1)) > 0 {
			continue
		}
		for _, f := range riskOf(r, q.ID) {
			lines := strings.Split(program, "\n")
			t.Errorf("%s (asked %.2f): %q: piece %d: %s; line %d: %q", name, a.asked, sentence, p.ID, f.Message, f.Line,
				lines[max(0, f.Line-2):f.Line])
			break
		}
	}
	return kind
}

var remedyWays = []func(remedySearch) string{
	func(p remedySearch) (words string) { _, words = p.lowerFeed(); return },
	remedySearch.smallerPass, remedySearch.leaveSkin, remedySearch.leaveTabs,
	remedySearch.anchor,
	remedySearch.cutEarlier, remedySearch.downCut, remedySearch.adhesive, remedySearch.largerPump,
	remedySearch.deeperVacuum,
}

// shopProgram is a random small program: slots, then rectangles and discs one after another in one to three passes,
// some with a hole or a spring pass.
func shopProgram(random *rand.Rand, thickMM float64, toolMM float64) string {
	var b strings.Builder
	feed := math.Floor(math.Pow(10, 2.7+0.9*random.Float64()))
	fmt.Fprintf(&b, "G21 G90 G17 G94\nT1 M6\nS%d M3\nG0 Z5\n", 12000+1000*random.IntN(9))
	for i := range random.IntN(6) {
		fmt.Fprintf(&b, "G0 X%d Y10 Z5\nG1 Z-%g F300\nY150 F%g\nG0 Z5\n", 150+12*i, thickMM+0.2, feed)
	}
	passes := 1 + random.IntN(3)
	over := 0.1 + 0.2*random.Float64()
	for i := range 1 + random.IntN(2) {
		wide, high := 20+math.Floor(35*random.Float64()), 30+math.Floor(90*random.Float64())
		x, y := float64(12+65*i)-toolMM/2, 12-toolMM/2
		fmt.Fprintf(&b, "G0 X%g Y%g Z5\n", x, y)
		for k := 1; k <= passes; k++ {
			z := thickMM * float64(k) / float64(passes)
			if k == passes {
				z = thickMM + over
			} else if random.IntN(2) == 0 {
				z = thickMM - 0.4*float64(passes-k)
			}
			fmt.Fprintf(&b, "G1 Z-%.2f F300\n", z)
			if random.IntN(4) == 0 {
				r := (wide + toolMM) / 2
				fmt.Fprintf(&b, "G2 X%g Y%g I%g J0 F%g\nG2 X%g Y%g I%g J0\n", x+2*r, y, r, feed, x, y, -r)
			} else {
				fmt.Fprintf(&b, "Y%g F%g\nX%g\nY%g\nX%g\n", y+high+toolMM, feed, x+wide+toolMM, y, x)
			}
		}
		if random.IntN(3) == 0 {
			fmt.Fprintf(&b, "G1 Y%g\n", y+high/2) // a spring pass over one side
		}
		b.WriteString("G0 Z5\n")
	}
	b.WriteString("M30\n")
	return b.String()
}

// remedyCase is a program with its job.
type remedyCase struct{ name, program, jobFile string }

// remedyCases are random small programs and some that need a certain remedy.
func remedyCases() []remedyCase {
	const head = "G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 Z5\n"
	coarse := aPlate()
	coarse.cellMM = float64(testrun.Draws(2, 1))
	strict, straight, weak, screwed := coarse, coarse, coarse, coarse
	// lifts much, and presses as surely when turned
	strict.margin, strict.material, strict.helixDeg = 2, "aluminium-sheet", 45
	straight.helixDeg = 0
	weak.pumpM3h, weak.through = 60, "1e-12 m2"
	screwed = screwed.sized(400, 300)
	screwed.through, screwed.pumpM3h, screwed.anchored = "1e-13 m2", 20, true
	out := []remedyCase{
		{"fast", square(100, 3000, 5, 6.2), coarse.toml()},
		{"fast, five digits", strings.Replace(square(100, 12345, 5, 6.2), "S18000", "S24000", 1), coarse.toml()},
		{"deep", square(40, 1200, 4.8, 6.2), coarse.toml()},
		{"lifted", square(62, 1200, 5.2, 6.2), strict.toml()},
		{"straight", square(78, 1200, 4.8, 6.2), straight.toml()},
		{"weak pump", square(90, 700, 5.6, 6.2), weak.toml()},
		{"slots first", head + strings.Join(slotsThenSquare(8, 90), "") + "M30\n", screwed.toml()},
		{"slots first, larger", head + strings.Join(slotsThenSquare(8, 140), "") + "M30\n", screwed.toml()},
	}
	random := rand.New(rand.NewPCG(3, 14)) // a fixed seed makes the programs the same in every run
	for n := range testrun.Draws(2, 16) {
		p := coarse
		p.material = []string{"aluminium-wrought", "mdf", "pmma", "plywood"}[random.IntN(4)]
		p.thickMM = []float64{3, 6, 12}[random.IntN(3)]
		p.friction = 0.25 + 0.2*random.Float64()
		p.helixDeg = []float64{-20, 0, 30}[random.IntN(3)]
		p.pumpM3h = math.Pow(10, 0.3+1.7*random.Float64())
		p.through = fmt.Sprintf("%g m2", 1e-14*math.Pow(10, 2*random.Float64()))
		p.margin = 1 + random.Float64()
		text := p.sized(220, 160).toml()
		if random.IntN(2) == 0 {
			text = strings.Replace(text, "leak = \"0 m3/h\"\n", "", 1)
		}
		out = append(out, remedyCase{fmt.Sprintf("program %d, %s %g mm", n, p.material, p.thickMM),
			shopProgram(random, p.thickMM, 6), text})
	}
	return out
}

func TestEveryRemedyHoldsWhenItIsTaken(t *testing.T) {
	withoutDoubt(t)
	if testing.Short() {
		t.Skip("a long run of whole programs")
	}
	taken := map[string]int{}
	for _, c := range remedyCases() {
		a := road(t, c.program, c.jobFile)
		for _, s := range searches(t, a) {
			for _, way := range remedyWays {
				sentence := way(s)
				if sentence == "" {
					continue
				}
				taken[cured(t, c.name, a, s.piece.ID, sentence)]++
			}
		}
	}
	t.Log(taken)
	for _, r := range remedyForms {
		if taken[r.kind] == 0 {
			t.Errorf("no remedy of kind %q was tried", r.kind)
		}
	}
}

func TestEveryRemedyOfTheDemosHolds(t *testing.T) {
	if testing.Short() {
		t.Skip("a long run of whole programs")
	}
	share := testrun.Draws(9, 4) // of the remedies one in so many is tried
	for _, name := range []string{"panels.nc", "lantern.ngc"}[:testrun.Draws(1, 2)] {
		a, _ := demo(t, name)
		taken := map[string]int{}
		for i, s := range searches(t, a) {
			for k, way := range remedyWays {
				if (i+k)%share != 0 {
					continue
				}
				if sentence := way(s); sentence != "" {
					taken[cured(t, name, a, s.piece.ID, sentence)]++
				}
			}
		}
		t.Log(name, taken)
		if taken["skin"] == 0 || taken["tabs"] == 0 {
			t.Errorf("%s: tried %v", name, taken)
		}
	}
}

// Plunges behind its tabs are put on the piece with the tabs, not on what holds it without: all these pieces, far from
// each other, have a remedy of tabs, and hold when it is taken.
func TestAPieceStandsPlungesOnItsTabs(t *testing.T) {
	withoutDoubt(t)
	a := road(t, nest(4, 400, 100, 100), sheet(400, 100, 1))
	for _, s := range searches(t, a) {
		if sentence := s.leaveTabs(); sentence == "" {
			t.Errorf("piece %d: no tabs", s.piece.ID)
		} else {
			cured(t, "nest", a, s.piece.ID, sentence)
		}
	}
}
