package hold

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/parse"
)

const (
	// joinTolerance is how far cells of half a millimeter may shift a section, or a margin of the same cut.
	joinTolerance = 0.02
	// turnTolerance is how far a margin may shift when the program is turned: cells at the rim, under which the air
	// holds, fall otherwise.
	turnTolerance = 0.05
)

// drawnPart is a part of random size, at rest on what its gaps leave.
func drawnPart(r *rapid.T) (contour, plate) {
	c, p := smallPart(), aPlate()
	p.material = rapid.SampledFrom([]string{"aluminium-sheet", "mdf-faced", "pmma"}).Draw(r, "material")
	c.w, c.h = rapid.Float64Range(24, 60).Draw(r, "w"), rapid.Float64Range(24, 60).Draw(r, "h")
	if p.material == "mdf-faced" {
		c.thickMM, c.feed, c.passes = 12, 3000, []float64{6, 11, 12.2}
	}
	return c, p
}

// drawnGap is a gap somewhere on a side.
func (c contour) drawnGap(r *rapid.T, side int) gap {
	wide := rapid.Float64Range(0.1, 6).Draw(r, "wide")
	high := math.Min(c.thickMM, rapid.Float64Range(0.1, c.thickMM+2).Draw(r, "high"))
	long, room := c.h, wide/2+8
	if side%2 == 1 {
		long = c.w
	}
	return gap{side, rapid.Float64Range(room, long+6-room).Draw(r, "middle"), wide, high}
}

// What joins a piece is seen with its own section, whatever its width, height and direction on the grid, and the margin
// does not depend on that direction.
func TestJoinsOfAnySizeAndDirection(t *testing.T) {
	drawCases(t, testrun.Draws(5, 20))
	rapid.Check(t, func(r *rapid.T) {
		c, p := drawnPart(r)
		want := 0.0
		if rapid.Bool().Draw(r, "skin") {
			last := len(c.passes) - 1
			skin := rapid.Float64Range(0.1, c.thickMM-c.passes[last-1]).Draw(r, "thick")
			c.passes[last] = c.thickMM - skin
			want = 2 * (c.w + c.h) * skin
		} else {
			for side := range 4 {
				if side < 2 || rapid.Bool().Draw(r, "gap") {
					g := c.drawnGap(r, side)
					c.gaps = append(c.gaps, g)
					want += g.wideMM * g.highMM
				}
			}
		}
		straight := c.part(t, p, 0.5)
		c.turnRad = rapid.Float64Range(-math.Pi, math.Pi).Draw(r, "turn")
		turned := c.part(t, p, 0.5)
		if straight.ID != turned.ID {
			r.Fatalf("piece %d, turned piece %d", straight.ID, turned.ID)
		}
		if straight.ID == 0 { // strong: no neck
			return
		}
		for _, q := range []result.Piece{straight, turned} {
			if math.Abs(q.WebMM2/want-1) > joinTolerance {
				r.Fatalf("section %.4f mm2, left standing %.4f mm2", q.WebMM2, want)
			}
		}
		if off := known(p, turned.Least.Margin)/known(p, straight.Least.Margin) - 1; math.Abs(off) > turnTolerance {
			r.Fatalf("margin %.4f (%v, line %d), turned %.4f (%v, line %d)", straight.Least.Margin, straight.Least.Mode,
				straight.Least.Line, turned.Least.Margin, turned.Least.Mode, turned.Least.Line)
		}
	})
}

