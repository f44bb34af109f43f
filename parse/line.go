package parse

import (
	"bytes"
	"sort"
)

// cursor walks through the lines of one file. CR, LF and CR LF all end a line.
type cursor struct {
	src  []byte
	off  int // of the next line
	line int // 1-based number of the line last given
	feed int // offset of a line feed at or behind off, so that a file of lone CRs is not searched again and again
}

// next gives the next line without its end. It does not copy.
func (c *cursor) next() (line []byte, ok bool) {
	if c.off >= len(c.src) {
		return nil, false
	}
	if c.feed < c.off || c.line == 0 {
		n := bytes.IndexByte(c.src[c.off:], '\n')
		if n < 0 {
			n = len(c.src) - c.off
		}
		c.feed = c.off + n
	}
	c.line++
	line = c.src[c.off:c.feed]
	n := bytes.IndexByte(line, '\r')
	switch {
	case n < 0:
		c.off = c.feed + 1
	case n == len(line)-1:
		line = line[:n]
		c.off = c.feed + 1
	default:
		line = line[:n]
		c.off += n + 1
	}
	return line, true
}

// trimBlank cuts blanks and tabs from both ends.
func trimBlank(s []byte) []byte { return bytes.Trim(s, " \t") }

func isBlank(c byte) bool { return c == ' ' || c == '\t' }

func isDigit(c byte) bool { return c-'0' < 10 }

// upper gives the upper-case letter for an ASCII letter, or 0.
func upper(c byte) byte {
	if c |= 0x20; c-'a' < 26 {
		return c - 0x20
	}
	return 0
}

// lineLabel is a line with an N-number.
type lineLabel struct {
	n, line int32
	off     int // where it begins
}

// label gives where the line with N-number n begins: in the program that holds byte from, behind it before from the
// program's beginning on, as controls search (common practice, no source). Below 0 the first of the file is meant.
func (s *source) label(n, from int) (cursor, bool) {
	if s.labels == nil {
		s.findLabels()
	}
	s.program(-1) // finds where programs begin
	k := sort.SearchInts(s.begins, from+1)
	begin, end := 0, len(s.src)
	if k > 0 && from >= 0 {
		begin = s.begins[k-1]
	}
	if k < len(s.begins) && from >= 0 {
		end = s.begins[k]
	}
	var found *lineLabel
	for i := sort.Search(len(s.labels), func(i int) bool { return int(s.labels[i].n) >= n }); i < len(s.labels) &&
		int(s.labels[i].n) == n; i++ {
		l := &s.labels[i]
		if l.off < begin || l.off >= end {
			continue
		}
		if found == nil || found.off < from && l.off >= from {
			found = l
		}
	}
	if found == nil {
		return cursor{}, false
	}
	return cursor{src: s.src, off: found.off, line: int(found.line) - 1}, true
}

// findLabels goes through the file once and orders its line numbers, equal ones as they stand.
func (s *source) findLabels() {
	s.labels = []lineLabel{}
	for c := (cursor{src: s.src}); ; {
		off := c.off
		line, ok := c.next()
		if !ok {
			break
		}
		t := scanner{line: line}
		if t.peek() == '/' {
			t.i++
		}
		if c := t.peek(); upper(c) != 'N' && c != ':' {
			continue
		}
		t.i++
		if n, digits := t.digits(); digits > 0 {
			s.labels = append(s.labels, lineLabel{int32(n), int32(c.line), off})
		}
	}
	sort.SliceStable(s.labels, func(i, k int) bool { return s.labels[i].n < s.labels[k].n })
}
