package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"staydown/hold/wording"
	"staydown/parse"
	"staydown/parse/units"
)

// Fill is the word that a drafted job file holds wherever a value must be filled in; Parse reports each of them.
const Fill = "FILL"

func isFill(s string) bool {
	s = strings.TrimSpace(s)
	return s == Fill || strings.HasPrefix(s, Fill+" ")
}

// reader gathers problems and assumptions while the tree of a job file is turned into a Job.
type reader struct {
	file     string
	problems Errors
	assumed  units.Statements
	decisive map[int]string
	doubts   []Doubt         // figures with a range, in the order in which they were read
	corners  int             // of all polygons so far
	ownWorks []string        // names of the [material.NAME] tables
	inch     bool            // the last length was in inches or feet
	meant    map[string]bool // tables whose name was misspelt; they are not missing as well
}

func (r *reader) say(at parse.Pos, key, what, do string) {
	r.problems = append(r.problems, Problem{at, key, what, do})
}

// assume notes a value that nothing gives; arguments that are a units.Figure are written in the shop's units.
func (r *reader) assume(format string, args ...any) {
	r.assumed = append(r.assumed, units.Statement{Format: format, Args: args})
}

// length writes a length of a message in the units of the lengths beside it.
func (r *reader) length(mm float64) string {
	if r.inch {
		return units.Inch.Length().Text(mm)
	}
	return units.Metric.Length().Text(mm)
}

// assumeInput notes an assumption that moves margins, with what is assumed in few words.
func (r *reader) assumeInput(what, format string, args ...any) {
	if r.decisive == nil {
		r.decisive = map[int]string{}
	}
	r.decisive[len(r.assumed)] = what
	r.assume(format, args...)
}

// section is a table being read. A section whose table is not in the file has no node; every key of it is missing.
type section struct {
	*reader
	name string
	at   parse.Pos
	node *node
}

func (r *reader) section(n *node, name string) section {
	e, ok := n.get(name)
	if !ok || e.value.form != table {
		return section{reader: r, name: name, at: parse.Pos{File: r.file, Line: 1, Col: 1}}
	}
	return section{r, name, e.value.at, e.value}
}

// inner gives a table within the section; not ok where it is missing or something else.
func (s section) inner(name string) (section, bool) {
	e, ok := s.node.get(name)
	if !ok || e.value.form != table {
		return section{}, false
	}
	return section{s.reader, name, e.value.at, e.value}, true
}

// absent tells whether a table is neither in the file nor meant by a misspelt name.
func (r *reader) absent(root *node, name string) bool {
	_, ok := root.get(name)
	return !ok && !r.meant[name]
}

// each gives the tables of a list, at most limit of them.
func (r *reader) each(n *node, name string, limit int) []section {
	e, ok := n.get(name)
	if !ok || e.value.form != list {
		return nil
	}
	var all []section
	for i, item := range e.value.items {
		if item.form != table {
			continue
		}
		if i >= limit {
			r.say(item.at, name, fmt.Sprintf("more than %d of them", limit), "leave out those that the program does "+
				"not need")
			break
		}
		all = append(all, section{r, name, item.at, item})
	}
	return all
}

func (s section) given() bool { return s.node != nil }

func (s section) has(name string) bool {
	_, ok := s.node.get(name)
	return ok
}

// text is the value of a key as it was written.
func (s section) text(name string) string {
	v, _ := s.usable(name)
	return v.text
}

// where gives the place of a key, or of the table when the key is not there.
func (s section) where(name string) parse.Pos {
	if e, ok := s.node.get(name); ok {
		return e.value.at
	}
	return s.at
}

// usable gives the value of a key unless it is missing or a mark to fill in.
func (s section) usable(name string) (*node, bool) {
	e, ok := s.node.get(name)
	if !ok || e.value.unused {
		return nil, false
	}
	return e.value, true
}

// need reports a key that is not there. It tells whether it is.
func (s section) need(name, example string) bool {
	if s.has(name) {
		return true
	}
	s.say(s.at, s.name, name+" is missing", "write "+name+" = "+example)
	return false
}

// only reports those of the keys that are given although nothing would read them.
func (s section) only(because, do string, names ...string) {
	for _, name := range names {
		if e, ok := s.node.get(name); ok {
			s.say(e.at, name, because, do)
		}
	}
}

// quantity reads a value with unit. It is not ok when the key is missing, unreadable or out of range; the latter two
// have then been reported.
func (s section) quantity(name string, k kind, in span) (float64, bool) {
	v, ok := s.usable(name)
	if !ok {
		return 0, false
	}
	return s.measure(v, name, k, in)
}

func (r *reader) measure(v *node, name string, k kind, in span) (float64, bool) {
	if v.unused {
		return 0, false
	}
	switch v.form {
	case text:
	case list:
		r.noRange(v, name, k.name, strconv.Quote(k.example))
		return 0, false
	case whole, decimal:
		written := strings.ReplaceAll(v.text, "_", "")
		f, err := strconv.ParseFloat(written, 64)
		switch {
		case math.IsNaN(f) || math.IsInf(f, 0):
			r.say(v.at, name, v.text+" is not a finite number", "write e.g. "+strconv.Quote(k.example))
		case err != nil: // hexadecimal and the like
			r.say(v.at, name, v.text+" has no unit", "write e.g. "+strconv.Quote(k.example))
		default:
			r.say(v.at, name, v.text+" has no unit", "write "+strconv.Quote(written+" "+k.units[0].name))
		}
		return 0, false
	default:
		r.say(v.at, name, fmt.Sprintf("%v where %s is wanted", v.form, k.name), "write e.g. "+strconv.Quote(k.example))
		return 0, false
	}
	x, u, f := k.readIn(v.text)
	if f != nil {
		r.say(v.at, name, f.what, f.do)
		return 0, false
	}
	if k.name == length.name {
		r.inch = math.Mod(u.factor, units.InchMM) == 0
	}
	if !in.has(x) {
		f = outOfRange(strconv.Quote(v.text), in, u.write)
		r.say(v.at, name, f.what, f.do)
		return 0, false
	}
	return x, true
}

