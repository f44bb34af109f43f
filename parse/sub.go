package parse

import (
	"bytes"
	"fmt"
	"path"
	"strconv"
)

// source is one file that is read: the main program or a subprogram file.
type source struct {
	name      string
	sub       int32 // number of the subprogram file, from 1 in order of first use; 0 for the main file
	src       []byte
	programs  map[int]cursor // where each O-number begins; nil until it is asked for
	begins    []int          // bytes at which programs begin
	labels    []lineLabel    // nil until one is asked for
	flowTable *flowTable     // nil until it is asked for
}

// call is a subprogram that is being executed.
type call struct {
	key    bodyKey
	from   *source // where to go back to
	back   cursor
	body   cursor // where a pass begins
	left   int    // passes still to come
	name   string
	begun  bool   // its own O-number has been met
	locals int    // #1 to #locals belong to the call; 0: all are shared
	args   locals // what they are when a pass begins
	kept   locals // what they were before the call
	own    map[string]float64
	level  level // of the caller
}

// callWords are what a call asks for: a program by its number, or one of this file from a line number on, or a file.
type callWords struct {
	number int // -1: none
	label  int // -1: none
	file   string
	times  int
}

// call carries out M97, M98 and M99 (common practice, no source): M98 P calls a program by its O-number, with Q or H
// from a line number of it on, M98 with a comment a file, M97 P or M98 Q a part of this file by its line number; L says
// how often. M99 goes back, with P to a line number.
func (it *interp) call(b *block) {
	col := b.codeCol(groupCall)
	if b.is(groupCall) == 99 {
		it.endOfSub(b)
		return
	}
	w, ok := it.callWords(b)
	if !ok || w.times == 0 {
		return
	}
	switch {
	case w.number < 0 && w.file == "":
		at, ok := it.file.label(w.label, it.cur.off)
		if !ok {
			at, ok = it.file.label(w.label, -1)
		}
		if !ok {
			it.say.unread(col, "line number N%d is not found; the call is left out", w.label)
			return
		}
		it.enterSub(col, call{body: at, left: w.times, name: fmt.Sprintf("N%d", w.label)}, it.file)
	case w.file != "":
		s := it.open(w.file)
		if s == nil {
			it.say.unread(col,
				"the subprogram file %q is not found; the call is left out, put it into the program's folder", w.file)
			return
		}
		it.enterSub(col, call{body: cursor{src: s.src}, left: w.times, name: w.file}, s)
	default:
		it.callProgram(b, w)
	}
}

// callProgram calls a program by its O-number.
func (it *interp) callProgram(b *block, w callWords) {
	col := b.codeCol(groupCall)
	s, at, ok := it.findProgram(w.number)
	if !ok && w.number > 9999 && b.has&bit('L') == 0 {
		// The old packed form: the last four digits are the program, those before them the times.
		if s, at, ok = it.findProgram(w.number % 10000); ok {
			it.say.reading(lenPackedCall, b.at('P'), "M98 P%d; read as %d times O%d", w.number, w.number/10000,
				w.number%10000)
			w.times, w.number = w.number/10000, w.number%10000
		}
	}
	if ok && w.label >= 0 {
		if at, ok = s.label(w.label, at.off); !ok {
			it.say.unread(col, "line number N%d of O%d is not found; the call is left out", w.label, w.number)
			return
		}
	}
	switch {
	case !ok:
		it.say.unread(col, "subprogram O%d is not found; the call is left out, put it into the program or its folder",
			w.number)
	case w.times > maxRepeats:
		it.say.unread(b.at('P'), "%d calls are more than %d; the call is left out", w.times, maxRepeats)
	default:
		it.enterSub(col, call{body: at, left: w.times, name: fmt.Sprintf("O%d", w.number),
			begun: w.label >= 0}, s)
	}
}

