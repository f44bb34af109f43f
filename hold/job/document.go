package job

import (
	"bytes"
	"errors"
	"fmt"
	"sort"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"staydown/parse"
)

// form is what a value of a TOML document is.
type form uint8

const (
	table form = iota
	list
	text
	whole
	decimal
	boolean
	date
)

func (f form) String() string {
	return [...]string{"a table", "a list", "a text", "a number", "a number", "true or false", "a date"}[f]
}

// node is a value of a TOML document with its place. go-toml decodes into Go values without places; this tree keeps
// them.
type node struct {
	form   form
	at     parse.Pos
	text   string  // of a text; the source of numbers, booleans and dates
	items  []*node // of a list
	keys   []entry // of a table, in the order of the file
	index  map[string]int
	unused bool // FILL: already reported

	partial bool // a table of single values given beside the files: only they are laid over, whatever it is part of
}

// entry is a key of a table with its value.
type entry struct {
	name  string
	at    parse.Pos
	value *node
}

func (n *node) get(name string) (entry, bool) {
	if n == nil {
		return entry{}, false
	}
	i, ok := n.index[name]
	if !ok {
		return entry{}, false
	}
	return n.keys[i], true
}

func (b *builder) put(n *node, e entry) {
	if len(n.keys) > maxKeys {
		b.full = n
		return
	}
	n.set(e)
}

// document builds the tree of a TOML file. A file that is no TOML gives the first problem found.
func document(name string, data []byte) (*node, *Problem) {
	if len(data) > maxFileBytes {
		return nil, &Problem{parse.Pos{File: name}, "", fmt.Sprintf("the job file has %d bytes, more than the %d "+
			"allowed", len(data), maxFileBytes), "give long outlines with fewer corners"}
	}
	// the byte order mark that some editors write; columns count without it
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	b := builder{file: name, data: data, starts: lineStarts(data), root: &node{form: table, at: parse.Pos{File: name,
		Line: 1, Col: 1}}}
	b.here = b.root
	b.parser.Reset(data)
	for b.parser.NextExpression() {
		if p := b.expression(b.parser.Expression()); p != nil {
			return nil, p
		}
	}
	if err := b.parser.Error(); err != nil {
		var bad *unstable.ParserError
		pos := parse.Pos{File: name}
		if errors.As(err, &bad) {
			pos = b.at(offsetOf(data, bad.Highlight))
			return nil, invalid(pos, bad.Message)
		}
		return nil, invalid(pos, "the text cannot be read")
	}
	// The syntax tree above does not know that a key or table was given twice; decoding does.
	var any map[string]any
	if err := toml.Unmarshal(data, &any); err != nil {
		var bad *toml.DecodeError
		if errors.As(err, &bad) {
			line, col := bad.Position()
			return nil, invalid(parse.Pos{File: name, Line: line, Col: col}, trimPrefix(bad.Error()))
		}
		return nil, invalid(parse.Pos{File: name}, "the text cannot be read")
	}
	return b.root, nil
}

func invalid(pos parse.Pos, what string) *Problem {
	return &Problem{pos, "", "not valid TOML: " + what,
		`write lines like key = "value unit" below headers like [table]`}
}

func trimPrefix(message string) string {
	return string(bytes.TrimPrefix([]byte(message), []byte("toml: ")))
}

// offsetOf gives the place of a part within the whole; the parser promises that it is one.
func offsetOf(whole, part []byte) int {
	offset := cap(whole) - cap(part)
	if offset < 0 || offset > len(whole) {
		return 0
	}
	return offset
}

func lineStarts(data []byte) []int {
	starts := []int{0}
	for i, c := range data {
		if c == '\n' {
			starts = append(starts, i+1)
		}
	}
	return starts
}

// builder turns the parser's expressions into the tree.
type builder struct {
	file   string
	data   []byte
	starts []int // offset of each line
	parser unstable.Parser
	root   *node
	here   *node // table that key-values go into
	count  int
	full   *node // a table with more keys than maxKeys; nil while there is none
}

func (b *builder) at(offset int) parse.Pos {
	line := sort.SearchInts(b.starts, offset+1)
	return parse.Pos{File: b.file, Line: line, Col: offset - b.starts[line-1] + 1}
}

type step struct {
	name string
	at   parse.Pos
	end  int // offset behind it
}

func (b *builder) path(it unstable.Iterator) []step {
	var path []step
	for it.Next() {
		k := it.Node()
		path = append(path, step{string(k.Data), b.at(int(k.Raw.Offset)), int(k.Raw.Offset + k.Raw.Length)})
	}
	return path
}

