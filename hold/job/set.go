package job

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"staydown/hold/wording"
	"staydown/parse"
)

// SetName is the name of the layer that Set makes.
const SetName = "--set"

// setting is one value of a job that stands beside its files.
type setting struct {
	text  string   // KEY=VALUE
	path  []string // the steps of KEY
	value *node
}

// Set makes a layer of a job from single values, each KEY=VALUE, to be given to ParseLayers behind the files: it wins
// over them, key by key.
//
// KEY is spelled as in a job file, with a dot between table and key: "pump.flow". A table of a list goes by its number,
// name or system ("tool.1.flutes", "zone.A.open"), and by its place from 1 on where it has none. Names with a dot in
// them stand in quotes. VALUE is written as in a job file; texts may be without quotes: "60 m3/h", "[5 mm, 6 mm]".
//
// The error is about the text alone, or a key given twice; what job and schema do not know ParseLayers tells.
func Set(values ...string) (File, error) {
	f := File{Name: SetName, Data: []byte(strings.Join(values, "\n"))}
	for i, text := range values {
		s := setting{text: text}
		var err error
		if s.path, s.value, err = readSetting(text, parse.Pos{File: SetName, Line: i + 1}); err != nil {
			return File{}, fmt.Errorf("%q: %w", text, err)
		}
		for _, old := range f.set {
			if n := min(len(old.path), len(s.path)); slices.Equal(old.path[:n], s.path[:n]) {
				return File{}, fmt.Errorf("%q and %q give the same value; write only one of them", old.text, text)
			}
		}
		f.set = append(f.set, s)
	}
	return f, nil
}

func readSetting(text string, at parse.Pos) (path []string, value *node, err error) {
	if !utf8.ValidString(text) {
		return nil, nil, errors.New("is not UTF-8; write it so")
	}
	sides := splitOutside(text, '=')
	if len(sides) < 2 {
		return nil, nil, errors.New("has no equals sign; write KEY=VALUE, as in pump.flow=60 m3/h")
	}
	for _, step := range splitOutside(sides[0], '.') {
		name, err := plainText(step, at)
		if err != nil || name == "" {
			return nil, nil, errors.New("has an empty name in its key; write KEY=VALUE, as in pump.flow=60 m3/h")
		}
		path = append(path, name)
	}
	value, err = setValue(strings.TrimSpace(text[len(sides[0])+1:]), at, 0)
	return path, value, err
}

// Gives tells whether a layer of single values gives a value of this key.
func (f File) Gives(path ...string) bool {
	return slices.ContainsFunc(f.set, func(s setting) bool { return slices.Equal(s.path, path) })
}

// Alternatives splits what is to be tried one after another, "60 m3/h; 100 m3/h", at the semicolons that stand in no
// quotes.
func Alternatives(text string) []string {
	parts := splitOutside(text, ';')
	for i, p := range parts {
		parts[i] = strings.TrimSpace(p)
	}
	return parts
}

// splitOutside splits a text at a mark wherever it stands in neither quotes nor brackets.
func splitOutside(text string, mark byte) []string {
	var parts []string
	var quote byte
	start, depth := 0, 0
	for i := range len(text) {
		c := text[i]
		switch {
		case quote != 0:
			if c == quote && (c == '\'' || text[i-1] != '\\') {
				quote = 0
			}
		case c == '"' || c == '\'':
			quote = c
		case c == '[' || c == '{' || c == '(':
			depth++
		case c == ']' || c == '}' || c == ')':
			depth--
		case c == mark && depth <= 0:
			parts = append(parts, text[start:i])
			start = i + 1
		}
	}
	return append(parts, text[start:])
}

// plainText reads a text that need not be in quotes.
func plainText(text string, at parse.Pos) (string, error) {
	text = strings.TrimSpace(text)
	if !strings.HasPrefix(text, `"`) && !strings.HasPrefix(text, `'`) {
		return text, nil
	}
	v, err := tomlValue(text, at)
	if err != nil {
		return "", err
	}
	return v.text, nil
}