func rangeOf(in span, write func(float64) string) string {
	low := "at least " + write(in.low)
	if in.above {
		low = "more than " + write(in.low)
	}
	return low + " and at most " + write(in.high)
}

// number reads a bare number, for the few things that have no unit.
func (s section) number(name string, in span) (float64, bool) {
	v, ok := s.usable(name)
	if !ok {
		return 0, false
	}
	return s.bareNumber(v, name, in)
}

func (r *reader) bareNumber(v *node, name string, in span) (float64, bool) {
	if v.form == list {
		r.noRange(v, name, "a bare number", trimmed(max(in.low, min(2, in.high))))
		return 0, false
	}
	if v.form != whole && v.form != decimal {
		r.say(v.at, name, fmt.Sprintf("%v where a bare number is wanted", v.form),
			"write "+name+" = "+trimmed(max(in.low, min(2, in.high))))
		return 0, false
	}
	x, f := bare(v.text, in)
	if f != nil {
		r.say(v.at, name, f.what, f.do)
		return 0, false
	}
	return x, true
}

// bare reads a number without a unit; underscores between its digits are TOML's.
func bare(text string, in span) (float64, *fault) {
	if text == "" {
		return 0, &fault{"the number is missing", "write a number " + rangeOf(in, trimmed)}
	}
	x, err := strconv.ParseFloat(strings.ReplaceAll(text, "_", ""), 64)
	if err != nil {
		// Hexadecimal, octal and binary integers are TOML too, but nobody measures in them.
		return 0, &fault{text + " is not a plain decimal number", "write digits and a point"}
	}
	if !in.has(x) {
		return 0, &fault{text + " is out of range", "write a number " + rangeOf(in, trimmed)}
	}
	return x, nil
}

// count reads a whole number.
func (s section) count(name string, in span) (int, bool) {
	v, ok := s.usable(name)
	if !ok {
		return 0, false
	}
	if v.form == decimal {
		s.say(v.at, name, v.text+" is not a whole number", "write digits without a point")
		return 0, false
	}
	x, ok := s.number(name, in)
	return int(x), ok
}

func (s section) flag(name string) (value, ok bool) {
	v, ok := s.usable(name)
	if !ok {
		return false, false
	}
	if v.form != boolean {
		s.say(v.at, name, fmt.Sprintf("%v where true or false is wanted", v.form),
			"write "+name+" = true or "+name+" = false, without quotes")
		return false, false
	}
	return v.text == "true", true
}

// phrase reads a text that is not empty.
func (s section) phrase(name string) (string, bool) {
	v, ok := s.usable(name)
	if !ok {
		return "", false
	}
	if v.form != text {
		s.say(v.at, name, fmt.Sprintf("%v where a text is wanted", v.form), "write it in quotes")
		return "", false
	}
	if strings.TrimSpace(v.text) == "" {
		s.say(v.at, name, "the text is empty", "write "+name+" = \"...\" or leave the line out")
		return "", false
	}
	return v.text, true
}

// choice reads one of a few words and gives its index.
func (s section) choice(name string, words ...string) (int, bool) {
	w, ok := s.phrase(name)
	if !ok {
		return 0, false
	}
	for i, known := range words {
		if strings.EqualFold(w, known) {
			return i, true
		}
	}
	near, d := wording.Nearest(strings.ToLower(w), words)
	do := "write one of " + strings.Join(words, ", ")
	if d <= wording.CloseEnough(w) {
		do = "write " + strconv.Quote(near)
	}
	s.say(s.where(name), name, fmt.Sprintf("%q is not known here", w), do)
	return 0, false
}

// items reads a list of low to high values; high 0 is no bound.
func (s section) items(name string, low, high int, example string) ([]*node, bool) {
	v, ok := s.usable(name)
	if !ok {
		return nil, false
	}
	if v.form != list {
		s.say(v.at, name, fmt.Sprintf("%v where a list is wanted", v.form), "write "+name+" = "+example)
		return nil, false
	}
	if len(v.items) < low || high > 0 && len(v.items) > high {
		s.say(v.at, name, fmt.Sprintf("a list of %d where %s is wanted", len(v.items), howMany(low, high)),
			"write "+name+" = "+example)
		return nil, false
	}
	return v.items, true
}

func howMany(low, high int) string {
	switch {
	case low == high:
		return strconv.Itoa(low)
	case high == 0:
		return fmt.Sprintf("%d or more", low)
	}
	return fmt.Sprintf("%d to %d", low, high)
}

// lengths reads a list of exactly len(in) lengths, each with its own range.
func (s section) lengths(name, example string, in ...span) ([]float64, bool) {
	items, ok := s.items(name, len(in), len(in), example)
	if !ok {
		return nil, false
	}
	out := make([]float64, len(in))
	for i, item := range items {
		x, good := s.measure(item, name, length, in[i])
		out[i], ok = x, ok && good
	}
	return out, ok
}
