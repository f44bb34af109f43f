package parse

import "slices"

// WithLinesMoved reads the program again with ranges of lines (both ends included) moved, in their order, before
// another line. Every move, tool call and stop keeps the number that its line has in this program. It is nil while the
// text is let go of.
func (p *Program) WithLinesMoved(ranges [][2]int, before int) *Program {
	if p.src == nil {
		return nil
	}
	var ahead, moved, behind movedText
	for c := (cursor{src: p.src}); ; {
		line, ok := c.next()
		if !ok {
			break
		}
		to := &behind
		switch {
		case slices.ContainsFunc(ranges, func(r [2]int) bool { return r[0] <= c.line && c.line <= r[1] }):
			to = &moved
		case c.line < before:
			to = &ahead
		}
		to.text = append(append(to.text, line...), '\n')
		to.lines = append(to.lines, c.line)
	}
	q := p.WithText(slices.Concat(ahead.text, moved.text, behind.text))
	old := slices.Concat([]int{0}, ahead.lines, moved.lines, behind.lines)
	list := make([]Edited, 0, q.Moves.Len())
	for i, m := range q.Moves.All() {
		m.Line = int32(old[m.Line])
		list = append(list, Edited{Move: m, From: i})
	}
	q = q.Edit(list)
	for i := range q.ToolCalls {
		q.ToolCalls[i].Line = old[q.ToolCalls[i].Line]
	}
	for i := range q.Stops {
		q.Stops[i].Line = old[q.Stops[i].Line]
	}
	for i := range q.Coolant {
		q.Coolant[i].Line = old[q.Coolant[i].Line]
	}
	return q
}

// movedText is a part of a program with the numbers that its lines had.
type movedText struct {
	text  []byte
	lines []int
}