func (b *builder) expression(n *unstable.Node) *Problem {
	switch n.Kind {
	case unstable.KeyValue:
		return b.keyValue(b.here, n, 1)
	case unstable.Table, unstable.ArrayTable:
		path := b.path(n.Key())
		if len(path) > maxNesting {
			return b.tooDeep(path[0].at)
		}
		on := b.root
		for _, s := range path[:len(path)-1] {
			on = b.into(on, s)
		}
		last := path[len(path)-1]
		if n.Kind == unstable.Table {
			b.here = b.into(on, last)
			b.here.at = path[0].at
			return b.counted(last.at)
		}
		fresh := &node{form: table, at: path[0].at}
		e, ok := on.get(last.name)
		if !ok || e.value.form != list {
			e = entry{last.name, last.at, &node{form: list, at: last.at}}
			b.put(on, e)
		}
		e.value.items = append(e.value.items, fresh)
		b.here = fresh
		return b.counted(last.at)
	}
	return nil
}

// into gives the table that a step of a dotted key leads to, making it where needed. A step that leads to something
// else is replaced here and reported by the decoder.
func (b *builder) into(on *node, s step) *node {
	if e, ok := on.get(s.name); ok {
		switch {
		case e.value.form == table:
			return e.value
		case e.value.form == list && len(e.value.items) > 0 && e.value.items[len(e.value.items)-1].form == table:
			return e.value.items[len(e.value.items)-1]
		}
	}
	fresh := &node{form: table, at: s.at}
	b.put(on, entry{s.name, s.at, fresh})
	return fresh
}

func (b *builder) keyValue(on *node, n *unstable.Node, depth int) *Problem {
	path := b.path(n.Key())
	if depth+len(path) > maxNesting {
		return b.tooDeep(path[0].at)
	}
	for _, s := range path[:len(path)-1] {
		on = b.into(on, s)
	}
	last := path[len(path)-1]
	v, p := b.value(n.Value(), b.at(b.valueStart(last.end)), depth+len(path), false)
	if p != nil {
		return p
	}
	b.put(on, entry{last.name, last.at, v})
	return b.counted(last.at)
}

// valueStart finds the value behind the equals sign that follows a key; lists have no place of their own in the tree.
func (b *builder) valueStart(offset int) int {
	for offset < len(b.data) && (b.data[offset] == ' ' || b.data[offset] == '\t' || b.data[offset] == '=') {
		offset++
	}
	return offset
}

// bracketBefore gives the place of the bracket that opens a list, from that of its first item; or the latter where a
// comment stands between.
func (b *builder) bracketBefore(item parse.Pos) parse.Pos {
	for o := b.starts[item.Line-1] + item.Col - 2; o >= 0; o-- {
		switch b.data[o] {
		case '[':
			return b.at(o)
		case ' ', '\t', '\n', '\r':
		default:
			return item
		}
	}
	return item
}

// value turns a value into a node. At is its place if the parser does not tell, as with lists: those within lists then
// find their own.
func (b *builder) value(n *unstable.Node, at parse.Pos, depth int, nested bool) (*node, *Problem) {
	if depth > maxNesting {
		return nil, b.tooDeep(at)
	}
	if n.Raw.Length > 0 {
		at = b.at(int(n.Raw.Offset))
	}
	v := &node{at: at, text: string(n.Data)}
	switch n.Kind {
	case unstable.String:
		v.form = text
	case unstable.Bool:
		v.form = boolean
	case unstable.Integer:
		v.form = whole
	case unstable.Float:
		v.form = decimal
	case unstable.Array:
		v.form = list
		it := n.Children()
		for it.Next() {
			item, p := b.value(it.Node(), at, depth+1, true)
			if p != nil {
				return nil, p
			}
			v.items = append(v.items, item)
			if p := b.counted(item.at); p != nil {
				return nil, p
			}
		}
		if nested && len(v.items) > 0 {
			v.at = b.bracketBefore(v.items[0].at)
		}
	case unstable.InlineTable:
		v.form = table
		it := n.Children()
		for it.Next() {
			if p := b.keyValue(v, it.Node(), depth+1); p != nil {
				return nil, p
			}
		}
	default:
		v.form = date
	}
	return v, nil
}

func (b *builder) counted(at parse.Pos) *Problem {
	b.count++
	if b.full != nil {
		return &Problem{at, "", fmt.Sprintf("a table holds more than %d keys", maxKeys), "no table of a job file " +
			"needs more than a few"}
	}
	if b.count > maxValues {
		return &Problem{at, "", fmt.Sprintf("the job file holds more than %d values", maxValues),
			"give long outlines with fewer corners"}
	}
	return nil
}

func (b *builder) tooDeep(at parse.Pos) *Problem {
	return &Problem{at, "", fmt.Sprintf("keys and values are nested more than %d deep", maxNesting),
		"no key of a job file needs more than a few levels"}
}
