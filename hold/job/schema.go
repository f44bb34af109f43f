package job

import "staydown/hold/wording"

// key is a word that a table of the job file may hold, with the words of the table behind it, if it is one.
type key struct {
	name string
	sub  []key
	free bool // the words of sub stand one level deeper, below names that the user chooses: [material.NAME]
	open bool // any word may stand in the table, with a plain value behind it: [machine.output]
	many bool // a list of tables: [[tool]]
	// How a nearer job file overrides a farther one: key by key, but
	// of a list of tables: those alike in this key are laid over one another; "": the whole list is replaced
	by     string
	whole  bool    // the table is one thing and replaced whole
	rivals []rival // what the farther file says in another way goes
}

// rival: if the nearer file gives any of some keys, the others do not stay from the farther one.
type rival struct{ any, drop []string }

// either gives the rivals of ways to say the same: each way drops the keys of the others.
func either(ways ...[]string) []rival {
	var out []rival
	for i, any := range ways {
		r := rival{any: any}
		for j, other := range ways {
			if j != i {
				r.drop = append(r.drop, other...)
			}
		}
		out = append(out, r)
	}
	return out
}

// keys of the whole file. Everything that reads a key is listed here, so that a word that is not can be reported with
// its nearest neighbor.
func schema() []key {
	cutout := plain("shape", "corner", "size", "centre", "diameter", "corners")
	blank := append(plain("shape", "corner", "size", "centre", "diameter", "corners", "bottom", "thickness"),
		key{name: "cutout", sub: cutout, many: true})
	hose := key{name: "hose", sub: plain("length", "bore"), whole: true}
	valve := key{name: "valve", sub: plain("conductance", "critical_ratio", "kv"), whole: true}
	return []key{
		{name: "site", sub: plain("altitude", "pressure"), rivals: either([]string{"altitude"}, []string{"pressure"})},
		{name: "stock", sub: append(append([]key{}, blank...), plain("material", "anchored", "faced", "tolerance")...),
			rivals: append(either([]string{"corner", "size"}, []string{"centre", "diameter"}, []string{"corners"}),
				rival{[]string{"corner", "size", "centre", "diameter", "corners"}, []string{"shape"}},
				rival{[]string{"corner", "size"}, []string{"bottom", "thickness"}},
				rival{[]string{"material"}, []string{"faced"}})},
		{name: "blank", sub: blank, many: true},
		{name: "layer", sub: append(plain("material", "thickness", "through", "along", "friction", "friction_wet",
			"tack", "cut_limit", "edge"),
			key{name: "flow_test", sub: plain("area", "pressure_drop", "flow", "thickness"), whole: true},
			key{name: "air_resistance", sub: plain("method", "seconds", "flow", "thickness"), whole: true},
			key{name: "pull", sub: plain("material", "area", "vacuum", "readings", "weight", "wet"), many: true},
			key{name: "gauge", sub: plain("covered", "readings"), many: true}),
			rivals: append(either([]string{"through"}, []string{"flow_test"}, []string{"air_resistance"}),
				rival{[]string{"through"}, []string{"gauge"}}, rival{[]string{"friction"}, []string{"pull"}},
				rival{[]string{"pull"}, []string{"friction", "friction_wet"}},
				rival{[]string{"material"}, []string{"thickness", "through", "along", "flow_test", "air_resistance",
					"friction", "friction_wet", "pull", "gauge", "tack"}})},
		{name: "zone", many: true, sub: append(plain("name", "area", "seal", "open", "covered", "friction",
			"friction_wet", "rests_on"),
			key{name: "groove", sub: plain("pitch", "width", "depth")},
			key{name: "port", sub: plain("count", "pitch", "diameter")}, hose, valve)},
		{name: "pump", sub: append(plain("kind", "flow", "ultimate", "curve", "leak", "alarm"), hose, valve),
			rivals: append(either([]string{"flow", "ultimate"}, []string{"curve"}),
				rival{[]string{"kind"}, []string{"flow", "ultimate", "curve", "leak"}})},
		{name: "machine", sub: append(plain("rapid", "speed", "extensions", "zero", "harmless_m", "units",
			"arc_centres", "end", "m7", "m8", "table"), key{name: "output", open: true})},
		{name: "clamp", many: true, sub: plain("name", "shape", "corner", "size", "centre", "diameter", "corners",
			"height", "top", "force", "friction")},
		{name: "fixture", many: true, sub: plain("name", "shape", "corner", "size", "centre", "diameter", "corners",
			"top")},
		{name: "origin", many: true, by: "system", sub: plain("system", "at")},
		{name: "tool", many: true, by: "number", rivals: []rival{{[]string{"shape"}, []string{"corner", "angle"}}},
			sub: plain("number", "shape", "diameter", "corner", "angle", "flutes", "helix",
				"rake", "speed", "reach", "length", "offset", "runout", "upcut", "hand", "holder", "gauge_length")},
		{name: "material", free: true,
			rivals: either([]string{"specific_force", "exponent", "edge_force"}, []string{"measured_power", "cut"},
				[]string{"measured_force", "cut"}), sub: append(plain("based_on", "specific_force", "exponent",
				"edge_force", "radial_ratio", "lift_ratio", "failure", "density", "through", "along", "shear",
				"tensile", "yield", "measured_power", "measured_force"),
				key{name: "cut", sub: plain("diameter", "depth", "width", "feed_per_tooth", "flutes", "speed"),
					whole: true})},
		{name: "limits", sub: plain("margin", "least_skin", "least_pass")},
		{name: "report", sub: plain("units")},
		{name: "records", sub: plain("since")},
		{name: "grid", sub: plain("cell")},
		{name: "web", sub: plain("height")},
	}
}

