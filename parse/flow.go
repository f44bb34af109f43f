package parse

import "strconv"

// flowKind tells what a statement does.
type flowKind uint8

const (
	noFlow flowKind = iota
	flowSub
	flowEndsub
	flowCall
	flowReturn
	flowIf
	flowElseif
	flowElse
	flowEndif
	flowWhile
	flowEndwhile
	flowDo
	flowRepeat
	flowEndrepeat
	flowBreak
	flowContinue
	flowGoto
)

// oWords are the keywords behind O and its number or name (published extension of RS274/NGC).
var oWords = [...]struct {
	name string
	kind flowKind
}{
	{"SUB", flowSub}, {"ENDSUB", flowEndsub}, {"CALL", flowCall}, {"RETURN", flowReturn},
	{"IF", flowIf}, {"ELSEIF", flowElseif}, {"ELSE", flowElse}, {"ENDIF", flowEndif},
	{"WHILE", flowWhile}, {"ENDWHILE", flowEndwhile}, {"DO", flowDo},
	{"REPEAT", flowRepeat}, {"ENDREPEAT", flowEndrepeat}, {"BREAK", flowBreak}, {"CONTINUE", flowContinue},
}

// statement is a line of flow control. Those that belong together have one label: the number or <name> behind O, the
// number behind DO and END, or none for IF, ELSE and ENDIF without O.
type statement struct {
	kind  flowKind
	label string
	args  int // byte of the line at which a condition or arguments begin
}

// oWord reads O with a number or name and a keyword, from the byte behind O on. It is false for the number of a
// program.
func (s *scanner) oWord() (st statement, ok bool, err error) {
	begin := s.i
	switch c := s.peek(); {
	case c == '<':
		if st.label, s.i = readName(s.line, s.i); st.label == "" {
			return st, false, s.fail(begin, "the name of a subprogram is not closed; write it between < and >")
		}
		st.label = "<" + st.label + ">"
	case isDigit(c):
		n, _ := s.digits()
		st.label = strconv.Itoa(n)
	case (c == '#' || c == '[') && s.params != nil:
		e := evaluator{line: s.line, i: s.i, params: s.params, say: s.say}
		v, err := e.value()
		n, whole := closeInt(v)
		if err != nil || !whole {
			return st, false, s.fail(begin, "O without a whole number; write the number or name of a subprogram")
		}
		st.label, s.i = strconv.Itoa(n), e.i
	}
	for _, w := range oWords {
		if n := s.width(w.name); n > 0 {
			st.kind, st.args = w.kind, s.i+n
		}
	}
	if st.label == "" || st.kind == noFlow {
		named := st.label != "" && st.label[0] == '<'
		s.i = begin
		if named {
			return st, false,
				s.fail(begin, "O with a name and no keyword; write sub, call, if or another one behind it")
		}
		return st, false, nil
	}
	return st, true, nil
}

// macroWord reads WHILE [...] DO, DO, END, GOTO, ELSEIF, ELSE and ENDIF, and IF [...] THEN with nothing behind it
// (common practice, no source), from their first byte on. Any other IF is no statement: what follows it on its line
// belongs to it.
func (s *scanner) macroWord() (st statement, ok bool) {
	numbered := func(kind flowKind, word string, at, args int) (statement, bool) {
		t := scanner{line: s.line, i: at + (&scanner{line: s.line, i: at}).width(word)}
		n, digits := t.digits()
		return statement{kind, "DO" + strconv.Itoa(n), args}, digits > 0
	}
	behind := func(word string) int { return s.i + s.width(word) }
	switch {
	case s.width("WHILE") > 0:
		t := scanner{line: s.line, i: behind("WHILE")}
		if t.peek() != '[' {
			return st, false
		}
		return numbered(flowWhile, "DO", t.i+closingOf(t.line[t.i:]), t.i)
	case s.width("DO") > 0:
		return numbered(flowWhile, "DO", s.i, len(s.line))
	case s.width("GOTO") > 0:
		return statement{flowGoto, "", behind("GOTO")}, true
	case s.width("ENDIF") > 0:
		return statement{flowEndif, "", behind("ENDIF")}, true
	case s.width("END") > 0:
		return numbered(flowEndwhile, "END", s.i, len(s.line))
	case s.width("ELSEIF") > 0:
		return statement{flowElseif, "", behind("ELSEIF")}, true
	case s.width("ELSE") > 0:
		return statement{flowElse, "", behind("ELSE")}, true
	case s.width("IF") > 0:
		t := scanner{line: s.line, i: behind("IF")}
		if t.peek() != '[' {
			return st, false
		}
		st = statement{flowIf, "", t.i}
		t.i += closingOf(t.line[t.i:])
		n := t.width("THEN")
		t.i += n
		return st, n > 0 && t.atEnd()
	}
	return st, false
}

