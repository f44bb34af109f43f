package words

import "testing"

// The classes are those of Unicode's character database: U+202E and U+2066 to U+2069 turn the direction of writing,
// U+200F and U+061C are marks of direction (Unicode Standard Annex #9, table 4), U+2028 ends a line.
func TestWhatDoesNotShowIsMadeVisible(t *testing.T) {
	for text, want := range map[string]string{
		"part 3.nc":                 "part 3.nc",
		"größe ⌀6 切断.nc":            "größe ⌀6 切断.nc",
		"a\tb\r\nc":                 "a b  c",
		"\x1b[2Jx\x07\x7f":          `\x1b[2Jx\x07\x7f`,
		"a\u202ecn.txt":             `a\u202ecn.txt`,
		"\u2066\u2069\u200f\u061c":  `\u2066\u2069\u200f\u061c`,
		"a\u2028b\u0085c\u200bd":    `a\u2028b\u0085c\u200bd`,
		"tag \U000e0041":            `tag \U000e0041`,
		"caf\xe9.nc":                `caf\xe9.nc`,
		"\xed\xa0\x80 half a pair":  `\xed\xa0\x80 half a pair`,
		"a true replacement \uFFFD": "a true replacement \uFFFD",
	} {
		if got := Visible(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}
