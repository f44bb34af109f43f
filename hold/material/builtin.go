package material

import (
	_ "embed"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/pelletier/go-toml/v2"

	"staydown/hold/doubt"
)

// builtinText holds the built-in figures, written as a job file writes its own.
//
//go:embed builtin.toml
var builtinText []byte

// builtin are the built-in figures. That the embedded file can be read is tested.
var builtin = sync.OnceValue(func() builtins {
	b, _ := readBuiltins(builtinText)
	return b
})

// builtins are figures as listed: works, layers and pumps by name, pairs by family and seat, spreads by kind.
type builtins struct {
	works   []Work
	layers  []Layer
	pumps   []Pump
	pairs   []Pair
	spreads []Spread
}

// readBuiltins reads a file of figures. The error names every table and key that is wrong or not known.
func readBuiltins(text []byte) (builtins, error) {
	var root map[string]any
	if err := toml.Unmarshal(text, &root); err != nil {
		return builtins{}, err
	}
	r := &builtinReader{}
	var sources []string // names in braces, each with what stands for it
	for name, source := range r.table(root, "", "sources").keys {
		text, _ := source.(string)
		sources = append(sources, "{"+name+"}", text)
	}
	r.sources = strings.NewReplacer(sources...)
	all := builtins{works: r.works(root), layers: r.layers(root), pumps: r.pumps(root), pairs: r.pairs(root),
		spreads: r.spreads(root)}
	return all, errors.Join(r.problems...)
}

type builtinReader struct {
	sources  *strings.Replacer // of names in braces
	problems []error
}

func (r *builtinReader) say(where, what string) {
	r.problems = append(r.problems, fmt.Errorf("%s: %s", where, what))
}

// figures is a table of the file.
type figures struct {
	*builtinReader
	where string
	keys  map[string]any
}

func (r *builtinReader) table(keys map[string]any, where, name string) figures {
	below, ok := keys[name].(map[string]any)
	if !ok {
		r.say(where+name, "no table")
	}
	return figures{r, where + name, below}
}

// named gives the tables of a table, in order of their names.
func (f figures) named() []figures {
	var names []string
	for name := range f.keys {
		names = append(names, name)
	}
	slices.Sort(names)
	var out []figures
	for _, name := range names {
		out = append(out, f.table(f.keys, f.where+".", name))
	}
	return out
}

// name is the last word of the table's.
func (f figures) name() string { return f.where[strings.LastIndexByte(f.where, '.')+1:] }

// text gives the text of a key, "" where it is missing.
func (f figures) text(key string) string {
	s, _ := f.keys[key].(string)
	return s
}

// only reports the keys that are not among known ones.
func (f figures) only(known ...string) {
	for key := range f.keys {
		if !slices.Contains(known, key) {
			f.say(f.where, key+" is not known")
		}
	}
}

// figure gives [low, likely, high] or one exact value, in a unit, with its source; what a missing key stands for.
func (f figures) figure(key, unit string, missing Range) Range {
	value, ok := f.keys[key]
	if !ok {
		return missing
	}
	values := []any{value}
	if several, ok := value.([]any); ok {
		values = several
	}
	var x []float64
	for _, v := range values {
		number, err := inUnit(v, unit)
		if err != nil {
			f.say(f.where+"."+key, err.Error())
		}
		x = append(x, number)
	}
	sources, _ := f.keys["source"].(map[string]any)
	source, _ := sources[key].(string)
	if source == "" {
		f.say(f.where+"."+key, "no source")
	}
	source = f.sources.Replace(source)
	switch len(x) {
	case 1:
		return Exact(x[0], source)
	case 3:
		return Range{x[0], x[1], x[2], source}
	}
	f.say(f.where+"."+key, "neither one value nor [low, likely, high]")
	return missing
}

// inUnit reads "240 MPa", or a bare number where unit is "".
func inUnit(v any, unit string) (float64, error) {
	switch x := v.(type) {
	case float64:
		if unit == "" {
			return x, nil
		}
	case int64:
		if unit == "" {
			return float64(x), nil
		}
	case string:
		if number, ok := strings.CutSuffix(x, " "+unit); ok && unit != "" {
			return strconv.ParseFloat(number, 64)
		}
	}
	return 0, fmt.Errorf("%v is not in %q", v, unit)
}

// workFigure is a figure of a material by its key.
type workFigure struct {
	key, unit string
	to        *Range
}