// callWords reads P, L and the comment of a call. A faulty one is noted.
func (it *interp) callWords(b *block) (w callWords, ok bool) {
	w = callWords{number: -1, label: -1, times: 1}
	if l, given := b.take('L'); given {
		n, whole := closeInt(l)
		if !whole || n < 0 || n > maxRepeats {
			it.say.unread(b.at('L'), "L%s is not a number of calls from 0 to %d; the call is left out", formatNumber(l),
				maxRepeats)
			return w, false
		}
		w.times = n
	}
	for _, to := range [...]struct {
		letter byte
		n      *int
	}{{'P', &w.number}, {'Q', &w.label}, {'H', &w.label}} {
		v, given := b.take(to.letter)
		if !given {
			continue
		}
		n, whole := closeInt(v)
		if !whole || n < 0 {
			it.say.unread(b.at(to.letter), "%c%s is not the number of a subprogram; the call is left out", to.letter,
				formatNumber(v))
			return w, false
		}
		*to.n = n
	}
	if b.is(groupCall) == 97 && w.number >= 0 {
		w.number, w.label = -1, w.number
	}
	if w.number >= 0 || w.label >= 0 {
		return w, true
	}
	if name := string(trimBlank(it.scan.comment)); name != "" && b.is(groupCall) == 98 {
		if !plainName(name) {
			it.say.unread(b.codeCol(groupCall), "%q is not the plain name of a file in the program's folder; the "+
				"call is left out", name)
			return w, false
		}
		it.say.reading(lenCallByComment, b.codeCol(groupCall), "M98 without P; the comment is read as the name of a "+
			"subprogram file")
		w.file = name
		return w, true
	}
	it.say.unread(b.codeCol(groupCall), "M%d without P; the call is left out, write the number of the subprogram",
		b.is(groupCall))
	return w, false
}

// plainName tells whether a name stays inside the program's folder whatever the system.
func plainName(name string) bool {
	if len(name) > 128 || name[0] == '.' || name[0] == ' ' {
		return false
	}
	for i := 0; i < len(name); i++ {
		c := name[i]
		if c < 0x20 || c == 0x7f || bytes.IndexByte([]byte(`/\:*?"<>|`), c) >= 0 || c == '.' && i > 0 &&
			name[i-1] == '.' {
			return false
		}
	}
	return true
}

// bodyKey tells subprograms apart by where they begin.
type bodyKey struct {
	sub int32
	off int
}

// enterSub begins the first of c.left passes of a subprogram of a file. Calls that go too deep most likely never end,
// and no control follows them.
func (it *interp) enterSub(col int, c call, s *source) {
	if len(it.calls) >= maxSubDepth {
		it.stopReading(col, "%s calls itself, or subprograms call one another, more than %d deep; reading stops here",
			c.name, maxSubDepth)
		return
	}
	c.key = bodyKey{s.sub, c.body.off}
	c.from, c.back, c.level, c.own = it.file, it.cur, it.level, it.par.own
	c.left--
	if c.locals > 0 {
		c.kept, it.par.own = it.par.locals, nil
		it.par.locals = c.args.join(c.locals, &it.par.locals)
	}
	it.level = level{again: it.bodies[c.key]}
	if !it.level.again && len(it.bodies) < maxPrograms {
		if it.bodies == nil {
			it.bodies = make(map[bodyKey]bool)
		}
		it.bodies[c.key] = true
	}
	it.calls = append(it.calls, c)
	it.read(s, c.body)
}

// read goes on with a place in a file.
func (it *interp) read(s *source, at cursor) {
	it.file, it.cur, it.sub, it.say.file = s, at, s.sub, s.name
}

// endOfSub carries out M99.
func (it *interp) endOfSub(b *block) {
	col := b.codeCol(groupCall)
	label, given := b.take('P')
	if n := len(it.calls); n > 0 && given {
		it.calls[n-1].left = 0
	}
	switch {
	case it.returnFromCall(false):
		if given {
			it.goToLabel(label)
		}
		return
	case given:
		it.goToLabel(label)
		return
	case it.anotherProgram():
		it.say.unread(col, "M99 outside a subprogram, with another program behind it; reading stops here, put the "+
			"main program first")
	default:
		it.say.lenient(lenMainReturn, col, "M99 at the end of the main program, which makes it a loop; read once")
	}
	it.ended, it.endMet = true, true
}

// anotherProgram tells whether an O-number stands behind the current line.
func (it *interp) anotherProgram() bool {
	for c := it.cur; ; {
		line, ok := c.next()
		if !ok {
			return false
		}
		if _, ok := programOf(line); ok {
			return true
		}
	}
}

// returnFromCall begins the next pass of the innermost subprogram or goes back to where it was called from.
func (it *interp) returnFromCall(endOfFile bool) bool {
	n := len(it.calls) - 1
	if n < 0 {
		return false
	}
	c := &it.calls[n]
	if endOfFile {
		it.endsWithoutReturn(c.name)
	}
	if c.left > 0 {
		c.left--
		c.begun = false
		it.level = level{again: true}
		it.par.locals = c.args.join(c.locals, &it.par.locals)
		it.read(it.file, c.body)
		return true
	}
	if c.locals > 0 {
		it.par.locals, it.par.own = c.kept.join(c.locals, &it.par.locals), c.own
	}
	it.level = c.level
	from, back := c.from, c.back
	it.calls = it.calls[:n]
	it.read(from, back)
	return true
}

