package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"staydown/hold"
)

// CommentStyle is the way in which a control marks comments.
type CommentStyle uint8

const (
	ParenthesisComments CommentStyle = iota // (like this)
	SemicolonComments                       // ; like this
)

// AnnotateOptions are the choices for Annotate. The zero value writes comments in parentheses and adds no stops.
type AnnotateOptions struct {
	Style CommentStyle
	// StopWhenFree puts an optional stop, M1, behind each block that frees a piece. The motion stays as it is, but the
	// machine waits there when its switch for optional stops is on.
	StopWhenFree bool
}

// annotationColumns is the width of a comment line with its marks: what the displays of older controls show, and far
// below the shortest limit of a block known from practice (80 characters; common practice, no source).
const annotationColumns = 72

// headSearchLines is how far down a leading percent sign is looked for.
const headSearchLines = 50

// Annotate returns the program with comment lines added: the caution at its head and, before every block that a warning or
// an error begins at, what was found there. All bytes of the program stay as they are and in their order; the comments are
// ASCII, on lines of their own with the line ends of their neighbours. It fails if r was not made from src or if src is UTF-16.
func Annotate(src []byte, r *hold.Result, o AnnotateOptions) ([]byte, error) {
	if bytes.HasPrefix(src, []byte{0xff, 0xfe}) || bytes.HasPrefix(src, []byte{0xfe, 0xff}) {
		return nil, errors.New("the program is UTF-16 text; save it as plain ASCII or UTF-8")
	}
	if sum := sha256.Sum256(src); r.Program.SHA256 != "" && hex.EncodeToString(sum[:]) != r.Program.SHA256 {
		return nil, errors.New("the program was changed after it was analysed; analyse it again")
	}
	lines := splitLines(src)
	before := make(map[int][]string) // comments before the line with this index
	for _, f := range r.Findings {
		if f.Line == 0 || f.Level == hold.LevelNote {
			continue
		}
		if f.Line > len(lines) {
			return nil, fmt.Errorf("the result speaks of line %d but the program ends at line %d; analyse it again", f.Line, len(lines))
		}
		text := "STAYDOWN " + word(f) + ": " + f.Message
		if f.Remedy != "" {
			text += ". REMEDY: " + f.Remedy
		}
		before[f.Line-1] = append(before[f.Line-1], commentLines(text, o.Style)...)
	}
	head := headLine(lines)
	var stops []int
	if o.StopWhenFree {
		for _, p := range r.Pieces {
			if p.Freed && p.FreedLine > head && p.FreedLine <= len(lines) {
				stops = append(stops, p.FreedLine-1)
			}
		}
		slices.Sort(stops)
		stops = slices.Compact(stops)
	}
	before[head] = append(headComment(r, o.Style), before[head]...)
	// A finding above the head's place would come before the percent sign; it follows the head instead.
	for i := range head {
		before[head] = append(before[head], before[i]...)
		delete(before, i)
	}
	return weave(lines, before, stops, lineEnd(lines)), nil
}

// programLine is a line of a program in two parts that together are its bytes.
type programLine struct{ text, end []byte }

// splitLines cuts a program at CR LF, LF and CR, keeping every byte.
func splitLines(src []byte) []programLine {
	var out []programLine
	for len(src) > 0 {
		i := bytes.IndexAny(src, "\r\n")
		if i < 0 {
			return append(out, programLine{text: src})
		}
		n := i + 1
		if src[i] == '\r' && n < len(src) && src[n] == '\n' {
			n++
		}
		out = append(out, programLine{text: src[:i], end: src[i:n]})
		src = src[n:]
	}
	return out
}

// lineEnd is the first line end of the program; LF when it has none.
func lineEnd(lines []programLine) []byte {
	if len(lines) > 0 && len(lines[0].end) > 0 {
		return lines[0].end
	}
	return []byte("\n")
}

// headLine is the index of the line that the head comment goes before: behind a leading percent sign, and behind a line that only
// holds the program's number, which some controls want first.
func headLine(lines []programLine) int {
	at := 0
	for i := range min(len(lines), headSearchLines) {
		if t := trimmed(lines, i); len(t) > 0 && t[0] == '%' {
			at = i + 1
			break
		}
	}
	for i := at; i < len(lines); i++ {
		t := trimmed(lines, i)
		if len(t) == 0 {
			continue
		}
		if isProgramNumber(t) {
			return i + 1
		}
		break
	}
	return at
}

func trimmed(lines []programLine, i int) []byte {
	t := lines[i].text
	if i == 0 {
		t = bytes.TrimPrefix(t, byteOrderMark)
	}
	return bytes.Trim(t, " \t")
}

var byteOrderMark = []byte("\xef\xbb\xbf")

