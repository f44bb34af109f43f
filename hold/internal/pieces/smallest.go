package pieces

// Smallest gives the smallest of n areas that has a place in it, of equals the first; -1 where none has. Whether one has
// is only asked of areas smaller than that found so far.
func Smallest(n int, areaMM2 func(i int) float64, has func(i int) bool) int {
	best := -1
	for i := range n {
		if (best < 0 || areaMM2(i) < areaMM2(best)) && has(i) {
			best = i
		}
	}
	return best
}