func (w *Work) figures() []workFigure {
	return []workFigure{
		{"specific_force", "MPa", &w.KC11}, {"exponent", "", &w.MC}, {"edge_force", "N/mm", &w.Edge},
		{"radial_ratio", "", &w.Radial}, {"edge_radial_ratio", "", &w.EdgeRadial}, {"lift_ratio", "", &w.Lift},
		{"edge_lift_ratio", "", &w.EdgeLift}, {"rake", "deg", &w.Rake}, {"drill_factor", "", &w.Drill},
		{"density", "kg/m3", &w.Density}, {"shear", "MPa", &w.Shear}, {"tensile", "MPa", &w.Tensile},
		{"yield", "MPa", &w.Yield}, {"through", "m2", &w.Through}, {"along", "m2", &w.Along},
	}
}

// works reads the materials, those that are based on another one last.
func (r *builtinReader) works(root map[string]any) []Work {
	standard := r.work(r.table(root, "", "default"), Work{})
	var out []Work
	tables := r.table(root, "", "material").named()
	for _, based := range []bool{false, true} {
		for _, t := range tables {
			if on := t.text("based_on"); (on != "") == based {
				base := standard
				if i := slices.IndexFunc(out, func(w Work) bool { return w.Name == on }); i >= 0 {
					base = out[i]
				}
				out = append(out, r.work(t, base))
			}
		}
	}
	slices.SortFunc(out, func(a, b Work) int { return strings.Compare(a.Name, b.Name) })
	return out
}

func (r *builtinReader) work(t figures, w Work) Work {
	w.Name, w.Meaning = t.name(), t.text("meaning")
	known := []string{"meaning", "family", "failure", "board", "faced", "based_on", "source"}
	for _, f := range w.figures() {
		*f.to = t.figure(f.key, f.unit, *f.to)
		known = append(known, f.key)
	}
	t.only(known...)
	if board, ok := t.keys["board"].(bool); ok {
		w.Board = board
	}
	if failure := t.text("failure"); failure != "" {
		w.Ductile = failure == "ductile"
	}
	w.Family = Family(t.word("family", int(w.Family), families[:]))
	w.Faced = Facing(t.word("faced", int(w.Faced), facings[:]))
	return w
}

// word gives the place of a key's word among others; missing where the key is not there.
func (f figures) word(key string, missing int, words []string) int {
	word := f.text(key)
	if word == "" {
		return missing
	}
	i := slices.Index(words, word)
	if i < 0 {
		f.say(f.where+"."+key, word+" is not known")
		return missing
	}
	return i
}

func (r *builtinReader) layers(root map[string]any) []Layer {
	var out []Layer
	for _, t := range r.table(root, "", "layer").named() {
		t.only("meaning", "seat", "thickness", "through", "along", "source")
		out = append(out, Layer{
			Name: t.name(), Meaning: t.text("meaning"), Seat: Seat(t.word("seat", 0, seats[:])),
			Thickness: t.figure("thickness", "mm", Range{}), Through: t.figure("through", "m2", Range{}),
			Along: t.figure("along", "m2", Range{}),
		})
	}
	return out
}

func (r *builtinReader) pumps(root map[string]any) []Pump {
	var out []Pump
	for _, t := range r.table(root, "", "pump").named() {
		t.only("meaning", "ultimate", "shape", "source")
		out = append(out, Pump{Name: t.name(), Meaning: t.text("meaning"),
			Ultimate: t.figure("ultimate", "Pa", Range{}), Shape: t.figure("shape", "", Range{})})
	}
	return out
}

// pairs reads the friction of every family on every seat, in the order of [friction.FAMILY.SEAT] of both.
func (r *builtinReader) pairs(root map[string]any) []Pair {
	var out []Pair
	all := r.table(root, "", "friction")
	all.only(families[:]...)
	for family, name := range families {
		of := r.table(all.keys, "friction.", name)
		of.only(seats[:]...)
		for seat, name := range seats {
			t := r.table(of.keys, of.where+".", name)
			t.only("friction", "friction_wet", "source")
			out = append(out, Pair{Family(family), Seat(seat), t.figure("friction", "", Range{}),
				t.figure("friction_wet", "", Range{})})
		}
	}
	return out
}

func (r *builtinReader) spreads(root map[string]any) []Spread {
	var out []Spread
	all := r.table(root, "", "spread")
	all.only(kinds[:]...)
	for _, name := range kinds {
		t := r.table(all.keys, "spread.", name)
		t.only("keys", "meaning", "law", "low", "high", "source")
		low, errLow := inUnit(t.keys["low"], "")
		high, errHigh := inUnit(t.keys["high"], "")
		source := r.sources.Replace(t.text("source"))
		if errLow != nil || errHigh != nil || source == "" {
			r.say(t.where, "low, high or source is missing")
		}
		out = append(out, Spread{t.text("keys"), t.text("meaning"),
			doubt.Law(t.word("law", 0, []string{"lognormal", "normal"})), low, high, source})
	}
	return out
}
