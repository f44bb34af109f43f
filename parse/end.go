package parse

import (
	"bytes"
	"fmt"
	"strings"
)

// atEnd notes how the main program ended.
//
// M2, M30 and, at the end of the main program, M99 end it; so does the closing percent sign of a file that an opening
// one begins, when no block stands behind it. A program without any of them may be the first part of a longer one.
func (it *interp) atEnd() {
	it.say.line, it.say.cause, it.say.file = max(it.cur.line, 1), max(it.cur.line, 1), it.opt.Name
	if it.watched != nil {
		return
	}
	if it.blend.pending {
		it.noBlend("a corner word that is not between two straight feed moves of the plane")
	}
	if it.p.Blocks == 0 {
		it.say.unread(0, "the file holds no blocks; post the program again")
		return
	}
	closed := it.closed && !it.behindPercent
	switch {
	case it.ended && !it.endMet: // beyond a limit, which is noted
	case it.ended:
		it.noteTail()
		if it.opened && !it.closed && it.file == &it.main {
			it.findClosing()
		}
	case closed:
	case it.opt.NoEnd && !breaksOff(it.main.src):
		it.say.lenient(lenNoEnd, 0, "neither M2 nor M30 ends the program; the end of the file is read as its end")
	case it.opened:
		it.say.cutShort("neither M2, M30 nor a closing percent sign ends the program%s", brokenLine(it.main.src))
	default:
		it.say.cutShort("neither M2 nor M30 ends the program%s", brokenLine(it.main.src))
	}
}

// cutShort notes that the file at hand may be the first part of a longer one.
func (n *notes) cutShort(format string, args ...any) {
	n.add(CutShort, n.line, 0, format+
		"; the file may have been cut short: post it again, or write [machine] end = \"none\" if the post "+
		"ends all programs so", args)
}

// brokenLine says so if the last line of a file breaks off.
func brokenLine(src []byte) string {
	if breaksOff(src) {
		return ", and its last line breaks off without a line end"
	}
	return ""
}

// breaksOff tells whether a file ends inside a word: X12 at the very end may be the first part of X125.
func breaksOff(src []byte) bool {
	line := src[bytes.LastIndexAny(src, "\r\n")+1:]
	for len(line) > 0 {
		open := bytes.IndexAny(line, "(;")
		if open < 0 {
			last := line[len(line)-1]
			return !isBlank(last) && last != '%'
		}
		shut := bytes.IndexByte(line[open:], ')')
		if line[open] == ';' || shut < 0 {
			return false
		}
		line = line[open+shut+1:]
	}
	return false
}

// findClosing looks for the second percent sign behind M2 or M30.
func (it *interp) findClosing() {
	for {
		line, ok := it.cur.next()
		if !ok {
			it.say.lenient(lenPercentOpen, 0,
				"the opening percent sign has no partner; M2 or M30 is the end of the program")
			return
		}
		if t := trimBlank(line); len(t) == 1 && t[0] == '%' {
			return
		}
	}
}

// tail is what stands behind the end of the main program and is never executed.
type tail struct {
	blocks   bool
	moving   []int    // lines of blocks that would move the tool
	uncalled []string // programs and subprograms that would move it and are never called
}

// noteTail notes what stands behind M2 or M30 and is never executed: blocks that would move the tool are most likely a
// part of the job that M2 or M30 cuts off.
func (it *interp) noteTail() {
	t := it.readTail()
	at := it.say.line
	defer func() { it.say.line, it.say.cause = at, at }()
	if n := len(t.moving); n > 0 {
		it.say.line, it.say.cause = t.moving[0], t.moving[0]
		noun, verb := "blocks behind the end of the program would move the tool", "they are"
		if n == 1 {
			noun, verb = "a block behind the end of the program would move the tool", "it is"
		}
		it.say.add(BehindEnd, t.moving[0], 1,
			"%s (%s); %s never executed and not checked, take the end of the program behind them or take them out",
			[]any{noun, lineList(t.moving), verb})
	} else if t.blocks {
		it.say.reading(lenAfterEnd, 0, "blocks behind the end of the program; they are never executed and not read")
	}
	if n := len(t.uncalled); n > 0 {
		it.say.reading(lenUncalled, 0,
			"%s behind the end of the program is never called%s; it is not read and not checked",
			t.uncalled[0], andOthers(n-1))
	}
}

func andOthers(n int) string {
	switch n {
	case 0:
		return ""
	case 1:
		return ", nor is another one"
	}
	return fmt.Sprintf(", nor are %d others", n)
}

// readTail looks through the main program from where it ended on, leaving out what was run behind that: subprograms,
// and lines that a jump led to.
func (it *interp) readTail() (t tail) {
	c, run := it.cur, it.level
	if len(it.calls) > 0 { // it ended inside a subprogram
		c, run = it.calls[0].back, it.calls[0].level
	}
	called, program := false, ""
	s := scanner{say: &notes{}, params: &it.par}
	for {
		off := c.off
		line, ok := c.next()
		if !ok {
			return t
		}
		st, flow := statementOf(line)
		switch n, begins := programOf(trimBlank(line)); {
		case begins:
			called, program = false, fmt.Sprintf("O%d", n)
		case flow && st.kind == flowSub:
			called, program = it.bodies[bodyKey{off: c.off}], "O"+st.label
		case flow && st.kind == flowEndsub:
			called, program = false, ""
		}
		called = called || it.bodies[bodyKey{off: off}]
		if flow || off < run.seen || s.scan(line, it.opt.BlockDelete) != nil || len(s.words) == 0 ||
			s.deleted && it.opt.BlockDelete {
			continue
		}
		switch moves := movesTool(s.words); {
		case called:
			called = !holds(s.words, 'M', 99)
		case program == "":
			t.blocks = true
			if moves {
				t.moving = append(t.moving, c.line)
			}
		case moves && (len(t.uncalled) == 0 || t.uncalled[len(t.uncalled)-1] != program):
			t.uncalled = append(t.uncalled, program)
		}
	}
}

func holds(words []word, letter byte, value float64) bool {
	for _, w := range words {
		if w.letter == letter && w.value == value {
			return true
		}
	}
	return false
}

// movesTool tells whether the words of a block would move the tool: axis words that no offset or dwell takes, or a way
// home.
func movesTool(words []word) bool {
	axis := false
	for _, w := range words {
		switch w.letter {
		case 'X', 'Y', 'Z':
			axis = true
		case 'G':
			switch w.value {
			case 28, 30:
				return true
			case 4, 10, 51, 51.1, 52, 68, 92:
				return false
			}
		}
	}
	return axis
}

// lineList writes line numbers in rising order, neighbors as one stretch; beyond a handful of stretches it only
// counts.
func lineList(lines []int) string {
	const most = 6
	var parts []string
	i := 0
	for i < len(lines) && len(parts) < most {
		k := i
		for k+1 < len(lines) && lines[k+1] <= lines[k]+1 {
			k++
		}
		if k == i {
			parts = append(parts, fmt.Sprint(lines[i]))
		} else {
			parts = append(parts, fmt.Sprintf("%d to %d", lines[i], lines[k]))
		}
		i = k + 1
	}
	if i < len(lines) {
		parts = append(parts, fmt.Sprintf("%d more", len(lines)-i))
	}
	word := "lines "
	if len(lines) == 1 {
		word = "line "
	}
	if n := len(parts) - 1; n > 0 {
		return word + strings.Join(parts[:n], ", ") + " and " + parts[n]
	}
	return word + strings.Join(parts, "")
}
