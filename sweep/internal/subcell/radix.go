package subcell

// sortByTick is a stable radix sort on the upper halves; the result lies in a or in b. Only the digits in which they
// differ cost anything.
func sortByTick(a, b []uint64) []uint64 {
	if len(a) == 0 {
		return a
	}
	lo, hi := a[0]>>32, a[0]>>32
	for _, v := range a {
		lo, hi = min(lo, v>>32), max(hi, v>>32)
	}
	const digit = 11
	base := lo << 32
	for left, shift := hi-lo, 32; left > 0; left, shift = left>>digit, shift+digit {
		var next [1 << digit]int32
		for _, v := range a {
			next[(v-base)>>shift&(1<<digit-1)]++
		}
		sum := int32(0)
		for i, n := range next {
			next[i], sum = sum, sum+n
		}
		for _, v := range a {
			d := (v - base) >> shift & (1<<digit - 1)
			b[next[d]] = v
			next[d]++
		}
		a, b = b, a
	}
	return a
}
