package annotate

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"iter"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse"
	"staydown/report/words"
)

// CommentStyle is the way in which a control marks comments.
type CommentStyle uint8

const (
	// ParenthesisComments are written (like this).
	ParenthesisComments CommentStyle = iota
	// SemicolonComments are written ; like this.
	SemicolonComments
)

// Options are the choices for Program. The zero value writes comments in parentheses and adds no stops.
type Options struct {
	Style CommentStyle
	// StopWhenFree puts an optional stop, M1, behind the first retract after each block that frees a piece, never with
	// the cutter in the cut. The motion stays as it is, but the machine waits there when its switch for optional stops
	// is on. The head and a comment behind each M1 say so; the head names the pieces after which the tool does not
	// retract.
	StopWhenFree bool
	// Eased tells how the program differs from one with higher feeds; nil when it does not.
	Eased *EasedFeeds
	// Before is the verdict of that one.
	Before result.Verdict
}

// annotationColumns is the width of a comment line with its marks: what the displays of older controls show, and far
// below the shortest limit of a block known from practice (80 characters; common practice, no source).
const annotationColumns = 72

// headSearchLines is how far down a leading percent sign is looked for.
const headSearchLines = 50

// Program returns the program with comment lines added: the caution at its head and, before each block with a warning
// or an error, the finding. All bytes of the program stay unchanged and in order; the comments are ASCII, on their own
// lines, with the line ends of their neighbors. If the program already is such a copy, the new comments replace the old
// ones; its optional stops stay, or are set again with StopWhenFree. It fails if r was not made from src or if src is
// not the text of a program.
func Program(src []byte, r *result.Result, o Options) ([]byte, error) {
	if err := parse.IsText(src); err != nil {
		return nil, err
	}
	if sum := sha256.Sum256(src); r.Program.SHA256 != "" && hex.EncodeToString(sum[:]) != r.Program.SHA256 {
		return nil, errors.New("the program was changed after it was analyzed; analyze it again")
	}
	lines := SplitLines(src)
	w := weaving{lines: lines, before: make(map[int][]string), stops: make(map[int]string), end: lineEnd(lines)}
	var kept int
	w.dropped, kept = earlierAnnotations(lines, o.StopWhenFree)
	for _, f := range r.Findings {
		if f.Line == 0 || f.Level == result.LevelNote {
			continue
		}
		if f.Line > len(lines) {
			return nil, fmt.Errorf("the result names line %d but the program ends at line %d; analyze it again",
				f.Line, len(lines))
		}
		text := words.Kind(f) + ": " + f.Message
		if f.Remedy != "" {
			text += ". REMEDY: " + f.Remedy
		}
		w.before[f.Line-1] = append(w.before[f.Line-1], commentLines(text, o.Style)...)
	}
	head := headLine(lines)
	var unstopped []string
	if o.StopWhenFree {
		freed := make(map[int][]int) // ids by the index of the line behind which the machine may wait
		for _, p := range r.Pieces {
			switch {
			case !p.Freed:
			case p.RetractLine > head && p.RetractLine <= len(lines):
				freed[p.RetractLine-1] = append(freed[p.RetractLine-1], p.ID)
			default:
				unstopped = append(unstopped, strconv.Itoa(p.ID))
			}
		}
		for i, ids := range freed {
			w.stops[i] = stopLine(ids, o.Style)
		}
	}
	w.before[head] = slices.Concat(headComment(r, kept+len(w.stops), unstopped, o.Style), feedComment(r, o),
		w.before[head])
	// A finding above the head's place would come before the percent sign; it follows the head instead.
	for i := range head {
		w.before[head] = append(w.before[head], w.before[i]...)
		delete(w.before, i)
	}
	return w.weave(), nil
}

// ProgramLine is a line of a program in two parts that together are its bytes.
type ProgramLine struct{ Text, end []byte }

// SplitLines cuts a program at CR LF, LF and CR, keeping every byte.
func SplitLines(src []byte) []ProgramLine { return slices.Collect(eachLine(src)) }

