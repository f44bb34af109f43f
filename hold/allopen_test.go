package hold

import (
	"slices"
	"testing"

	"staydown/sweep"
)

// The air is asked for the pieces that an epoch touches; for all of them where programs share it in which one hangs
// from another moment on.
func TestPiecesOfWhichTheAirIsAsked(t *testing.T) {
	p := aPlate().sized(200, 150)
	p.cellMM = 2
	a := road(t, square(60, 600, 5.6, 6.2), p.toml())
	a.options.AllOpen = true
	for _, shared := range []*Shared{nil, {}} {
		a.options.Shared = shared
		for i, e := range a.airInput(nil).Epochs {
			want := a.air[i].pieces
			if shared != nil {
				want = []int32{1, 2}
			}
			if !slices.Equal(e.Pieces, want) {
				t.Errorf("shared %t, epoch %d: %v, want %v", shared != nil, i, e.Pieces, want)
			}
		}
	}
	if len(a.air[0].pieces) != 0 {
		t.Errorf("%v are touched before anything is cut", a.air[0].pieces)
	}
}

// With the air of all cuts made, no piece gains by its place in the order: none has more margin than by the air of its
// own moment, the last one has the same, and the first less.
func TestWithAllCutsOpenNoPieceGainsByItsOrder(t *testing.T) {
	p := aPlate()
	p.through, p.layerMM, p.cellMM = "3e-13 m2", 0.8, 1
	j := mustJob(t, p.toml())
	program := squaresAt(40, 600, 20, 80, 140)
	own := checked(t, program, j, Options{Figures: NoFigures, NoPictures: true})
	open := checked(t, program, j, Options{Figures: NoFigures, NoPictures: true, AllOpen: true})
	if len(open.Result.Pieces) != 4 || len(own.Result.Pieces) != 4 {
		t.Fatalf("%d and %d pieces, want the stock and 3 squares", len(own.Result.Pieces), len(open.Result.Pieces))
	}
	for i := range own.Result.Pieces {
		a, b := own.Result.Pieces[i].Least, open.Result.Pieces[i].Least
		const solved = 1e-4 // to which fields are
		if b.Margin > a.Margin*(1+solved) || b.Low > a.Low*(1+solved) {
			t.Errorf("piece %d: margin %.4f, low end %.4f, by its own moment %.4f, %.4f", i+1, b.Margin, b.Low,
				a.Margin, a.Low)
		}
		switch loss := b.Margin / a.Margin; {
		case i == 1 && loss > 0.99:
			t.Errorf("the first square has %.4f of the margin by its own moment, so the comparison says little", loss)
		case i == 3 && loss < 0.999:
			t.Errorf("the last square has %.4f of the margin by its own moment", loss)
		}
	}
	freed := open.Result.Pieces[1].FreedTimeS
	for i := range open.air {
		if at := open.clock.TimeS(open.air[i].until); at > freed && i < len(open.air)-1 {
			t.Errorf("the air is solved at %.1f s, after the first square is free and before the end", at)
		}
	}
}

// The entry of the cutter is checked with the air at its end, not with that of all cuts made: the thin bottom of a pass
// below which nothing is open yet holds like the sheet, and a part on it may tip as the cutter is pushed down.
func TestAllCutsAreOpenFromTheEndOfTheEntryOn(t *testing.T) {
	j := mustJob(t, aPlate().on(1))
	a := checked(t, square(60, 600, 3, 6.2), j, Options{Figures: NoFigures, NoPictures: true, AllOpen: true})
	entry := -1
	for i := range a.prog.Moves.Len() {
		if m := a.prog.Moves.At(i); m.End.Z == -6.2 && m.Start.Z == -3 {
			entry = i
		}
	}
	var ends []sweep.Progress
	for i := range a.air {
		ends = append(ends, a.air[i].until)
	}
	last := a.rec.Settled(a.rec.Steps.At(a.rec.Steps.Len() - 1))
	if want := []sweep.Progress{0, sweep.Progress(entry + 1), last}; entry < 0 || !slices.Equal(ends, want) {
		t.Errorf("the air is solved at %v, want %v", ends, want)
	}
}
