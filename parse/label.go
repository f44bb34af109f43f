package parse

import "sort"

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