// setValue reads a value as TOML writes it, with texts in quotes or without.
func setValue(value string, at parse.Pos, depth int) (*node, error) {
	open, shut := byte(0), byte(0)
	if value != "" {
		open, shut = value[0], value[len(value)-1]
	}
	switch {
	case value == "":
		return nil, errors.New("has no value; write KEY=VALUE, as in pump.flow=60 m3/h")
	case depth > maxNesting:
		return nil, fmt.Errorf("has values nested more than %d deep", maxNesting)
	case open == '"' || open == '\'':
		return tomlValue(value, at)
	case (open == '[') != (shut == ']') || (open == '{') != (shut == '}'):
		return nil, errors.New("has brackets that do not match")
	case open == '[':
		v := &node{form: list, at: at}
		for _, item := range itemsOf(value) {
			one, err := setValue(item, at, depth+1)
			if err != nil {
				return nil, err
			}
			v.items = append(v.items, one)
		}
		return v, nil
	case open == '{':
		v := &node{form: table, at: at}
		for _, item := range itemsOf(value) {
			name := splitOutside(item, '=')[0]
			key, err := plainText(name, at)
			if err != nil {
				return nil, err
			}
			one, err := setValue(strings.TrimSpace(strings.TrimPrefix(item[len(name):], "=")), at, depth+1)
			if err != nil {
				return nil, err
			}
			v.set(entry{key, at, one})
		}
		return v, nil
	}
	v, err := tomlValue(value, at)
	if err == nil && v.text == value && (v.form == whole || v.form == decimal || v.form == boolean) {
		return v, nil
	}
	return &node{form: text, at: at, text: value}, nil
}

// itemsOf gives what stands between brackets and commas; a comma may stand behind the last.
func itemsOf(bracketed string) []string {
	items := splitOutside(bracketed[1:len(bracketed)-1], ',')
	for i, item := range items {
		items[i] = strings.TrimSpace(item)
	}
	if items[len(items)-1] == "" {
		items = items[:len(items)-1]
	}
	return items
}

// tomlValue reads a single value that stands in TOML.
func tomlValue(value string, at parse.Pos) (*node, error) {
	tree, bad := document(SetName, []byte("x = "+value))
	if bad != nil {
		return nil, errors.New("is " + bad.What)
	}
	e, ok := tree.get("x")
	if !ok || len(tree.keys) != 1 {
		return nil, errors.New("is not one value")
	}
	e.value.at = at
	return e.value, nil
}

// settings gives the tree of single values, to be laid over that of the files. What names nothing that files or schema
// know is left out and reported.
func settings(files *node, set []setting) (*node, Errors) {
	root := &node{form: table, partial: true}
	var bad Errors
	for _, s := range set {
		if p := s.fits(files); p != nil {
			bad = append(bad, *p)
			continue
		}
		on := root
		for _, name := range s.path[:len(s.path)-1] {
			e, ok := on.get(name)
			if !ok {
				e = entry{name, s.value.at, &node{form: table, at: s.value.at, partial: true}}
				on.set(e)
			}
			on = e.value
		}
		on.set(entry{s.path[len(s.path)-1], s.value.at, s.value})
	}
	return root, bad
}

// fits tells what is wrong with the key of a setting, for a job with the values of files.
func (s setting) fits(files *node) *Problem {
	say := func(what, do string) *Problem { return &Problem{s.value.at, "", what, do} }
	known, here := schema(), files
	for i := 0; i < len(s.path); i++ {
		k, ok := pick(known, s.path[i])
		if !ok {
			return say("is no key of a job file", "the nearest known one is "+s.nearest())
		}
		last := i == len(s.path)-1
		e, given := here.get(k.name)
		here, known = e.value, k.sub
		switch {
		case k.sub == nil && !k.open && !last:
			return say(strings.Join(s.path[:i+1], ".")+" holds a value, not a table", "leave out what follows it")
		case k.sub == nil && !k.open:
			return nil
		case last && (k.many || k.free || s.value.form != table):
			return s.endsAtTable(k)
		case k.many:
			i++
			at := -1
			if given && here.form == list {
				at = k.at(here, s.path[i])
			}
			switch {
			case at < 0:
				return say("the job has no "+k.name+" "+s.path[i], k.choice(here))
			case i == len(s.path)-1:
				return s.endsAtTable(k)
			}
			here = here.items[at]
		case k.free:
			i++
			if i == len(s.path)-1 {
				return s.endsAtTable(k)
			}
			e, _ := here.get(s.path[i])
			here = e.value
		case k.open:
			i++
			if i < len(s.path)-1 {
				return say(strings.Join(s.path[:i+1], ".")+" holds a value, not a table", "leave out what follows it")
			}
		}
	}
	return nil
}

