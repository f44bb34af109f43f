package parse

import (
	"bytes"
	"fmt"
	"math"
	"strconv"

	"github.com/256dpi/gcode"
)

// word is a letter with its number and the byte column it begins in.
type word struct {
	letter byte // upper case; r and c for the words behind a comma
	value  float64
	col    int32
	bare   bool // an axis that is named without a number
}

// scanner turns the characters of a line into words.
//
// It takes out what is not plain: the block-delete slash, the line number, the program number, comments, blanks
// inside words, lower case, parameters and expressions. What is left is a plain block such as "G1 X2.5 Y-3",
// which the word reader of github.com/256dpi/gcode takes over. Words with a short number and no blank inside, nearly
// all there are, are read directly instead: the word reader took half of the time of reading a program. Both agree
// to the bit (TestShortNumbersAgree).
type scanner struct {
	say    *notes
	params *params

	// what the last line held
	words    []word
	deleted  bool   // it begins with the block-delete slash
	program  int    // number behind O or a colon, -1 if there is none
	label    int    // number behind N, -1 if there is none
	comment  []byte // the last comment, without its brackets
	settings []setting
	flow     statement // of a line of flow control; nothing behind it is a word

	plain []byte // normalised words for the word reader
	where []int  // their places in words
	line  []byte
	i     int
}

// setting is one #n=value.
type setting struct {
	p       param
	v       float64
	unknown *param // without a known value, on which v depends
	col     int
}

// scan reads one line. An error means that no part of the line may be trusted.
func (s *scanner) scan(line []byte, blockDelete bool) error {
	s.line, s.i = line, 0
	s.words, s.settings, s.plain, s.where = s.words[:0], s.settings[:0], s.plain[:0], s.where[:0]
	s.deleted, s.program, s.label, s.comment, s.flow.kind = false, -1, -1, nil, noFlow
	for {
		c := s.peek()
		if c == 0 && s.i >= len(s.line) {
			break
		}
		if l := upper(c); l != 0 {
			if err := s.letter(l); err != nil {
				return err
			}
			continue
		}
		done, err := s.mark(c, blockDelete)
		if err != nil {
			return err
		}
		if done {
			break
		}
	}
	return s.handOver()
}

// peek skips blanks and gives the character at hand, or 0 at the end.
func (s *scanner) peek() byte {
	for s.i < len(s.line) {
		if c := s.line[s.i]; !isBlank(c) {
			return c
		}
		s.i++
	}
	return 0
}

func (s *scanner) fail(at int, format string, args ...any) error {
	return &readError{col: at + 1, msg: fmt.Sprintf(format, args...)}
}

// mark reads what is not a letter. It reports whether the rest of the line has no meaning.
func (s *scanner) mark(c byte, blockDelete bool) (done bool, err error) {
	at := s.i
	switch c {
	case '(':
		n := s.commentLength(at)
		if n < 0 {
			return true, s.fail(at, "the comment is not closed; write ) on the same line")
		}
		s.comment = s.line[at+1 : at+n]
		s.i = at + n + 1
		return false, nil
	case ';':
		rest := trimBlank(s.line[at+1:])
		if len(rest) == 0 {
			s.say.lenient(lenEndOfBlockMark, at+1, "a semicolon at the end of the block; read as the end of the block")
		} else {
			s.say.lenient(lenSemicolon, at+1, "a semicolon; what follows it on the line is read as a comment")
		}
		return true, nil
	case '/':
		return s.slash(blockDelete)
	case '#':
		return false, s.set()
	case ':':
		s.i++
		return false, s.programNumber(at)
	case ',':
		return false, s.comma()
	}
	if bytes.IndexByte([]byte("+-*="), c) >= 0 && len(s.words) > 0 {
		return true, s.fail(at, "%q outside brackets; write an expression in brackets, as in X[#1+5]", c)
	}
	if c < 0x20 || c >= 0x7f {
		return true, s.fail(at, "byte 0x%02X is not allowed outside comments; take it out", c)
	}
	return true, s.fail(at, "character %q is not allowed; take it out or put it into a comment", c)
}