func plain(names ...string) []key {
	keys := make([]key, len(names))
	for i, n := range names {
		keys[i] = key{name: n}
	}
	return keys
}

// checkWords reports every key that the schema does not know, every table that is not one, and every value left to fill
// in.
func (r *reader) checkWords(n *node, where string, known []key) {
	for _, e := range n.keys {
		if len(r.problems) >= maxGathered {
			return
		}
		k, ok := pick(known, e.name)
		if !ok {
			r.unknownKey(e, where, known)
			continue
		}
		r.leftToFill(e.value, e.name)
		if k.sub == nil && !k.open {
			continue
		}
		r.tables(e, k)
	}
}

func (r *reader) tables(e entry, k key) {
	v := e.value
	switch {
	case v.unused:
	case k.many && v.form == list:
		for _, item := range v.items {
			if item.form != table {
				r.say(item.at, e.name, item.form.String()+" where a table is wanted", "write [["+e.name+"]]")
				continue
			}
			r.checkWords(item, e.name, k.sub)
		}
	case k.many:
		r.say(e.at, e.name, "there can be several", "write [["+e.name+"]] with two brackets")
	case v.form == list:
		r.say(e.at, e.name, "there is only one", "write ["+e.name+"] with single brackets")
	case v.form != table:
		r.say(v.at, e.name, v.form.String()+" where a table is wanted", "write ["+e.name+"]")
	case k.open: // read by outputs
	case k.free:
		for _, named := range v.keys {
			if named.value.form != table {
				r.say(named.at, named.name, "is used where a table name is required",
					"write ["+e.name+".NAME] and the values below it")
				continue
			}
			r.checkWords(named.value, e.name+"."+named.name, k.sub)
		}
	default:
		r.checkWords(v, e.name, k.sub)
	}
}

func pick(known []key, name string) (key, bool) {
	for _, k := range known {
		if k.name == name {
			return k, true
		}
	}
	return key{}, false
}

// unknownKey names the nearest known word: first of the same table, and where none is near, of any other.
func (r *reader) unknownKey(e entry, where string, known []key) {
	names := make([]string, len(known))
	for i, k := range known {
		names[i] = k.name
	}
	near, d := wording.Nearest(e.name, names)
	if where == "" {
		r.misplaced(e, known, near, d)
		return
	}
	if d > wording.CloseEnough(e.name) {
		for _, k := range schema() {
			if k.name == e.name {
				r.say(e.at, e.name, "unknown key of "+where+"; it is a table of its own", "write "+header(k))
				return
			}
			if _, ok := pick(k.sub, e.name); ok && !k.free {
				r.say(e.at, e.name, "unknown key of "+where+"; it belongs to "+header(k), "move it there")
				return
			}
		}
	}
	r.say(e.at, e.name, "unknown key of "+where, "the nearest known one is "+near)
}

// misplaced reports an unknown word outside of any table: a table with a slip in its name, or a key above all headers.
func (r *reader) misplaced(e entry, known []key, near string, d int) {
	isTable := e.value.form == table
	if e.value.form == list {
		isTable = len(e.value.items) > 0 && e.value.items[0].form == table
	}
	if isTable {
		if d <= wording.CloseEnough(e.name) {
			r.meant[near] = true
		}
		r.say(e.at, e.name, "unknown table", "the nearest known one is "+near)
		return
	}
	best, least, home := "", int(^uint(0)>>1), key{}
	for _, k := range known {
		if k.free {
			continue
		}
		names := make([]string, len(k.sub))
		for i, s := range k.sub {
			names[i] = s.name
		}
		if n, d := wording.Nearest(e.name, names); d < least {
			best, least, home = n, d, k
		}
	}
	if least == 0 {
		r.say(e.at, e.name, "is outside any table", "write it below "+header(home))
		return
	}
	r.say(e.at, e.name, "unknown key outside any table", "the nearest known one is "+best+" below "+header(home))
}

func header(k key) string {
	if k.many {
		return "[[" + k.name + "]]"
	}
	return "[" + k.name + "]"
}

// leftToFill reports values that still hold the mark of a draft and keeps the reader from looking at them again.
func (r *reader) leftToFill(v *node, name string) {
	switch v.form {
	case text:
		if isFill(v.text) {
			v.unused = true
			r.say(v.at, name, "still to be filled in", "write the value in place of "+Fill)
		}
	case list:
		for _, item := range v.items {
			r.leftToFill(item, name)
			v.unused = v.unused || item.form != table && item.unused
		}
	}
}