// eachLine gives the lines of splitLines one by one: all of them take more room than the program.
func eachLine(src []byte) iter.Seq[ProgramLine] {
	return func(yield func(ProgramLine) bool) {
		for rest := src; len(rest) > 0; {
			text, n := len(rest), len(rest)
			if i := bytes.IndexAny(rest, "\r\n"); i >= 0 {
				text, n = i, i+1
				if rest[i] == '\r' && n < len(rest) && rest[n] == '\n' {
					n++
				}
			}
			if !yield(ProgramLine{Text: rest[:text], end: rest[text:n]}) {
				return
			}
			rest = rest[n:]
		}
	}
}

// lineEnd is the first line end of the program; LF when it has none.
func lineEnd(lines []ProgramLine) []byte {
	if len(lines) > 0 && len(lines[0].end) > 0 {
		return lines[0].end
	}
	return []byte("\n")
}

// headLine is the index of the line that the head comment goes before: behind a leading percent sign, and behind a line
// that only holds the program's number, which some controls want first. A percent sign behind the first block leads
// nothing: it ends the program.
func headLine(lines []ProgramLine) int {
	at := 0
	for i := range min(len(lines), headSearchLines) {
		t := trimmed(lines, i)
		if len(t) > 0 && t[0] == '%' {
			at = i + 1
			break
		}
		if beginsBlock(t) {
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

// beginsBlock tells whether a line begins with a word: a letter and the start of a number or an expression.
func beginsBlock(t []byte) bool {
	if len(t) == 0 || (t[0]|0x20) < 'a' || (t[0]|0x20) > 'z' {
		return false
	}
	rest := bytes.TrimLeft(t[1:], " \t")
	return len(rest) > 0 && bytes.IndexByte([]byte("0123456789+-.#[<"), rest[0]) >= 0
}

func trimmed(lines []ProgramLine, i int) []byte {
	t := lines[i].Text
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

// headComment is what stands at the head of the copy; stops counts the blocks with an optional stop behind them,
// unstopped are the pieces that were to have one.
func headComment(r *result.Result, stops int, unstopped []string, style CommentStyle) []string {
	out := commentLines(headTitle+r.Program.Path+". verdict: "+r.Verdict.String()+". line numbers are those of that "+
		"program", style)
	for i, a := range r.Actions[:min(len(r.Actions), result.ShownActions)] {
		out = append(out, commentLines(fmt.Sprintf("%s %d: %s", headAction, i+1, words.Action(&a)), style)...)
	}
	if stops > 0 {
		out = append(out, commentLines(headChanged+": OPTIONAL STOP M1 ADDED AFTER "+wording.Count(stops, "block",
			"blocks"),
			style)...)
	}
	if len(unstopped) > 0 {
		out = append(out, commentLines(headUnstopped+": the tool does not retract after piece "+strings.Join(unstopped,
			", "), style)...)
	}
	return append(out, commentLines(headCaution+": "+words.Caution, style)...)
}

// feedComment names the changed feeds, those that stay and what both programs come to. A change takes one line.
func feedComment(r *result.Result, o Options) (out []string) {
	if o.Eased == nil {
		return nil
	}
	say := func(format string, a ...any) { out = append(out, commentLines(fmt.Sprintf(format, a...), o.Style)...) }
	for _, c := range o.Eased.Changes {
		switch {
		case c.Old == c.New:
			say("%s: line %d of the original: %s restored", headFeed, c.Line, c.New)
		case c.Added:
			say("%s: line %d of the original: %s in force, %s added", headFeed, c.Line, c.Old, c.New)
		default:
			say("%s: line %d of the original: %s, now %s", headFeed, c.Line, c.Old, c.New)
		}
	}
	for _, why := range o.Eased.WhyLeft() {
		say("%s %s", headFeedLeft, why)
	}
	if len(o.Eased.Changes) > 0 {
		say("%s: verdict of the original: %s, of this copy: %s", headChanged, o.Before, r.Verdict)
	}
	return out
}

// stopLine is an optional stop that says for which pieces it was added.
func stopLine(ids []int, style CommentStyle) string {
	text := fmt.Sprintf("PIECE %d IS FREE", ids[0])
	if len(ids) > 1 {
		text = fmt.Sprintf("%d PIECES ARE FREE", len(ids))
	}
	open, close := style.marks()
	return stopWord + " " + open + signature + stopTitle + text + close
}

// marks are what stands before and behind the text of a comment.
func (s CommentStyle) marks() (open, close string) {
	if s == SemicolonComments {
		return "; ", ""
	}
	return "(", ")"
}

// commentLines puts text into signed comment lines. Letters become capitals and everything that some control could take
// for more than a letter of a comment (brackets, percent signs, semicolons, number signs, bytes beyond ASCII) becomes
// harmless. A number and its unit stay on one line.
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
	}, strings.ReplaceAll(text, "%", "percent"))
	open, close := style.marks()
	width := annotationColumns - len(open) - len(continued) - len(close)
	var out []string
	put := func(s string) {
		sign := continued
		if len(out) == 0 {
			sign = signature
		}
		out = append(out, open+sign+strings.ReplaceAll(s, joint, " ")+close)
	}
	for _, l := range words.Wrap(withUnits(safe), width) {
		for len(l) > width {
			put(l[:width])
			l = l[width:]
		}
		put(l)
	}
	return out
}

// joint stands for a space at which no line is broken; it cannot occur in the text of a comment.
const joint = "\x1f"

// numberAndUnit finds numbers with a unit behind them, in capitals.
var numberAndUnit = regexp.MustCompile(
	`([0-9]) ((?:MM|MM/MIN|M/MIN|MM2|MM3|N|NM|N MM|N/MM2|M|S|MIN|KPA|MPA|KN|MBAR|BAR|M3/H|DEG|1/MIN|PERCENT|` +
		`IN|IN2|IN/MIN|FT|FT/MIN|LBF|LBF IN|INHG|PSI|CFM)(?:[^A-Z0-9/]|$))`)

// withUnits joins numbers to the units behind them.
func withUnits(text string) string { return numberAndUnit.ReplaceAllString(text, "${1}"+joint+"${2}") }

// weaving is a program with what is put between its lines, by index.
type weaving struct {
	lines   []ProgramLine
	dropped map[int]bool     // lines that are left out
	before  map[int][]string // comments before a line
	stops   map[int]string   // a line behind a line
	end     []byte           // where no neighbor has a line end
}

// weave copies the lines with the comments before them and the stops behind them.
func (w weaving) weave() []byte {
	var b bytes.Buffer
	put := func(text string, end []byte) {
		b.WriteString(text)
		b.Write(end)
	}
	for i, l := range w.lines {
		near := l.end
		if len(near) == 0 {
			near = w.end
		}
		if i == 0 && bytes.HasPrefix(l.Text, byteOrderMark) {
			b.Write(byteOrderMark)
			l.Text = l.Text[len(byteOrderMark):]
		}
		for _, c := range w.before[i] {
			put(c, near)
		}
		if w.dropped[i] {
			continue
		}
		b.Write(l.Text)
		b.Write(l.end)
		if stop := w.stops[i]; stop != "" {
			if len(l.end) == 0 {
				b.Write(near)
				put(stop, nil)
			} else {
				put(stop, near)
			}
		}
	}
	if comments := w.before[len(w.lines)]; len(comments) > 0 {
		if b.Len() > 0 && !bytes.HasSuffix(b.Bytes(), []byte("\n")) && !bytes.HasSuffix(b.Bytes(), []byte("\r")) {
			b.Write(w.end)
		}
		for _, c := range comments {
			put(c, w.end)
		}
	}
	return b.Bytes()
}

// Lines are the program lines that findings point at, by 1-based number, without their ends.
type Lines map[int]string

// FindingLines picks the lines of a program that the findings of its result begin at.
func FindingLines(r *result.Result, src []byte) Lines {
	wanted := map[int]bool{}
	for _, f := range r.Findings {
		wanted[f.Line] = true
	}
	out, line := Lines{}, 0
	for l := range eachLine(src) {
		if line++; wanted[line] {
			out[line] = strings.ToValidUTF8(string(l.Text), "\uFFFD")
		}
	}
	return out
}

// WithoutNumber is the text of a block that does not change when blocks are renumbered or spaced otherwise: capitals,
// no blanks, no N word at its head.
func WithoutNumber(text string) string {
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
