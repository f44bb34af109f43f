package parse

import (
	"fmt"
	"path"
)

// level is what one run of a program or subprogram has of its own.
type level struct {
	passes map[*flowLine]int // of repeat loops under way: still to come
	seen   int               // byte up to which its lines have been run, so that those before it are run again
	again  bool              // the subprogram has been run before
}

// isRepeated tells whether the line at hand has been run before.
func (it *interp) isRepeated() bool { return it.level.again || it.cur.off <= it.level.seen }

// goTo goes on at another line of the file at hand.
func (it *interp) goTo(at cursor) {
	it.level.seen = max(it.level.seen, it.cur.off)
	it.cur = at
}

// stopReading notes why a program cannot be followed any further, as the control would stop as well.
func (it *interp) stopReading(col int, format string, args ...any) {
	it.say.unread(col, format, args...)
	it.ended = true
}

// flow carries out the statement of the line at hand.
func (it *interp) flow(st *statement) {
	switch st.kind {
	case flowGoto:
		if v, ok := it.argument(st); ok {
			it.goToLabel(v)
		}
		return
	case flowCall:
		it.oCall(st)
		return
	}
	l := it.file.flow().behind[it.cur.off]
	if l == nil {
		it.stopReading(1, "more than %d lines of flow control in one file; reading stops here", maxStatements)
		return
	}
	if partner := l.lacks(); partner != "" {
		it.stopReading(1, "flow control without the %s that belongs to it; reading stops here", partner)
		return
	}
	switch st.kind {
	case flowSub:
		it.goTo(l.end.behind)
	case flowEndsub, flowReturn:
		it.oReturn(st)
	case flowElseif, flowElse:
		it.goTo(l.open.end.behind)
	case flowIf:
		if !it.holds(l) {
			it.branch(l.next)
		}
	default:
		it.loop(l)
	}
}

// lacks names the statement that is missing to carry this one out.
func (l *flowLine) lacks() string {
	ends := map[flowKind]string{flowSub: "endsub", flowIf: "endif", flowWhile: "endwhile or END", flowDo: "while",
		flowRepeat: "endrepeat"}
	opened := l.open
	if opened == nil && len(opens[l.kind]) > 0 && l.kind != flowWhile {
		return "line that begins it"
	}
	if opened == nil {
		opened = l
	}
	if opened.end == nil {
		return ends[opened.kind]
	}
	return ""
}

// branch goes on behind the first of elseif, else and endif whose condition holds.
func (it *interp) branch(l *flowLine) {
	for l.kind == flowElseif && !it.holds(l) {
		l = l.next
	}
	it.goTo(l.behind)
}

// loop carries out the statements of loops.
func (it *interp) loop(l *flowLine) {
	switch l.kind {
	case flowWhile:
		closes := l.open != nil // do ... while
		switch holds := it.holds(l); {
		case closes && holds:
			it.goTo(l.open.behind)
		case !closes && !holds:
			it.goTo(l.end.behind)
		}
	case flowEndwhile:
		it.goTo(l.open.at)
	case flowRepeat:
		v, ok := it.argument(&l.statement)
		n, whole := closeInt(v)
		if ok && !whole {
			it.say.unread(1, "repeat %s is not a whole number; its lines are left out", formatNumber(v))
		}
		if !ok || !whole || n < 1 {
			it.goTo(l.end.behind)
			return
		}
		if it.level.passes == nil {
			it.level.passes = map[*flowLine]int{}
		}
		it.level.passes[l] = n
	case flowEndrepeat:
		if it.level.passes[l.open]--; it.level.passes[l.open] > 0 {
			it.goTo(l.open.behind)
		}
	case flowBreak:
		it.goTo(l.open.end.behind)
	case flowContinue:
		it.goTo(l.open.end.at)
	}
}