// On a thick layer the hold of a part hardly depends on how it is turned on the grid, far from the rim of the sheet.
func TestATurnedPartOnAThickLayerIsHeldAlike(t *testing.T) {
	p := aPlate().sized(240, 200)
	p.material, p.thickMM, p.toolReach = "mdf-faced", 12, 30
	p.layerMM, p.through, p.cutLimit, p.pumpM3h = 17, "1e-13 m2", 6, 250
	c := contour{w: 60, h: 40, thickMM: 12, feed: 1000, passes: []float64{6, 11, 12.15}}
	least := func(degrees float64) result.Least {
		c.turnRad = degrees * math.Pi / 180
		r := road(t, strings.Replace(c.program(), "G94\n", "G94\nG52 X60 Y40\n", 1), p.on(0.5)).Result
		return r.Pieces[len(r.Pieces)-1].Least
	}
	straight := least(0)
	for _, degrees := range []float64{10, 30} {
		turned := least(degrees)
		t.Logf("%g degrees: hold %.4f, margin %.4f of that straight", degrees, turned.HoldN/straight.HoldN,
			turned.Margin/straight.Margin)
		if off := turned.HoldN/straight.HoldN - 1; !(math.Abs(off) <= 0.015) {
			t.Errorf("hold %.2f N, turned by %g degrees %.2f N", straight.HoldN, degrees, turned.HoldN)
		}
	}
}

// known is a margin as far as it is reckoned exactly: beyond that it is only known to be at least what is told.
func known(p plate, margin float64) float64 { return math.Min(margin, enough*p.margin) }

// leastByMove is the least margin of the part in each move that cuts.
func leastByMove(t *testing.T, a *Analysis, part result.Piece) map[parse.Move]float64 {
	t.Helper()
	out := map[parse.Move]float64{}
	for index := range a.air {
		e := &a.air[index]
		s := a.epochState(index, a.ownChuck(index), change{})
		for step := e.firstStep; step < e.lastStep; step++ {
			err := s.trials(step, func(one trial) {
				if int(one.piece) != part.ID {
					return
				}
				m := a.prog.Moves.At(int(a.rec.Steps.At(step).Move))
				m.Line = 0
				if least, ok := out[m]; !ok || one.margin < least {
					out[m] = one.margin
				}
			})
			if err != nil {
				t.Fatal(err)
			}
		}
	}
	return out
}

// More that joins a piece never lowers its margin where the cut stays the same, and never makes a piece loose that is
// held: a tab more, a skin in place of the last of the cut, or floor that the last pass leaves standing.
func TestMoreThatJoinsNeverHarms(t *testing.T) {
	drawCases(t, testrun.Draws(5, 20))
	rapid.Check(t, func(r *rapid.T) {
		less, p := drawnPart(r)
		less.turnRad = rapid.Float64Range(-math.Pi, math.Pi).Draw(r, "turn")
		for side := range 3 {
			if rapid.Bool().Draw(r, "gap") {
				less.gaps = append(less.gaps, less.drawnGap(r, side))
			}
		}
		more := less
		more.passes = append([]float64(nil), less.passes...)
		last := len(more.passes) - 1
		kind := rapid.SampledFrom([]string{"tab", "skin", "floor"}).Draw(r, "more")
		switch kind {
		case "tab":
			more.gaps = append(append([]gap(nil), less.gaps...), less.drawnGap(r, 3))
		case "skin":
			more.passes[last] = less.thickMM - rapid.Float64Range(0.1, 0.5).Draw(r, "skin")
		case "floor":
			more.stopMM = rapid.Float64Range(1, less.w-8).Draw(r, "floor")
		}
		before, a := less.analysed(t, p, 0.5)
		after, b := more.analysed(t, p, 0.5)
		if before.State == result.StateHeld && after.State == result.StateLoose {
			r.Fatalf("%s: held at %.3f before, loose at %.3f with it", kind, before.Least.Margin, after.Least.Margin)
		}
		if after.ID == 0 {
			return
		}
		if kind != "tab" && known(p, after.Least.Margin) < known(p, before.Least.Margin)*(1-joinTolerance) {
			r.Fatalf("%s: margin %.4f before, %.4f with it, line %d", kind, before.Least.Margin, after.Least.Margin,
				after.Least.Line)
		}
		if before.ID == 0 {
			return
		}
		with := leastByMove(t, b, after)
		for m, margin := range leastByMove(t, a, before) {
			if now, ok := with[m]; ok && known(p, now) < known(p, margin)*(1-joinTolerance) {
				r.Fatalf("%s: margin %.4f before, %.4f with it in %+v", kind, margin, now, m)
			}
		}
	})
}
