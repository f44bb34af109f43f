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
		it.behindPercent = it.behindPercent && len(t) > 1
	case !it.opened:
		if it.p.Blocks > 0 {
			it.say.lenient(lenPercentRemark, col, "a percent sign behind the first block; the line is read as a remark")
			return true
		}
		it.opened = true
	default:
		it.closed = true
		if it.say.strict {
			it.ended, it.endMet = true, true
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
