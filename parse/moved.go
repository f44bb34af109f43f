package parse

import "slices"

// Retyped is a part of a program's text with the numbers that its lines have in the program.
type Retyped struct {
	Lines   []string
	Numbers []int
}

// WithLinesMoved reads the program again with ranges of lines (both ends included) moved, in their order, before
// another line. Every move, tool call and stop keeps the number that its line has in this program. It is nil while the
// text is let go of.
func (p *Program) WithLinesMoved(ranges [][2]int, before int) *Program {
	var ahead, moved, behind Retyped
	for number, line := range p.textLines {
		to := &behind
		switch {
		case inAny(ranges, number):
			to = &moved
		case number < before:
			to = &ahead
		}
		to.add(line, number)
	}
	return p.retyped(ahead, moved, behind)
}

// WithLinesReplaced reads the program again with ranges of lines (both ends included, in order) replaced, likewise.
func (p *Program) WithLinesReplaced(ranges [][2]int, by []Retyped) *Program {
	var all Retyped
	next := 0
	for number, line := range p.textLines {
		if next < len(ranges) && number == ranges[next][0] {
			all.Lines, all.Numbers = append(all.Lines, by[next].Lines...), append(all.Numbers, by[next].Numbers...)
			next++
		}
		if !inAny(ranges, number) {
			all.add(line, number)
		}
	}
	return p.retyped(all)
}

func inAny(ranges [][2]int, line int) bool {
	return slices.ContainsFunc(ranges, func(r [2]int) bool { return r[0] <= line && line <= r[1] })
}

func (r *Retyped) add(line []byte, number int) {
	r.Lines, r.Numbers = append(r.Lines, string(line)), append(r.Numbers, number)
}

// textLines gives the lines of the text, without their ends, with their numbers.
func (p *Program) textLines(yield func(number int, line []byte) bool) {
	for c := (cursor{src: p.src}); ; {
		line, ok := c.next()
		if !ok || !yield(c.line, line) {
			return
		}
	}
}

// retyped reads a text made of parts.
func (p *Program) retyped(parts ...Retyped) *Program {
	if p.src == nil {
		return nil
	}
	var text []byte
	old := []int{0}
	for _, part := range parts {
		for _, line := range part.Lines {
			text = append(append(text, line...), '\n')
		}
		old = append(old, part.Numbers...)
	}
	q := p.WithText(text)
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