// isProgramNumber tells whether a line is a letter O (or a colon) with digits and at most a comment behind.
func isProgramNumber(t []byte) bool {
	if t[0] != 'O' && t[0] != 'o' && t[0] != ':' {
		return false
	}
	rest := bytes.TrimLeft(t[1:], " \t")
	digits := bytes.TrimLeft(rest, "0123456789")
	if len(digits) == len(rest) {
		return false
	}
	rest = bytes.TrimLeft(digits, " \t")
	return len(rest) == 0 || rest[0] == ';' || rest[0] == '(' && bytes.IndexByte(rest, ')') == len(rest)-1
}

func headComment(r *hold.Result, style CommentStyle) []string {
	title := "STAYDOWN annotated copy of " + r.Program.Path + ". verdict: " + r.Verdict.String()
	return append(commentLines(title, style), commentLines("CAUTION: "+Caution, style)...)
}

// commentLines puts text into comment lines. Letters become capitals and everything that some control could take for more than
// a letter of a comment (brackets, percent signs, semicolons, number signs, bytes beyond ASCII) becomes harmless.
func commentLines(text string, style CommentStyle) []string {
	safe := strings.Map(func(c rune) rune {
		switch {
		case c >= 'a' && c <= 'z':
			return c - 'a' + 'A'
		case c == '(' || c == '{':
			return '['
		case c == ')' || c == '}':
			return ']'
		case c == ';':
			return ','
		case c == '\t' || c == '\n' || c == '\r':
			return ' '
		case c < ' ' || c > '~' || strings.ContainsRune("%#*$!&@~^|\\`\"", c):
			return '?'
		}
		return c
	}, text)
	mark, close := "(", ")"
	if style == SemicolonComments {
		mark, close = "; ", ""
	}
	width := annotationColumns - len(mark) - len(close)
	var out []string
	for _, l := range wrap(safe, width) {
		for len(l) > width {
			out = append(out, mark+l[:width]+close)
			l = l[width:]
		}
		out = append(out, mark+l+close)
	}
	return out
}

// weave copies the lines with the comments before them and the stops behind them.
func weave(lines []programLine, before map[int][]string, stops []int, end []byte) []byte {
	var b bytes.Buffer
	put := func(text string, end []byte) {
		b.WriteString(text)
		b.Write(end)
	}
	for i, l := range lines {
		near := l.end
		if len(near) == 0 {
			near = end
		}
		if comments := before[i]; len(comments) > 0 {
			if i == 0 && bytes.HasPrefix(l.text, byteOrderMark) {
				b.Write(byteOrderMark)
				l.text = l.text[len(byteOrderMark):]
			}
			for _, c := range comments {
				put(c, near)
			}
		}
		b.Write(l.text)
		b.Write(l.end)
		if len(stops) > 0 && stops[0] == i {
			stops = stops[1:]
			if len(l.end) == 0 {
				b.Write(near)
				put("M1", nil)
			} else {
				put("M1", near)
			}
		}
	}
	if comments := before[len(lines)]; len(comments) > 0 {
		if n := len(lines); n > 0 && len(lines[n-1].end) == 0 {
			b.Write(end)
		}
		for _, c := range comments {
			put(c, end)
		}
	}
	return b.Bytes()
}

// Lines are the program lines that findings point at, by 1-based number, without their ends.
type Lines map[int]string

// FindingLines picks the lines of a program that the findings of its result begin at.
func FindingLines(r *hold.Result, src []byte) Lines {
	out := Lines{}
	lines := splitLines(src)
	for _, f := range r.Findings {
		if f.Line > 0 && f.Line <= len(lines) {
			out[f.Line] = strings.ToValidUTF8(string(lines[f.Line-1].text), "\uFFFD")
		}
	}
	return out
}

// withoutNumber is the text of a block that does not change when blocks are renumbered or spaced otherwise: capitals, no
// blanks, no N word at its head.
func withoutNumber(text string) string {
	s := strings.Map(func(c rune) rune {
		if c == ' ' || c == '\t' {
			return -1
		}
		return c
	}, strings.ToUpper(text))
	slash := strings.HasPrefix(s, "/")
	s = strings.TrimPrefix(s, "/")
	if strings.HasPrefix(s, "N") {
		if rest := strings.TrimLeft(s[1:], "0123456789."); len(rest) < len(s)-1 {
			s = rest
		}
	}
	return strings.Repeat("/", map[bool]int{true: 1}[slash]) + s
}

// lineLabel is "line 12" or "lines 12 to 15".
func lineLabel(first, last int) string {
	if last <= first {
		return "line " + strconv.Itoa(first)
	}
	return fmt.Sprintf("lines %d to %d", first, last)
}
