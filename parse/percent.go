package parse

import "bytes"

var byteOrderMark = []byte("\xEF\xBB\xBF")

// percent handles a line that begins with a percent sign; it reports whether the line was one.
//
// The published rule: a line of only % may open the file, a second one then ends it (NIST RS274NGC v3, 3.1).
// Posted and hand-edited programs use % as a remark anywhere (common practice, no source), so that stopping at the
// second one would drop the part.
func (it *interp) percent(line []byte) bool {
	t := trimBlank(line)
	if len(t) == 0 || t[0] != '%' {
		return false
	}
	col := bytes.IndexByte(line, '%') + 1
	switch {
	case it.sub != 0:
		if len(t) > 1 {
			it.say.lenient(lenPercentRemark, col, "a percent sign; the line is read as a remark")
		}
	case len(t) > 1 || (it.closed && !it.say.strict):
		it.say.lenient(lenPercentRemark, col, "a percent sign; the line is read as a remark and reading goes on")
	case !it.opened:
		if it.p.Blocks > 0 {
			it.say.lenient(lenPercentRemark, col, "a percent sign behind the first block; the line is read as a remark")
			return true
		}
		it.opened = true
	default:
		it.closed = true
		if it.say.strict {
			it.ended = true
		}
	}
	return true
}

// skipLeader leaves out text before the first line of only %, if none of that text is a block.
func (it *interp) skipLeader() {
	const leaderLines = 50
	c := it.cur
	leader := false
	for n := 0; n < leaderLines; n++ {
		line, ok := c.next()
		if !ok {
			return
		}
		t := trimBlank(bytes.TrimPrefix(line, byteOrderMark))
		switch {
		case len(t) == 0 || t[0] == '(' || t[0] == ';':
			continue
		case len(t) == 1 && t[0] == '%':
			if leader {
				it.say.line, it.say.cause = 1, 1
				it.say.lenient(lenLeader, 1, "text before the first percent sign; skipped up to line %d", c.line)
				it.cur = c
				it.opened = true
			}
			return
		case looksLikeBlock(t):
			return
		}
		leader = true
	}
}

// atEnd notes how the main program ended.
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
	if it.ended && it.sub == 0 {
		it.noteTail()
	}
	switch {
	case it.opened && !it.closed && !it.ended:
		it.say.lenient(lenPercentOpen, 0, "the opening percent sign has no partner; the end of the file is read as the end of the program")
	case !it.opened && !it.ended:
		it.say.lenient(lenNoEnd, 0, "neither M2 nor M30 ends the program; the end of the file is read as its end")
	case it.opened && !it.closed:
		it.findClosing()
	}
}

// noteTail says so if blocks follow M2 or M30 that are neither executed nor part of another program.
func (it *interp) noteTail() {
	const tailLines = 1000
	c := it.cur
	for n := 0; n < tailLines; n++ {
		line, ok := c.next()
		if !ok {
			return
		}
		t := trimBlank(line)
		if _, program := programOf(t); program {
			return
		}
		if len(t) > 0 && looksLikeBlock(t) {
			at := it.say.line
			defer func() { it.say.line, it.say.cause = at, at }()
			it.say.line, it.say.cause = c.line, c.line
			it.say.reading(lenAfterEnd, 1, "blocks behind the end of the program; they are never executed and not read")
			return
		}
	}
}

// findClosing looks for the second percent sign behind M2 or M30.
func (it *interp) findClosing() {
	for {
		line, ok := it.cur.next()
		if !ok {
			it.say.lenient(lenPercentOpen, 0, "the opening percent sign has no partner; the end of the file is read as the end of the program")
			return
		}
		if t := trimBlank(line); len(t) == 1 && t[0] == '%' {
			return
		}
	}
}
