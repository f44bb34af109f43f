package parse

import "bytes"

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