// holds evaluates the condition of a statement; DO without WHILE has none and always holds. One that cannot be read
// does not hold, so that no loop goes on because of it.
func (it *interp) holds(l *flowLine) bool {
	c := l.at
	line, _ := c.next()
	if l.args >= len(line) {
		return true
	}
	here := it.say.line
	it.say.line = c.line
	v, ok := it.evaluate(line, l.args)
	it.say.line = here
	return ok && orZero(v) != 0
}

// argument evaluates the one argument of the statement at hand.
func (it *interp) argument(st *statement) (v float64, ok bool) {
	v, ok = it.evaluate(it.scan.line, st.args)
	return orZero(v), ok
}

// evaluate gives the value that stands at byte i of a line; what is wrong with it is noted.
func (it *interp) evaluate(line []byte, i int) (v float64, ok bool) {
	e := evaluator{line: line, i: i, params: &it.par, say: &it.say}
	v, err := e.value()
	if err != nil {
		it.noteError(err)
	}
	return v, err == nil
}

// goToLabel goes on at a line number of the program at hand.
func (it *interp) goToLabel(v float64) {
	n, whole := closeInt(v)
	if at, ok := it.file.label(n, it.cur.off); ok && whole {
		it.goTo(at)
		return
	}
	it.stopReading(1, "the jump to N%s finds no line of that number in its program; reading stops here",
		formatNumber(v))
}

// oCall carries out O with call and its arguments (published extension of RS274/NGC): they are #1, #2 and so on of the
// subprogram, the others of #1 to #30 are those of the caller, and all of them are as before behind the call.
func (it *interp) oCall(st *statement) {
	args := it.par.locals
	e := evaluator{line: it.scan.line, i: st.args, params: &it.par, say: &it.say}
	for n := 1; e.peek() == '['; n++ {
		v, err := e.value()
		if err != nil {
			it.noteError(err)
			return
		}
		if n > oWordLocals {
			it.say.unread(e.i, "more than %d arguments; the call is left out", oWordLocals)
			return
		}
		args.put(n, v)
	}
	s, at, ok := it.findSub(st.label)
	if !ok {
		it.say.unread(1, "subprogram O%s is not found; the call is left out, put it into the program or its folder",
			st.label)
		return
	}
	it.enterSub(1, call{from: it.file, body: at, name: "O" + st.label, locals: oWordLocals, args: args}, s)
}

// findSub looks for a subprogram of a label in the file at hand, in the main file, and among the files of the folder,
// where it stands in a file of its name.
func (it *interp) findSub(label string) (s *source, at cursor, ok bool) {
	for _, s := range [...]*source{it.file, &it.main} {
		if l := s.flow().subs[label]; l != nil {
			return s, l.behind, true
		}
	}
	if it.missingSub[label] {
		return nil, cursor{}, false
	}
	name := label
	if label[0] == '<' {
		name = label[1 : len(label)-1]
	}
	for _, form := range [...]string{"%s", "o%s", "O%s"} {
		for _, ext := range [...]string{path.Ext(it.opt.Name), ".ngc", ".nc", ""} {
			s := it.open(fmt.Sprintf(form, name) + ext)
			if s == nil {
				continue
			}
			if l := s.flow().subs[label]; l != nil {
				return s, l.behind, true
			}
			return s, cursor{src: s.src}, true
		}
	}
	if it.missingSub == nil {
		it.missingSub = map[string]bool{}
	}
	it.missingSub[label] = true
	return nil, cursor{}, false
}

// oReturn carries out endsub and return, with or without a value (published extension of RS274/NGC).
func (it *interp) oReturn(st *statement) {
	e := evaluator{line: it.scan.line, i: st.args}
	if e.peek() == '[' {
		v, _ := it.argument(st)
		it.par.put(param{name: "_value"}, v)
	}
	it.par.put(param{name: "_value_returned"}, truth(e.peek() == '['))
	if !it.returnFromCall(false) {
		it.stopReading(1, "the end of a subprogram that was not called; reading stops here")
	}
}