// endsAtTable reports a key that ends at a table.
func (s setting) endsAtTable(k key) *Problem {
	path := strings.Join(s.path, ".")
	if k.many && s.path[len(s.path)-1] == k.name {
		path += ".1"
	}
	example := "NAME"
	if k.sub != nil {
		example = k.sub[0].name
	}
	return &Problem{s.value.at, "", "names a table, not a value",
		"write one of its keys, as in " + path + "." + example}
}

// label is the key that names a table of a list; "" for none.
func (k key) label() string {
	if k.by != "" {
		return k.by
	}
	if _, ok := pick(k.sub, "name"); ok {
		return "name"
	}
	return ""
}

// nameOf is what a table of a list goes by: its own name, else its place from 1 on.
func (k key) nameOf(list *node, i int) string {
	if e, ok := list.items[i].get(k.label()); ok {
		return e.value.text
	}
	return strconv.Itoa(i + 1)
}

// at gives the place of the table of a list that goes by a name; -1 for none.
func (k key) at(list *node, name string) int {
	for i := range list.items {
		if k.nameOf(list, i) == name {
			return i
		}
	}
	return -1
}

// choice says which tables of a list there are.
func (k key) choice(list *node) string {
	if list == nil || len(list.items) == 0 {
		return "write " + header(k) + " into the job file first"
	}
	names := make([]string, len(list.items))
	for i := range names {
		names[i] = k.nameOf(list, i)
	}
	return "write one of " + strings.Join(names, ", ")
}

// nearest gives the known key that is most like that of the setting, the first on ties: one with the same last step if
// there is any.
func (s setting) nearest() string {
	var all, alike []string
	var list func(known []key, before string, depth int)
	list = func(known []key, before string, depth int) {
		for _, k := range known {
			path, below := before+k.name, depth+1
			if k.many || k.free || k.open {
				// The user's own word stands for the name, so that it does not count as a difference.
				name := "NAME"
				if below < len(s.path) {
					name = s.path[below]
				}
				path, below = path+"."+name, below+1
			}
			if k.sub != nil {
				list(k.sub, path+".", below)
				continue
			}
			all = append(all, path)
			if k.name == s.path[len(s.path)-1] {
				alike = append(alike, path)
			}
		}
	}
	list(schema(), "", 0)
	if alike == nil {
		alike = all
	}
	best, _ := wording.Nearest(strings.Join(s.path, "."), alike)
	return best
}

// overlayNamed lays single values over the tables of a list that they name.
func overlayNamed(far, near *node, k key) *node {
	out := &node{form: list, at: far.at, items: slices.Clone(far.items)}
	for _, e := range near.keys {
		if i := k.at(far, e.name); i >= 0 {
			out.items[i] = overlay(far.items[i], e.value, key{sub: k.sub, rivals: k.rivals})
		}
	}
	return out
}

// spelledOut names the problems of a layer of single values by the words that the user wrote.
func spelledOut(all Errors, files []File) {
	for i, p := range all {
		for _, f := range files {
			if p.Pos.File == SetName && f.set != nil && p.Pos.Line > 0 {
				all[i].Pos = parse.Pos{File: SetName + " " + f.set[p.Pos.Line-1].text}
			}
		}
	}
}