// endsWithoutReturn notes a subprogram that goes on to the end of its file.
func (it *interp) endsWithoutReturn(name string) {
	if src := it.file.src; it.opt.NoEnd && !breaksOff(src) {
		it.say.lenient(lenMissingFinal, 0, "%s ends without M99 or endsub; the end of the file is read as its end",
			name)
	} else {
		it.say.cutShort("%s ends without M99 or endsub%s", name, brokenLine(src))
	}
}

// programStart is told of every O-number that is met while blocks are executed. It reports whether the line's words
// are to be executed.
func (it *interp) programStart(n int) bool {
	if k := len(it.calls) - 1; k >= 0 {
		if !it.calls[k].begun {
			it.calls[k].begun = true
			return true
		}
		it.say.unread(1, "O%d begins before M99 of %s; read as its end", n, it.calls[k].name)
		it.returnFromCall(false)
		return false
	}
	if it.named {
		it.say.unread(1, "O%d begins before the program above has ended with M2, M30 or M99; read on, end it", n)
	}
	it.named = true
	return true
}

// programOf gives the O-number that a line begins with, behind a line number if there is one. A colon begins a program
// only where it has a line of its own.
func programOf(line []byte) (n int, ok bool) {
	s := scanner{line: line, say: &notes{}}
	c := s.peek()
	if upper(c) == 'N' {
		s.i++
		s.digits()
		c = s.peek()
	}
	if upper(c) != 'O' && c != ':' {
		return 0, false
	}
	s.i++
	if _, flow, _ := s.oWord(); flow && upper(c) == 'O' {
		return 0, false
	}
	n, digits := s.digits()
	return n, digits > 0 && (c != ':' || s.atEnd())
}

// findProgram looks for an O-number in the file at hand, in the main file, and among the files of the folder.
func (it *interp) findProgram(n int) (s *source, at cursor, ok bool) {
	for _, s := range [...]*source{it.file, &it.main} {
		if at, ok := s.program(n); ok {
			return s, at, true
		}
		if l := s.flow().subs[strconv.Itoa(n)]; l != nil {
			return s, l.behind, true
		}
	}
	if it.opt.OpenSub == nil || it.missing[n] || len(it.files) >= maxSubFiles {
		return nil, cursor{}, false
	}
	ext := path.Ext(it.opt.Name)
	for _, form := range [...]string{"O%04d", "O%d", "o%04d", "o%d", "%04d", "%d"} {
		for _, e := range [...]string{ext, ""} {
			if s := it.open(fmt.Sprintf(form, n) + e); s != nil {
				if at, ok := s.program(n); ok {
					return s, at, true
				}
				return s, cursor{src: s.src}, true
			}
		}
	}
	if it.missing == nil {
		it.missing = make(map[int]bool)
	}
	it.missing[n] = true
	return nil, cursor{}, false
}

// program gives where O-number n begins in a file.
func (s *source) program(n int) (cursor, bool) {
	if s.programs == nil {
		s.programs = make(map[int]cursor)
		for c := (cursor{src: s.src}); len(s.programs) < maxPrograms; {
			before := c
			line, ok := c.next()
			if !ok {
				break
			}
			if n, ok := programOf(line); ok {
				s.begins = append(s.begins, before.off)
				if _, twice := s.programs[n]; !twice {
					s.programs[n] = before
				}
			}
		}
	}
	c, ok := s.programs[n]
	return c, ok
}

// open gives a subprogram file, or nil. Every name is asked for once.
func (it *interp) open(name string) *source {
	if s, ok := it.files[name]; ok {
		return s
	}
	if it.opt.OpenSub == nil || !plainName(name) || len(it.files) >= maxSubFiles {
		return nil
	}
	if it.files == nil {
		it.files = make(map[string]*source)
	}
	it.files[name] = nil
	src, err := it.opt.OpenSub(name)
	if err != nil || src == nil {
		return nil
	}
	if len(src) > maxSubBytes {
		it.say.unread(0, "the subprogram file %q has more than %d bytes; it is not read", name, maxSubBytes)
		return nil
	}
	if err := IsText(src); err != nil {
		it.say.unread(0, "the subprogram file %q is not read; %v", name, err)
		return nil
	}
	it.subs++
	s := &source{name: name, sub: it.subs, src: src}
	it.files[name] = s
	return s
}
