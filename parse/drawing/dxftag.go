package drawing

import (
	"bytes"
	"math"
	"strconv"
	"strings"
)

// tag is a group of a DXF file: a code, and a value on the line behind it. line is that of the value.
type tag struct {
	code  int
	value string
	line  int
}

// tags reads groups one by one. Line ends are LF or CR LF, blanks round a line do not count.
type tags struct {
	data []byte
	line int // read so far
	next *tag
}

// text gives the next line.
func (t *tags) text() (string, bool) {
	if len(t.data) == 0 {
		return "", false
	}
	t.line++
	line, rest, _ := bytes.Cut(t.data, []byte("\n"))
	t.data = rest
	return strings.TrimSpace(string(line)), true
}

// take gives the next group; what cuts the file short is refused.
func (t *tags) take() tag {
	if n := t.next; n != nil {
		t.next = nil
		return *n
	}
	code, ok := t.text()
	n, err := strconv.Atoi(code)
	switch {
	case !ok || code == "" && len(bytes.TrimSpace(t.data)) == 0:
		fail(t.line, "the file ends without its EOF group: it may have been cut short; save the drawing again")
	case err != nil:
		fail(t.line, "%q is not a group code; the file is no ASCII DXF, or damaged", shortened(code))
	}
	value, ok := t.text()
	if !ok {
		fail(t.line, "the file ends behind a group code: it may have been cut short; save the drawing again")
	}
	return tag{n, value, t.line}
}

func (t *tags) peek() tag {
	if t.next == nil {
		n := t.take()
		t.next = &n
	}
	return *t.next
}

// shortened keeps messages on one line.
func shortened(s string) string {
	if len(s) > 40 {
		return s[:40] + "..."
	}
	return s
}

// number reads a value.
func (t tag) number() float64 {
	v, err := strconv.ParseFloat(t.value, 64)
	if err != nil || math.Abs(v) > maxNumber*1e6 || math.IsNaN(v) {
		fail(t.line, "%q is not a number; group %d takes one", shortened(t.value), t.code)
	}
	return v
}

func (t tag) whole() int {
	v, err := strconv.Atoi(t.value)
	if err != nil {
		fail(t.line, "%q is not a whole number; group %d takes one", shortened(t.value), t.code)
	}
	return v
}

// entity is what stands between two groups of code 0: its name and its groups in their order.
type entity struct {
	name string
	line int // of the name
	tags []tag
}

// entity gives the entity that the next group begins.
func (t *tags) entity() entity {
	head := t.take()
	if head.code != 0 {
		fail(head.line, "group %d stands where an entity should begin; the file is damaged", head.code)
	}
	e := entity{name: strings.ToUpper(head.value), line: head.line}
	if e.name == "EOF" {
		return e
	}
	for t.peek().code != 0 {
		n := t.take()
		// 1000 on is data of other programs, 102 sets groups of references in braces: both may reuse codes.
		if n.code == 102 && strings.HasPrefix(n.value, "{") {
			for end := t.take(); end.code != 102 || end.value != "}"; end = t.take() {
				if end.code == 0 {
					fail(end.line, "a group 102 is not closed; the file is damaged")
				}
			}
			continue
		}
		if n.code < 999 {
			e.tags = append(e.tags, n)
		}
	}
	return e
}

// find gives the first group of a code.
func (e *entity) find(code int) (tag, bool) {
	for _, t := range e.tags {
		if t.code == code {
			return t, true
		}
	}
	return tag{}, false
}

// text is the value of the first group of a code, "" without one.
func (e *entity) text(code int) string {
	t, _ := e.find(code)
	return t.value
}

// number is the value of the first group of a code, other without one.
func (e *entity) number(code int, other float64) float64 {
	if t, ok := e.find(code); ok {
		return t.number()
	}
	return other
}

// need is the value of a group that the entity cannot do without.
func (e *entity) need(code int) float64 {
	t, ok := e.find(code)
	if !ok {
		fail(e.line, "%s has no group %d; the file is damaged", e.name, code)
	}
	return t.number()
}

func (e *entity) whole(code, other int) int {
	if t, ok := e.find(code); ok {
		return t.whole()
	}
	return other
}

// numbers are the values of all groups of a code.
func (e *entity) numbers(code int) (out []float64) {
	for _, t := range e.tags {
		if t.code == code {
			out = append(out, t.number())
		}
	}
	return out
}
