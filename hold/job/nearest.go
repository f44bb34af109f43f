package job

// nearest gives the word with the least edit distance to what was written, the first of equals, and that distance.
func nearest(written string, words []string) (string, int) {
	best, least := "", int(^uint(0)>>1)
	for _, w := range words {
		if d := editDistance(written, w); d < least {
			best, least = w, d
		}
	}
	return best, least
}

// closeEnough is the distance up to which a slip of the pen is the likeliest reason for an unknown word.
func closeEnough(word string) int { return 1 + len(word)/4 }

// maxCompared bounds the work on a long key; beyond it only the beginning counts.
const maxCompared = 64

// editDistance is the least number of letters to insert, drop, replace, or swap with their neighbour (Damerau's
// distance with the restriction that no part is edited twice), in bytes.
func editDistance(a, b string) int {
	if len(a) > maxCompared {
		a = a[:maxCompared]
	}
	if len(b) > maxCompared {
		b = b[:maxCompared]
	}
	before, above, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range above {
		above[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(above[j]+1, row[j-1]+1, above[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(b)]
}
