package parse

import (
	"bytes"
	"errors"
	"fmt"
)

// IsText tells in one sentence why src cannot be an RS-274 program at all: it is empty, binary, or a conversational
// program. nil means that it may be one.
func IsText(src []byte) error {
	t := bytes.TrimPrefix(src, byteOrderMark)
	if len(bytes.TrimSpace(t)) == 0 {
		return errors.New("the file is empty; post the program again")
	}
	if bytes.HasPrefix(t, []byte{0xFF, 0xFE}) || bytes.HasPrefix(t, []byte{0xFE, 0xFF}) {
		return errors.New("the file is UTF-16 text; save it as plain ASCII or UTF-8")
	}
	head := t[:min(len(t), 64<<10)]
	control := 0
	for _, c := range head {
		if c == 0 {
			return errors.New("the file is binary, not the text of an RS-274 program; post it as text")
		}
		if c < 0x20 && c != '\n' && c != '\r' && c != '\t' {
			control++
		}
	}
	if control > len(head)/20 {
		return errors.New("the file is binary, not the text of an RS-274 program; post it as text")
	}
	blocks, other := 0, 0
	for c := (cursor{src: head}); blocks+other < 200; {
		line, ok := c.next()
		if !ok {
			break
		}
		line = trimBlank(line)
		switch {
		case len(line) == 0 || bytes.IndexByte([]byte("(;%/"), line[0]) >= 0:
		case looksLikeBlock(line):
			blocks++
		default:
			other++
		}
	}
	if other >= 3 && other > blocks {
		return fmt.Errorf("the file is a conversational program or other text, not RS-274: %d of its first %d lines "+
			"do not begin with an RS-274 word; post it as RS-274", other, other+blocks)
	}
	return nil
}

// looksLikeBlock tells whether a line without leading blanks begins with an RS-274 word: a letter followed by a
// number, parameter or bracket, or a parameter setting, or whether it is flow control.
func looksLikeBlock(line []byte) bool {
	if line[0] == '#' || line[0] == ':' {
		return true
	}
	if upper(line[0]) == 0 {
		return false
	}
	rest := trimBlank(line[1:])
	if len(rest) > 0 && (isDigit(rest[0]) || bytes.IndexByte([]byte("+-.#[<"), rest[0]) >= 0) {
		return true
	}
	_, flow := statementOf(line)
	s := scanner{line: line}
	s.i = s.width("IF")
	return flow || s.i > 0 && s.peek() == '['
}
