package parse

import "bytes"

// keepModes takes from a block whose motion cannot be read what holds beyond it and is plain: feed, speed, tool, and
// the codes that stay in force, M2 and M30 among them. What is lost with the block is its motion; without its F, S or
// G1 all later loads would be those of other feeds and speeds. Two codes of one group, or a letter twice, are not
// plain, and neither is taken; the letters of a macro call (G65 to G67) are its arguments.
func (it *interp) keepModes(words []word) {
	kept := make([]word, 0, len(words))
	letters, groups := map[byte]int{}, map[group]map[float64]bool{}
	for _, w := range words {
		if w.letter == 'G' && w.value >= 65 && w.value < 68 {
			return
		}
		if g, ok := lastingGroup(w); ok {
			if groups[g] == nil {
				groups[g] = map[float64]bool{}
			}
			groups[g][w.value] = true
		}
		letters[w.letter]++
	}
	for _, w := range words {
		switch w.letter {
		case 'F', 'S', 'T', 'D', 'H':
			if letters[w.letter] > 1 {
				continue
			}
		case 'G', 'M':
			if g, ok := lastingGroup(w); !ok || len(groups[g]) > 1 {
				continue
			}
		default:
			continue
		}
		kept = append(kept, w)
	}
	b := &it.b
	if len(kept) == 0 || !b.fill(kept, it.modal.incremental, &it.say) {
		return
	}
	it.beforeMotion(b)
	if code := b.is(groupMotion); code != noCode {
		it.leaveComp()
		it.setMotion(b, code)
	}
	it.afterMotion(b)
}

// lastingGroup gives the group of a code that stays in force, or ends the program, and needs no number of the block but
// D, H and T.
func lastingGroup(w word) (g group, ok bool) {
	switch w.letter {
	case 'G':
		n, whole := closeInt(w.value * 10)
		g, _, known := groupOfG(n)
		switch g {
		case groupMotion, groupPlane, groupDistance, groupCentre, groupFeedMode,
			groupUnits, groupComp, groupLength, groupReturn:
			return g, whole && known && n >= 0 && n != g70 && n != g71
		case groupSystem:
			return g, whole && known && n != g54p1
		}
	case 'M':
		n, whole := closeInt(w.value)
		g, _, known := groupOfM(n)
		return g, whole && known && g != groupCall && g != groupMachine
	}
	return 0, false
}

// plainWords gives the words of a line that cannot be read as a whole whose number is plain: digits, no parameter, no
// expression, and outside comments. A line in which letters stand side by side is text, flow control or output, and has
// none.
func plainWords(line []byte) []word {
	var out []word
	s := scanner{line: line}
	for len(out) < maxWords {
		c := s.peek()
		at := s.i
		s.i++
		switch {
		case c == 0 || c == ';' || c == '/' && len(out) > 0:
			return out
		case c == '(' || c == '[' || c == '<':
			s.i = at + closingOf(line[at:])
		case upper(c) == 0:
		case s.i < len(line) && upper(line[s.i]) != 0:
			if !s.functionAhead() {
				return nil
			}
			for s.i < len(line) && line[s.i] != '[' {
				s.i++
			}
		default:
			s.peek()
			if v, next, ok := shortNumber(line, s.i); ok && !operatorAt(line, next) && !decimalComma(line, next) {
				out = append(out, word{letter: upper(c), value: v, col: int32(at + 1)})
				s.i = next
			}
		}
	}
	return out
}

// closingOf gives the length of the comment, bracket or name that a text begins with, up to its partner; all of it if
// there is none.
func closingOf(text []byte) int {
	open, closing := text[0], map[byte]byte{'(': ')', '[': ']', '<': '>'}[text[0]]
	depth := 0
	for i, c := range text {
		switch c {
		case open:
			depth++
		case closing:
			if depth--; depth == 0 {
				return i + 1
			}
		}
	}
	return len(text)
}

// operatorAt tells whether an operator follows at line[i:], so that the number before it is not the whole value.
func operatorAt(line []byte, i int) bool {
	for i < len(line) && isBlank(line[i]) {
		i++
	}
	return i < len(line) && bytes.IndexByte([]byte("+-*/[#"), line[i]) >= 0
}

// decimalComma tells whether a comma and a digit follow at line[i:].
func decimalComma(line []byte, i int) bool {
	return i+1 < len(line) && line[i] == ',' && isDigit(line[i+1])
}
