package wording

import (
	"math"

	"github.com/hbollon/go-edlib"
)

// maxCompared bounds the work on a long key; beyond it only the beginning counts.
const maxCompared = 64

// Nearest returns the word with the least edit distance to what was written, the first on ties, and that distance:
// characters inserted, dropped, replaced, or swapped with their neighbor (optimal string alignment).
func Nearest(written string, words []string) (string, int) {
	best, least := "", math.MaxInt
	for _, w := range words {
		d := edlib.OSADamerauLevenshteinDistance(written[:min(len(written), maxCompared)], w)
		if d < least {
			best, least = w, d
		}
	}
	return best, least
}

// CloseEnough is the distance up to which a typing error is the most likely reason for an unknown word.
func CloseEnough(word string) int { return 1 + len(word)/4 }
