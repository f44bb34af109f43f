package hold

import (
	"testing"

	"staydown/sweep"
)

// A section holds until the moment for which it is told: from then on the next one does, and behind the last nothing.
func TestASectionHoldsUntilItsMoment(t *testing.T) {
	one := []sweep.Join{{WidthMM: 4, WholeMM: 4, HeightMM: 1, LengthMM: 6, UprightMM: 6}}
	p := &sweep.Piece{ID: 2, Freed: 5, Sections: []sweep.Section{{At: 3, Joins: one}, {At: 4, Joins: one}, {At: 5}}}
	for at, want := range map[sweep.Progress]sweep.Progress{1: 3, 3: 3, 3.5: 4, 4: 4} {
		if s, ok := p.SectionAt(at); !ok || s.At != want {
			t.Errorf("at %v: %+v, want that of %v", at, s, want)
		}
	}
	for _, at := range []sweep.Progress{4.5, 5, 6} {
		if s, ok := p.SectionAt(at); ok {
			t.Errorf("at %v: %+v, want none", at, s)
		}
	}
}
