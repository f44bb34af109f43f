package hold

import (
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// segment is a stretch of a rim.
type segment struct {
	middle   orb.Point
	lengthMM float64
}

// stretchesOf cuts a ring into n stretches of equal length and gives their middles.
func stretchesOf(r orb.Ring, n int) []segment {
	total := planar.Length(r)
	if total <= 0 || n < 1 || len(r) < 2 {
		return nil
	}
	out := make([]segment, 0, n)
	share := total / float64(n)
	want, walked := share/2, 0.0
	for i := 1; i < len(r) && len(out) < n; i++ {
		a, b := r[i-1], r[i]
		d := planar.Distance(a, b)
		for d > 0 && want <= walked+d && len(out) < n {
			t := (want - walked) / d
			out = append(out, segment{orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}, share})
			want += share
		}
		walked += d
	}
	return out
}
