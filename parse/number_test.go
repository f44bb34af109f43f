package parse

import (
	"maps"
	"testing"
)

func TestNumbersOfBlocks(t *testing.T) {
	// NIST RS274NGC, version 3, 3.3.2: a line number is N and an integer, behind the block delete character.
	src := "%\nN10 G21 G90\nG0 X1\n/n 20 G0 X2\r\nN30G0X3\n(N40)\nNOTE\n  N50.1 M30\n%\n"
	p := Read([]byte(src), Options{Name: "a.nc"})
	got := p.NumbersAt([]int{1, 2, 3, 4, 5, 6, 7, 8, 99})
	want := map[int]string{2: "N10", 4: "N20", 5: "N30", 8: "N50.1"}
	if !maps.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if few := p.NumbersAt([]int{5}); !maps.Equal(few, map[int]string{5: "N30"}) {
		t.Errorf("got %v for line 5 alone", few)
	}
}
