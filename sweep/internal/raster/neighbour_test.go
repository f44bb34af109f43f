package raster

import "testing"

// A cell parts the later ones beside it when they do not hang together round it: going once round the eight, more than
// one stretch of later cells has one that lies beside it.
func TestPartsCountsTheGroupsRoundACell(t *testing.T) {
	for later := range 256 {
		has := func(n int) bool { return later>>(n&7)&1 != 0 }
		groups := 0
		for from := range 8 {
			if !has(from) || has(from+7) {
				continue // no stretch begins here
			}
			side := false
			for n := from; has(n); n++ {
				side = side || n%2 == 0
			}
			if side {
				groups++
			}
		}
		if SplitsRound[later] != (groups > 1) {
			t.Errorf("neighbours %08b: parted %v, %d groups", later, SplitsRound[later], groups)
		}
	}
}
