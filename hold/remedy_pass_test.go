package hold

import (
	"strconv"
	"testing"

	"staydown/internal/testrun"
)

// The last pass that is named is nearly the greatest that holds: floor that the pass has not reached yet still joins
// the piece. The greatest one comes from whole programs with one pass more, each with the spare that a remedy keeps.
func TestTheLastPassIsNearlyTheGreatestThatHolds(t *testing.T) {
	if testing.Short() {
		t.Skip("a long run of whole programs")
	}
	cases := []struct{ side, feed, now, margin float64 }{
		{60, 1200, 1.2, 2}, {30, 700, 0.8, 1.2}, {45, 900, 1, 2}, {40, 700, 1, 1.5}, {100, 2400, 1.2, 2},
	}
	for _, c := range cases[:testrun.Draws(2, len(cases))] {
		p := aPlate()
		p.margin = c.margin
		holds := func(mm float64) bool {
			strict := p
			strict.margin *= remedyRoom
			r := road(t, square(c.side, c.feed, 6-c.now, 6-mm, 6.2), strict.toml()).Result
			return len(riskOf(r, 2)) == 0
		}
		greatest := largest(0.2, c.now, holds)
		a := road(t, square(c.side, c.feed, 6-c.now, 6.2), p.toml())
		named := 0.0
		for _, s := range searches(t, a) {
			if f := remedyForms[1].form.FindStringSubmatch(s.smallerPass()); s.piece.ID == 2 && f != nil {
				named, _ = strconv.ParseFloat(f[2], 64)
			}
		}
		if named < 0.9*greatest || named > greatest+0.01 {
			t.Errorf("%+v: a last pass of %.2f mm is named, %.2f holds", c, named, greatest)
		}
	}
}

// The last pass of the worst of like pieces holds the others all along their rims too, and is nearly what a search of
// their own finds.
func TestLikePiecesShareTheLastPassOfTheWorst(t *testing.T) {
	withoutDoubt(t)
	if testing.Short() {
		t.Skip("a long run of whole programs")
	}
	const parts, shapes = 20, 7 // see nest
	a := road(t, nest(parts, 600, 400, 100), sheet(600, 400, 0.5))
	all := searches(t, a)
	var runs [][]*stretch
	for _, p := range all {
		runs = append(runs, p.runs)
	}
	groups, named := map[*likePieces]bool{}, 0
	for i, like := range a.groupLike(runs) {
		p := all[i]
		p.like = like
		groups[like] = true
		mm, own := p.lastPass(), p.ownLastPass()
		if mm > 0 && !p.lastFloor().holds(mm) || mm < 0.9*own || mm > own+0.03 {
			t.Errorf("piece %d: a last pass of %.2f mm, %.2f of its own", p.piece.ID, mm, own)
		}
		if mm > 0 && like.worst[0].piece != int32(p.piece.ID) {
			named++
		}
	}
	if len(groups) != shapes || named < parts/2 {
		t.Errorf("%d groups, a shared pass for %d pieces", len(groups), named)
	}
}
