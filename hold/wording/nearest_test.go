package wording

import "testing"

// Distances of the textbook pairs (Levenshtein: kitten and sitting 3, saturday and sunday 3; one swap counts 1).
func TestEditDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"saturday", "sunday", 3}, {"folw", "flow", 1}, {"", "abc", 3}, {"abc", "", 3},
		{"same", "same", 0}} {
		if _, got := Nearest(c.a, []string{c.b}); got != c.want {
			t.Errorf("%s, %s: %d, want %d", c.a, c.b, got, c.want)
		}
		if _, got := Nearest(c.b, []string{c.a}); got != c.want {
			t.Errorf("%s, %s: %d, want %d", c.b, c.a, got, c.want)
		}
	}
}
