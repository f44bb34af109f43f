package picture

import (
	"cmp"
	"slices"
)

// label is a text that wants a place beside a spot on the time axis.
type label struct {
	text   string
	x      float64 // center wished for, points
	urgent float64 // lower is placed first
	width  float64
	strong bool // in bold
}

// placed is a label with its place: the center of the text and the row, counted from the row nearest to its mark.
type placed struct {
	label
	at  float64
	row int
}

// placeLabels puts labels into rows so that none overlaps another, the most urgent first, each shifted sideways only as
// far as the borders demand. Labels that find no place are counted in left.
func placeLabels(labels []label, lo, hi, gap float64, rows int) (out []placed, left int) {
	order := slices.Clone(labels)
	slices.SortStableFunc(order, func(a, b label) int {
		return cmp.Compare(a.urgent, b.urgent)
	})
	for _, l := range order {
		at := max(lo+l.width/2, min(l.x, hi-l.width/2))
		done := false
		for row := 0; row < rows && !done; row++ {
			free := true
			for _, o := range out {
				if o.row == row && at-l.width/2-gap < o.at+o.width/2 && o.at-o.width/2-gap < at+l.width/2 {
					free = false
					break
				}
			}
			if free {
				out = append(out, placed{l, at, row})
				done = true
			}
		}
		if !done {
			left++
		}
	}
	return out, left
}