// commentLength gives the place of the bracket that closes a comment, from its opening one; below 0 there is none. The
// published grammar ends it at the first (NIST RS274NGC v3, 3.3.4). Where brackets inside are closed as well that
// leaves one too many, so that they are read as one comment.
func (s *scanner) commentLength(at int) int {
	text := s.line[at:]
	first := bytes.IndexByte(text, ')')
	if first < 0 || bytes.IndexByte(text[1:first], '(') < 0 {
		return first
	}
	if n := closingOf(text); text[n-1] == ')' && n-1 > first {
		s.say.lenient(lenNestedComment, at+1, "brackets inside a comment; read as one comment up to its last bracket")
		return n - 1
	}
	return first
}

// comma reads ",R" or ",C", the rounding and the chamfer of a corner; their words get the letters r and c.
func (s *scanner) comma() error {
	at := s.i
	s.i++
	l := upper(s.peek())
	if isDigit(s.peek()) {
		return s.fail(at, "a decimal comma; write the number with a point, as in X12.5")
	}
	if s.say.strict || l != 'R' && l != 'C' {
		return s.fail(at, "a word behind a comma is not understood; write the corner as moves of its own")
	}
	n := len(s.words)
	if err := s.letter(l); err != nil {
		return err
	}
	s.words[n].letter = l | 0x20
	return nil
}

// slash reads the block-delete slash and its relatives.
func (s *scanner) slash(blockDelete bool) (done bool, err error) {
	at := s.i
	s.i++
	next := s.peek()
	if len(s.words) == 0 && len(s.settings) == 0 && !s.deleted {
		switch {
		case next == '/':
			s.say.lenient(lenSlashRemark, at+1, "two slashes; the line is read as a remark")
			return true, nil
		case isDigit(next):
			s.say.lenient(lenSlashLevel, at+1, "a block-delete level; all levels are read as one switch")
			s.i++
		case s.label >= 0:
			s.say.lenient(lenSlashLevel, at+1, "a block-delete slash behind the line number; read as if it stood first")
		}
		s.deleted = true
		return false, nil
	}
	if isDigit(next) { // a level
		s.i++
		next = s.peek()
	}
	remark := true
	if upper(next) != 0 && s.i+1 < len(s.line) {
		c := s.line[s.i+1]
		remark = !isDigit(c) && !isBlank(c) && c != '.' && c != '-' && c != '+' && c != '#' && c != '['
	}
	if remark {
		s.say.lenient(lenSlashInLine, at+1, "a slash inside the line; the text behind it is read as a remark")
		return true, nil
	}
	s.say.lenient(lenSlashInLine, at+1, "a slash inside the line; the words behind it are left out when block "+
		"delete is on")
	return blockDelete, nil
}

// letter reads a word, a line number or a program number.
func (s *scanner) letter(l byte) error {
	at := s.i
	s.i++
	switch l {
	case 'N':
		return s.lineNumber(at)
	case 'O':
		return s.programNumber(at)
	}
	if len(s.words) >= maxWords {
		return s.fail(at, "more than %d words in one block; split it", maxWords)
	}
	if v, next, ok := shortNumber(s.line, s.i); ok {
		s.words = append(s.words, word{letter: l, value: v, col: int32(at + 1)})
		s.i = next
		return nil
	}
	c := s.peek()
	if isDigit(c) || c == '.' || c == '-' || c == '+' {
		start := len(s.plain)
		s.begin(l, at)
		out, next, ok := appendNumber(s.plain, s.line, s.i)
		if ok {
			s.plain, s.i = out, next
			return nil
		}
		s.plain, s.words, s.where = s.plain[:start], s.words[:len(s.words)-1], s.where[:len(s.where)-1]
		if c != '-' && c != '+' || bytes.IndexByte(out[start:], '.') >= 0 {
			return s.fail(s.i, "%c has no number after it; write one", l)
		}
	} else if c != '#' && c != '[' {
		done, err := s.keyword(at)
		if done || err != nil {
			return err
		}
		if upper(c) == 0 || !s.functionAhead() {
			if l >= 'X' && s.goesHome() && (upper(c) != 0 || s.atEnd()) {
				s.say.lenient(lenBareAxis, at+1, "%c without a number on the way home; read as from where it is", l)
				s.words = append(s.words, word{letter: l, col: int32(at + 1), bare: true})
				return nil
			}
			return s.fail(at, "%c without a number; write its number", l)
		}
	}
	e := evaluator{line: s.line, i: s.i, params: s.params, say: s.say}
	v, err := e.value()
	if err != nil {
		return err
	}
	s.i = e.i
	if isVacant(v) {
		s.say.lenient(lenVacant, at+1, "%c with a parameter that has no value; the word is left out, as on most "+
			"controls", l)
		return nil
	}
	s.begin(l, at)
	s.plain = strconv.AppendFloat(s.plain, v, 'f', -1, 64)
	return nil
}

