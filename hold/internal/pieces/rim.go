package pieces

import (
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// Segment is a stretch of a rim.
type Segment struct {
	Middle   orb.Point
	LengthMM float64
}

// Segments cuts a ring into n stretches of equal length and gives their middles.
func Segments(r orb.Ring, n int) []Segment {
	total := planar.Length(r)
	if total <= 0 || n < 1 || len(r) < 2 {
		return nil
	}
	out := make([]Segment, 0, n)
	share := total / float64(n)
	want, walked := share/2, 0.0
	for i := 1; i < len(r) && len(out) < n; i++ {
		a, b := r[i-1], r[i]
		d := planar.Distance(a, b)
		for d > 0 && want <= walked+d && len(out) < n {
			t := (want - walked) / d
			out = append(out, Segment{orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}, share})
			want += share
		}
		walked += d
	}
	return out
}
