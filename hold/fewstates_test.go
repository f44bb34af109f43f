package hold

import (
	"slices"
	"testing"
)

// The air is asked for the pieces that an epoch touches; for all of them where programs share it in which one hangs
// from another moment on.
func TestPiecesOfWhichTheAirIsAsked(t *testing.T) {
	p := aPlate().sized(200, 150)
	p.cellMM = 2
	a := road(t, square(60, 600, 5.6, 6.2), p.toml())
	a.options.FewStates = true
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