// goesHome tells whether G28 or G30 stands before on the line.
func (s *scanner) goesHome() bool { return holds(s.words, 'G', 28) || holds(s.words, 'G', 30) }

// shortNumber reads a number of at most 15 digits without blanks at line[i:]. Its digits fit a float64 exactly, and
// so does the power of ten it is divided by, so the quotient is rounded once: it is the nearest float64.
func shortNumber(line []byte, i int) (v float64, next int, ok bool) {
	negative := false
	if i < len(line) && (line[i] == '-' || line[i] == '+') {
		negative = line[i] == '-'
		i++
	}
	n, digits, decimals, point := int64(0), 0, 0, false
	for ; i < len(line); i++ {
		c := line[i]
		if isDigit(c) {
			n = 10*n + int64(c-'0')
			if digits++; digits > 15 {
				return 0, 0, false
			}
			if point {
				decimals++
			}
			continue
		}
		if c != '.' || point {
			break
		}
		point = true
	}
	if digits == 0 {
		return 0, 0, false
	}
	// A digit or point behind blanks would still belong to the number.
	for j := i; j < len(line); j++ {
		if c := line[j]; !isBlank(c) {
			if j > i && (isDigit(c) || c == '.') {
				return 0, 0, false
			}
			break
		}
	}
	v = float64(n) / pow10[decimals]
	if negative {
		v = -v
	}
	return v, i, true
}

var pow10 = [16]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// begin starts a word of the normalised block.
func (s *scanner) begin(l byte, at int) {
	if len(s.plain) > 0 {
		s.plain = append(s.plain, ' ')
	}
	s.plain = append(s.plain, l)
	s.where = append(s.where, len(s.words))
	s.words = append(s.words, word{letter: l, col: int32(at + 1)})
}

func (s *scanner) functionAhead() bool {
	e := evaluator{line: s.line, i: s.i}
	if e.match("ATAN") > 0 || e.match("EXISTS") > 0 {
		return true
	}
	for _, f := range functions {
		if e.match(f.name) > 0 {
			return true
		}
	}
	return false
}

// keyword reads a word of flow control or output that begins at byte at. It is false when there is none.
func (s *scanner) keyword(at int) (done bool, err error) {
	behind := s.i
	s.i = at
	for _, k := range [...]string{"DPRNT", "BPRNT", "POPEN", "PCLOS"} {
		if s.width(k) > 0 {
			s.say.lenient(lenOutput, at+1, "%s prints and moves nothing; the line is left out", k)
			s.i = len(s.line)
			return true, nil
		}
	}
	if st, ok := s.macroWord(); ok {
		return true, s.setFlow(at, st)
	}
	if s.width("IF") > 0 {
		return true, s.ifWord(at)
	}
	s.i = behind
	return false, nil
}

// setFlow makes the line one of flow control.
func (s *scanner) setFlow(at int, st statement) error {
	if len(s.words) > 0 || len(s.settings) > 0 {
		return s.fail(at, "flow control behind a word; give it a line of its own")
	}
	s.say.lenient(lenFlow, at+1, "flow control (conditions, loops, calls); it is followed as in the published "+
		"extension of RS274/NGC and on most controls")
	s.flow, s.i = st, len(s.line)
	return nil
}

