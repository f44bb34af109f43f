package words

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Visible makes text safe for one line of a terminal or a page. Tabs and line ends become blanks. Control characters,
// which could move the cursor, characters that turn the direction of writing and others that do not show (Unicode's
// classes Cc, Cf, Zl and Zp) are written as escapes, as in \x1b and \u202e, and so are bytes that are not UTF-8, as in
// \xe9.
func Visible(s string) string {
	clean := true
	for _, c := range s {
		clean = clean && c != utf8.RuneError && !hidden(c)
	}
	if clean {
		return s
	}
	var b strings.Builder
	for len(s) > 0 {
		c, n := utf8.DecodeRuneInString(s)
		switch {
		case c == utf8.RuneError && n == 1, c < utf8.RuneSelf && hidden(c) && !strings.ContainsRune("\t\n\r", c):
			fmt.Fprintf(&b, `\x%02x`, s[0])
		case c < utf8.RuneSelf && hidden(c):
			b.WriteByte(' ')
		case c > 0xffff && hidden(c):
			fmt.Fprintf(&b, `\U%08x`, c)
		case hidden(c):
			fmt.Fprintf(&b, `\u%04x`, c)
		default:
			b.WriteString(s[:n])
		}
		s = s[n:]
	}
	return b.String()
}

// VisiblePath is a path as files carry it that must be UTF-8: as it is where it is UTF-8, else made visible.
func VisiblePath(path string) string {
	if utf8.ValidString(path) {
		return path
	}
	return Visible(path)
}

func hidden(c rune) bool { return unicode.In(c, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) }
