package job

import "slices"

// File is the text of one job file; messages call it by Name.
type File struct {
	Name string
	Data []byte

	set []setting // of the layer that Set makes
}

// Source says which values of a job one file (or Set) gives.
type Source struct {
	File string
	Keys []string // tables that are wholly from this file ("pump", "tool 3"), else single keys ("machine.rapid")
}

// layered reads job files, the farthest first, and lays each over those before it: the nearest file wins, key by key.
func layered(files []File) (*node, error) {
	var all Errors
	root := &node{form: table}
	for _, f := range files {
		if f.set != nil {
			tree, bad := settings(root, f.set)
			all = append(all, bad...)
			root = overlay(root, tree, key{sub: schema()})
			continue
		}
		tree, bad := document(f.Name, f.Data)
		if bad != nil {
			all = append(all, *bad)
			continue
		}
		root = overlay(root, tree, key{sub: schema()})
	}
	if len(all) > 0 {
		spelledOut(all, files)
		return nil, all
	}
	return root, nil
}

// overlay lays a nearer table over a farther one of the same meaning. Neither is changed.
func overlay(far, near *node, k key) *node {
	out := &node{form: table, at: near.at}
	if near.partial {
		out.at = far.at
	}
	dropped := k.rivalsOf(near)
	for _, e := range far.keys {
		if !slices.Contains(dropped, e.name) {
			out.set(e)
		}
	}
	for _, e := range near.keys {
		below, known := pick(k.sub, e.name)
		if k.free {
			below, known = key{sub: k.sub, rivals: k.rivals}, true
		}
		if old, ok := out.get(e.name); ok && known {
			e.value = laid(old.value, e.value, below)
		}
		out.set(e)
	}
	return out
}

// laid gives the value of a key that both files have.
func laid(far, near *node, k key) *node {
	switch {
	case near.partial && k.many:
		return overlayNamed(far, near, k)
	case near.partial && far.form == table:
		return overlay(far, near, k)
	case k.sub == nil && !k.open || k.whole || far.form != near.form:
		return near
	case near.form == table && !k.many:
		return overlay(far, near, k)
	case near.form == list && k.many && k.by != "":
		return overlayBy(far, near, k)
	}
	return near
}

// overlayBy lays a list of tables over another, tables with the same value of key by over one another.
func overlayBy(far, near *node, k key) *node {
	out := &node{form: list, at: near.at, items: slices.Clone(far.items)}
	for _, item := range near.items {
		i := slices.IndexFunc(far.items, func(old *node) bool {
			return k.identity(old) != "" && k.identity(old) == k.identity(item)
		})
		if i < 0 {
			out.items = append(out.items, item)
			continue
		}
		out.items[i] = overlay(far.items[i], item, key{sub: k.sub, rivals: k.rivals})
	}
	return out
}

// identity is what tells a table of a list from the others; "" for none.
func (k key) identity(item *node) string {
	if e, ok := item.get(k.by); ok && item.form == table {
		return e.value.text
	}
	return ""
}

// rivalsOf gives the keys that may not stay from a farther file beside those that the nearer one gives.
func (k key) rivalsOf(near *node) []string {
	var out []string
	for _, r := range k.rivals {
		if slices.ContainsFunc(r.any, func(name string) bool { _, ok := near.get(name); return ok }) {
			out = append(out, r.drop...)
		}
	}
	return out
}

func (n *node) set(e entry) {
	if n.index == nil {
		n.index = map[string]int{}
	}
	if i, ok := n.index[e.name]; ok {
		n.keys[i] = e
		return
	}
	n.index[e.name] = len(n.keys)
	n.keys = append(n.keys, e)
}

// sources tells which file gives which values, in the order of files.
func sources(root *node, files []File) []Source {
	given := map[string][]string{}
	for _, e := range root.keys {
		k, _ := pick(schema(), e.name)
		switch {
		case e.value.form == list && (k.by != "" || k.many && !fromOneFile(e.value)):
			for i, item := range e.value.items {
				sourceOf(given, e.name+" "+k.nameOf(e.value, i), item)
			}
		case e.value.form == table && k.free:
			for _, named := range e.value.keys {
				sourceOf(given, e.name+"."+named.name, named.value)
			}
		default:
			sourceOf(given, e.name, e.value)
		}
	}
	var out []Source
	for _, f := range files {
		out = append(out, Source{f.Name, given[f.Name]})
	}
	return out
}

// sourceOf notes a table under its name if all of it is from one file, else each of its keys.
func sourceOf(given map[string][]string, name string, v *node) {
	if file, one := oneFile(v); one || v.form != table {
		given[file] = append(given[file], name)
		return
	}
	for _, e := range v.keys {
		sourceOf(given, name+"."+e.name, e.value)
	}
}

// oneFile tells the file of a value, and whether all of it is from there.
func oneFile(v *node) (file string, one bool) {
	if v.form != table || len(v.keys) == 0 {
		return v.at.File, true
	}
	file, one = oneFile(v.keys[0].value)
	for _, e := range v.keys[1:] {
		f, o := oneFile(e.value)
		one = one && o && f == file
	}
	return file, one
}

// fromOneFile tells whether all tables of a list are.
func fromOneFile(list *node) bool {
	for _, item := range list.items {
		if file, one := oneFile(item); !one || file != list.at.File {
			return false
		}
	}
	return true
}

// Extensions gives the endings of programs, with the dot, that job files name under [machine], the nearest file last;
// the default ones if none does or they cannot be read. The files need not be whole jobs.
func Extensions(files ...File) []string {
	root, err := layered(files)
	if err != nil {
		return DefaultExtensions()
	}
	r := &reader{meant: map[string]bool{}}
	if out := r.machine(root).Extensions; len(out) > 0 {
		return out
	}
	return DefaultExtensions()
}