// atEnd tells whether nothing but a comment is left of the line.
func (s *scanner) atEnd() bool {
	c := s.peek()
	return c == 0 || c == '(' || c == ';'
}

// width gives the bytes that a name takes where the scanner stands, blanks allowed inside, or 0.
func (s *scanner) width(name string) int {
	e := evaluator{line: s.line, i: s.i}
	return e.match(name)
}

// statementOf gives the statement that a line holds, behind a block-delete slash and a line number.
func statementOf(line []byte) (st statement, ok bool) {
	s := scanner{line: line, say: &notes{}}
	for c := s.peek(); c == '/' || upper(c) == 'N'; c = s.peek() {
		s.i++
		s.digits()
	}
	switch upper(s.peek()) {
	case 'O':
		s.i++
		st, ok, _ = s.oWord()
		return st, ok
	case 'W', 'D', 'E', 'I':
		return s.macroWord()
	}
	return st, false
}

// flowLine is a statement in its place, with the places it may jump to. Places that are not there are nil.
type flowLine struct {
	statement
	at, behind cursor
	open       *flowLine // what begins the loop, condition or subprogram that it belongs to
	next       *flowLine // the next elseif, else or endif
	end        *flowLine // what ends it
}

// flowTable is all flow control of one file.
type flowTable struct {
	behind map[int]*flowLine    // by the byte behind its line
	subs   map[string]*flowLine // the first of each label
}

// flow gives the flow control of a file. What belongs together is found once, by going through the file with a stack.
func (s *source) flow() *flowTable {
	if s.flowTable != nil {
		return s.flowTable
	}
	t := &flowTable{behind: map[int]*flowLine{}, subs: map[string]*flowLine{}}
	s.flowTable = t
	var open []*flowLine
	for c := (cursor{src: s.src}); len(t.behind) < maxStatements; {
		before := c
		line, ok := c.next()
		if !ok {
			break
		}
		st, ok := statementOf(line)
		if !ok {
			continue
		}
		l := &flowLine{statement: st, at: before, behind: c}
		t.behind[c.off] = l
		if t.subs[l.label] == nil && l.kind == flowSub {
			t.subs[l.label] = l
		}
		open = l.join(open)
	}
	return t
}

// opens tells which statements a statement may close or belong to.
var opens = map[flowKind][]flowKind{
	flowEndsub: {flowSub}, flowReturn: {flowSub},
	flowElseif: {flowIf}, flowElse: {flowIf}, flowEndif: {flowIf},
	flowEndwhile: {flowWhile}, flowEndrepeat: {flowRepeat}, flowWhile: {flowDo},
	flowBreak: {flowWhile, flowDo, flowRepeat}, flowContinue: {flowWhile, flowDo, flowRepeat},
}

// join ties a statement to the open one that it belongs to and gives the statements that are open behind it.
func (l *flowLine) join(open []*flowLine) []*flowLine {
	for i := len(open) - 1; i >= 0 && l.open == nil; i-- {
		for _, kind := range opens[l.kind] {
			if o := open[i]; o.kind == kind && o.label == l.label {
				l.open = o
			}
		}
		if l.open == nil {
			continue
		}
		switch l.kind {
		case flowElseif, flowElse, flowEndif:
			last := l.open
			for last.next != nil {
				last = last.next
			}
			last.next = l
		}
		switch l.kind {
		case flowEndsub, flowEndif, flowEndwhile, flowEndrepeat, flowWhile:
			l.open.end = l
			return open[:i]
		}
	}
	switch l.kind {
	case flowSub, flowIf, flowWhile, flowDo, flowRepeat:
		return append(open, l)
	}
	return open
}