// ifWord reads IF [...] before what is to be done on the same line, with THEN between or not; the rest of the line has
// no meaning where the condition does not hold (common practice, no source).
func (s *scanner) ifWord(at int) error {
	if len(s.words) > 0 {
		return s.fail(at, "IF behind a word; give it a line of its own")
	}
	s.say.lenient(lenFlow, at+1, "flow control (conditions, loops, calls); it is followed as in the published "+
		"extension of RS274/NGC and on most controls")
	s.i += s.width("IF")
	if s.peek() != '[' {
		return s.fail(at, "IF without a condition in brackets; write IF [...] GOTO or IF [...] THEN")
	}
	e := evaluator{line: s.line, i: s.i, params: s.params, say: s.say}
	v, err := e.value()
	if err != nil {
		return err
	}
	if s.i = e.i; orZero(v) == 0 {
		s.i = len(s.line)
		return nil
	}
	s.i += s.width("THEN")
	return nil
}

// lineNumber reads the digits behind N.
func (s *scanner) lineNumber(at int) error {
	if len(s.words) > 0 || s.label >= 0 {
		return s.fail(at, "a line number behind a word; write it first on the line")
	}
	n, digits := s.digits()
	if digits == 0 {
		return s.fail(at, "N without an unsigned whole number; write its digits")
	}
	if s.i < len(s.line) && s.line[s.i] == '.' {
		return s.fail(s.i, "a line number with a decimal point; write a whole number")
	}
	if digits > 5 {
		s.say.lenient(lenLongN, at+1, "a line number of more than five digits; read as any other")
	}
	s.label = n
	return nil
}

// digits reads an unsigned whole number, blanks allowed inside.
func (s *scanner) digits() (n, count int) {
	for {
		c := s.peek()
		if !isDigit(c) {
			return n, count
		}
		if n < math.MaxInt32 {
			n = 10*n + int(c-'0')
		}
		count++
		s.i++
	}
}

// programNumber reads what stands behind O or a colon.
func (s *scanner) programNumber(at int) error {
	if s.line[at] != ':' {
		st, ok, err := s.oWord()
		if err != nil {
			return err
		}
		if ok {
			return s.setFlow(at, st)
		}
	}
	if len(s.words) > 0 {
		return s.fail(at, "a program number behind a word; give it a line of its own")
	}
	if c := s.peek(); !isDigit(c) {
		return s.fail(at, "O without a number; write the number of the program")
	}
	n, _ := s.digits()
	if s.line[at] == ':' && !s.atEnd() {
		s.say.lenient(lenColonNumber, at+1, "a colon with a number before words; read as a line number")
		s.label = n
		return nil
	}
	s.program = n
	if s.say.strict {
		s.say.unread(at+1, "a program number is not in the published grammar; take it out")
	}
	return nil
}

// set reads #n=value. It takes effect when the whole line has been read.
func (s *scanner) set() error {
	at := s.i
	e := evaluator{line: s.line, i: s.i, params: s.params, say: s.say}
	p, err := e.param()
	if err != nil {
		return err
	}
	if p == (param{}) {
		return s.fail(at, "#0 cannot be set; use another number")
	}
	if e.peek() != '=' {
		return s.fail(e.i, "a parameter that is neither set nor used; write = and its value")
	}
	e.i++
	e.inSetting = true
	v, err := e.setting()
	if err != nil {
		return err
	}
	s.i = e.i
	s.settings = append(s.settings, setting{p, v, e.unknown, at + 1})
	return nil
}

// handOver gives the normalised words to the word reader and checks the size of all numbers.
func (s *scanner) handOver() error {
	if len(s.where) > 0 {
		line, err := gcode.ParseLine(string(s.plain))
		if err != nil || len(line.Codes) != len(s.where) {
			// The words are plain, so that only their size can be at fault.
			return s.fail(int(s.words[s.where[0]].col)-1, "a number too large to be read; shorten it")
		}
		for i, c := range line.Codes {
			s.words[s.where[i]].value = c.Value
		}
	}
	for _, w := range s.words {
		if !(math.Abs(w.value) <= maxNumber) {
			return s.fail(int(w.col)-1, "%c%s is too large a number; correct it", w.letter, formatNumber(w.value))
		}
	}
	return nil
}
