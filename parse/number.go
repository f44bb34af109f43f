package parse

// NumbersAt gives the N words of the given lines of the main program as they are written, as in "N120"; lines without
// one are left out. It is empty while the text is let go of.
func (p *Program) NumbersAt(lines []int) map[int]string {
	wanted := map[int]bool{}
	last := 0
	for _, line := range lines {
		wanted[line] = true
		last = max(last, line)
	}
	out := map[int]string{}
	for c := (cursor{src: p.src}); c.line < last; {
		text, ok := c.next()
		if !ok {
			break
		}
		if !wanted[c.line] {
			continue
		}
		if n := blockNumber(text); n != "" {
			out[c.line] = n
		}
	}
	return out
}

// blockNumber is the N word at the head of a line, without blanks; "" for none.
func blockNumber(line []byte) string {
	text := trimBlank(line)
	if len(text) > 0 && text[0] == '/' {
		text = trimBlank(text[1:])
	}
	if len(text) == 0 || upper(text[0]) != 'N' {
		return ""
	}
	digits := trimBlank(text[1:])
	n := 0
	for n < len(digits) && (isDigit(digits[n]) || digits[n] == '.') {
		n++
	}
	if n == 0 {
		return ""
	}
	return "N" + string(digits[:n])
}
