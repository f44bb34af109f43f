package hold

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"staydown/hold/result"
)

// outlined cuts closed outlines free, each given by its corners about a place, with the path 3 mm outside them.
func outlined(paths ...[][2]float64) string {
	var b strings.Builder
	b.WriteString("N5 G21 G90 G17 G94\nN6 T1 M6\nN7 S18000 M3\nN8 G0 Z5\n")
	for k, path := range paths {
		fmt.Fprintf(&b, "N%d0 G0 X%g Y%g\nG1 Z-6.2 F300\n", k+1, path[0][0], path[0][1])
		for _, at := range append(path[1:], path[0]) {
			fmt.Fprintf(&b, "N%d1 G1 X%g Y%g F1200\n", k+1, at[0], at[1])
		}
		b.WriteString("G0 Z5\n")
	}
	b.WriteString("M30\n")
	return b.String()
}

// ell is an L of 40 x 30 mm with arms 15 mm wide, its path 3 mm outside it; turned is the same L a quarter further,
// mirrored its mirror image.
func ell(x, y float64, form string) [][2]float64 {
	path := [][2]float64{{-3, -3}, {43, -3}, {43, 18}, {18, 18}, {18, 33}, {-3, 33}}
	for i, p := range path {
		switch form {
		case "turned":
			path[i] = [2]float64{30 - p[1], p[0]}
		case "mirrored":
			path[i] = [2]float64{40 - p[0], p[1]}
		}
		path[i][0] += x
		path[i][1] += y
	}
	return path
}

func box(x, y, w, h float64) [][2]float64 {
	return [][2]float64{{x - 3, y - 3}, {x + w + 3, y - 3}, {x + w + 3, y + h + 3}, {x - 3, y + h + 3}}
}

func TestEqualPartsAreOneShape(t *testing.T) {
	// By hand: which of the outlines cover each other when they are moved and turned by quarters.
	r := road(t, outlined(ell(20, 20, ""), ell(90, 20, "turned"), ell(160, 20, "mirrored"), box(230, 20, 40, 30),
		box(300.13, 20.27, 30, 40), box(20, 100, 40, 31.5), ell(90.4, 100.1, "")),
		aPlate().sized(400, 300).on(0.5)).Result
	var shapes []int
	for _, p := range r.Pieces {
		shapes = append(shapes, p.Shape)
	}
	if want := []int{1, 2, 2, 4, 5, 5, 7, 2}; !slices.Equal(shapes, want) {
		t.Errorf("shapes %v, want %v", shapes, want)
	}
}

func TestEqualFindingsAreOneEntry(t *testing.T) {
	r := road(t, outlined(box(20, 20, 15, 10), box(60, 20, 15, 10), box(100, 20, 10, 15), box(20, 80, 60, 50)),
		aPlate().on(1)).Result
	groups := r.Groups()
	all := 0
	for i, g := range groups {
		all += len(g.Findings)
		if i > 0 && groups[i-1].Worst.Level < g.Worst.Level {
			t.Errorf("entry %d is graver than the one before it", i+1)
		}
	}
	if all != len(r.Findings) {
		t.Errorf("%d findings in the groups, %d in the result", all, len(r.Findings))
	}
	first := groups[0]
	least := slices.MinFunc(r.Pieces[1:4], func(p, q result.Piece) int {
		if p.Least.Margin < q.Least.Margin {
			return -1
		}
		return 1
	}).Least
	if !slices.Equal(first.Pieces, []int{2, 3, 4}) || first.Worst.Margin != least.Margin ||
		first.Line() != least.Line {
		t.Fatalf("first entry: pieces %v, margin %g at line %d; want 2, 3, 4 with %g at line %d", first.Pieces,
			first.Worst.Margin, first.Line(), least.Margin, least.Line)
	}
	said := first.Message()
	for _, want := range []string{"3 parts of 10 x 15 mm (X27 Y25, X67 Y25, X105 Y27) come loose, twist: least " +
		"margin 0.00", "; lines ", "(N"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q lacks %q", said, want)
		}
	}
	for _, p := range r.Pieces[1:4] {
		if p.Alike != 3 {
			t.Errorf("piece %d: %d alike, want 3", p.ID, p.Alike)
		}
	}
}

// Every finding of a piece names size and place, and the N word of its block where it has one.
func TestFindingsNamePlaceAndNumber(t *testing.T) {
	r := road(t, outlined(box(20, 20, 15, 10)), aPlate().toml()).Result
	named := 0
	for _, f := range r.Findings {
		if f.Piece != 2 || math.IsNaN(f.Margin) {
			continue
		}
		named++
		if !strings.Contains(f.Message, "(15 x 10 mm at X27 Y25)") {
			t.Errorf("%q", f.Message)
		}
		if has := strings.HasSuffix(f.Message, "(N11)"); has != (f.Line >= 7 && f.Line <= 10) {
			t.Errorf("line %d: %q", f.Line, f.Message)
		}
	}
	if named == 0 {
		t.Error("nothing is found of piece 2")
	}
}
