package job

import (
	"fmt"
	"strings"

	"staydown/hold/material"
	"staydown/hold/wording"
)

// Ratios that stand in for figures an own material does not give.
const (
	// edgePerKC11 is edge force (N/mm) over specific cutting force (N/mm2): 0.012 to 0.036 over the sets for aluminium
	// in Chinese J. Mech. Eng. (2021), doi 10.1186/s10033-021-00536-9, table 5; their mean. Of a law with the exponent
	// 0.25 it leaves what lies above 0.05 mm of chip as it is.
	edgePerKC11 = 0.025
	// defaultRadialRatio is radial over tangential force: 0.16 to 0.60 in the same table.
	defaultRadialRatio = 0.5
	// defaultLift is the vertical over the tangential force as a share of tan(helix): 0.06 to 0.75 in the same table;
	// at most 1, that of a rake face without friction.
	leastLift, defaultLift, mostLift = 0.06, 0.6, 1
	// defaultEdgeRadial and defaultEdgeLift are the same of the edge force: 0.41 to 1.36, and 0.04 to 0.37 of
	// tan(helix).
	defaultEdgeRadial, defaultEdgeLift = 1, 0.2
	// shearPerTensile and yieldPerTensile are low ends, for webs (common practice, no source).
	shearPerTensile = 0.5
	yieldPerTensile = 0.5
)

// fromFile is the source of figures that the job file gives.
const fromFile = "job file"

// userMaterials are the [material.NAME] tables of the file.
type userMaterials struct {
	*reader
	root  *node
	own   map[string]material.Work
	state map[string]int // 1: being read, 2: read
	names []string
}

func (r *reader) userMaterials(root *node) *userMaterials {
	w := &userMaterials{reader: r, root: root, own: map[string]material.Work{}, state: map[string]int{}}
	e, ok := root.get("material")
	if !ok || e.value.form != table {
		return w
	}
	for i, named := range e.value.keys {
		if i >= maxMaterials {
			r.say(named.at, "material", fmt.Sprintf("more than %d of them", maxMaterials),
				"leave out those that the job does not need")
			break
		}
		w.names = append(w.names, named.name)
	}
	r.ownWorks = w.names
	for _, name := range w.names {
		w.read(name)
	}
	return w
}

// named gives the material that a section names, own ones first.
func (w *userMaterials) named(s section) (material.Work, bool) {
	name, ok := s.phrase("material")
	if !ok {
		return material.Work{}, false
	}
	if found, ok := w.find(name); ok {
		return found, true
	}
	if w.state[name] == 0 {
		s.unknownName("material", name, "material", append(append([]string{}, w.names...), builtWorks()...))
	}
	return material.Work{}, false
}

func (w *userMaterials) find(name string) (material.Work, bool) {
	if found, ok := w.own[name]; ok {
		return found, true
	}
	if w.state[name] != 0 {
		return material.Work{}, false
	}
	return material.WorkNamed(name)
}

func builtWorks() []string {
	var names []string
	for _, b := range material.Works() {
		names = append(names, b.Name)
	}
	return names
}

// unknownName reports a name that is neither in the file nor built in.
func (s section) unknownName(key, name, what string, known []string) {
	near, d := wording.Nearest(name, known)
	do := "write one of " + strings.Join(known, ", ")
	if d <= wording.CloseEnough(name) {
		do = fmt.Sprintf("the nearest known one is %q", near)
	}
	s.say(s.where(key), key, fmt.Sprintf("no %s is called %q", what, name), do)
}

// read reads [material.NAME], after the own material it is based on.
func (w *userMaterials) read(name string) {
	e, _ := w.root.get("material")
	named, ok := e.value.get(name)
	if !ok || named.value.form != table || w.state[name] != 0 {
		return
	}
	w.state[name] = 1
	defer func() { w.state[name] = 2 }()
	s := section{w.reader, "material." + name, named.value.at, named.value}
	base, based, ok := w.base(s, name)
	if !ok {
		return
	}
	work, ok := s.work(name, base, based)
	if ok {
		w.own[name] = work
	}
}

func (w *userMaterials) base(s section, name string) (base material.Work, based, ok bool) {
	on, given := s.phrase("based_on")
	if !given {
		return base, false, !s.has("based_on")
	}
	if on == name {
		if base, ok = material.WorkNamed(on); !ok {
			s.say(s.where("based_on"), "based_on", fmt.Sprintf("%q is based on itself", name),
				"base it on another material")
		}
		return base, true, ok
	}
	if pickName(w.names, on) {
		if w.state[on] == 1 {
			s.say(s.where("based_on"), "based_on", fmt.Sprintf("%q and %q are based on each other", name, on),
				"base one of them on a built-in material")
			return base, true, false
		}
		w.read(on)
		base, ok = w.own[on]
		return base, true, ok // a base with its own problems has reported them
	}
	base, ok = material.WorkNamed(on)
	if !ok {
		s.unknownName("based_on", on, "material", append(append([]string{}, w.names...), builtWorks()...))
	}
	return base, true, ok
}

func pickName(names []string, name string) bool {
	for _, n := range names {
		if n == name {
			return true
		}
	}
	return false
}

// work reads the figures of an own material over those of its base.
func (s section) work(name string, base material.Work, based bool) (material.Work, bool) {
	out := base
	out.Name = name
	if based {
		out.Meaning = "own material, based on " + base.Name
	} else {
		out.Meaning = "own material"
	}
	ok := true
	set := func(f *material.Range, key string, x material.Range, good bool) {
		if good {
			*f = x
		}
		ok = ok && (good || !s.has(key))
	}
	exact := func(f *material.Range, key string, x float64, good bool) {
		set(f, key, material.Exact(x, fromFile), good)
	}
	if !based {
		ok = s.needFigures()
	}
	kc, good := s.figure("specific_force", stress, cuttingPa, material.OfSpecificForce)
	set(&out.KC11, "specific_force", inMPa(kc), good)
	mc, good := s.number("exponent", exponentRange)
	exact(&out.MC, "exponent", mc, good)
	edge, good := s.quantity("edge_force", edgeForce, edgeNMM)
	exact(&out.Edge, "edge_force", edge, good)
	radial, good := s.number("radial_ratio", ratioRange)
	exact(&out.Radial, "radial_ratio", radial, good)
	lift, good := s.numberFigure("lift_ratio", liftRange, material.OfLiftRatio)
	if strings.Contains(lift.Source, ofItsKind) {
		// The low end counts where a helix presses; that of a single value is a guess and decides nothing here.
		lift.Low, lift.High = lift.Likely, lift.Likely
	}
	set(&out.Lift, "lift_ratio", lift, good)
	if s.has("lift_ratio") {
		out.EdgeLift = out.Lift
	}
	failure, good := s.choice("failure", "brittle", "ductile")
	if good {
		out.Ductile = failure == 1
	}
	ok = ok && (good || !s.has("failure"))
	d, good := s.quantity("density", density, densityKgM3)
	exact(&out.Density, "density", d, good)
	ok = s.airOf(&out, based) && ok
	s.strengths(&out, set)
	if !ok {
		return out, false
	}
	if !based {
		s.complete(&out)
	} else if s.has("specific_force") {
		drillAfter(&out, base)
	}
	return out, s.scale(&out)
}

func inMPa(x material.Range) material.Range {
	return material.Range{Low: x.Low / 1e6, Likely: x.Likely / 1e6, High: x.High / 1e6, Source: x.Source}
}

// strengths reads the strengths of a material; set takes each with its key.
func (s section) strengths(w *material.Work, set func(of *material.Range, key string, x material.Range, good bool)) {
	of, ranged := [...]*material.Range{&w.Tensile, &w.Shear, &w.Yield}, false
	for i, key := range [...]string{"tensile", "shear", "yield"} {
		x, good := s.strength(key, ranged)
		set(of[i], key, inMPa(x), good)
		ranged = ranged || s.has(key)
	}
}

// strength reads a strength, Pa. The first of them that a material gives may be a range; the others move with it.
func (s section) strength(key string, moves bool) (material.Range, bool) {
	if !moves {
		return s.figure(key, stress, strengthPa, material.OfStrength)
	}
	x, ok := s.quantity(key, stress, strengthPa)
	return material.Exact(x, "job file, with tensile or shear"), ok
}

// drillAfter scales the drilling force of the base as the specific cutting force was changed.
func drillAfter(out *material.Work, base material.Work) {
	if out.Drill.Likely > 0 {
		out.Drill = material.Exact(base.Drill.Likely*out.KC11.Likely/base.KC11.Likely,
			"scaled by the specific cutting force from: "+base.Drill.Source)
	}
}

// needFigures reports the keys missing in a material without a base.
func (s section) needFigures() bool {
	ok := s.need("specific_force", `"700 MPa"`)
	ok = s.need("exponent", "0.25") && ok
	return s.need("density", `"2700 kg/m3"`) && ok
}

// airOf reads how air passes through an own material. What is not written comes from the base; without one the material
// counts as tight.
func (s section) airOf(w *material.Work, based bool) bool {
	through, okThrough := s.figure("through", permeability, permeabilityM2, material.OfPermeability)
	along, okAlong := s.quantity("along", permeability, permeabilityM2)
	if okThrough {
		ratio := 1.0
		if w.Through.Likely > 0 {
			ratio = w.Along.Likely / w.Through.Likely
		}
		w.Through = through
		w.Along = material.Exact(ratio*through.Likely, "in proportion to the permeability across the sheet")
	}
	if okAlong {
		w.Along = material.Exact(along, fromFile)
	}
	switch {
	case s.has("along") && !(w.Through.Likely > 0) && !s.has("through"):
		s.say(s.where("along"), "along", "the permeability across the sheet is missing",
			`write through = "1e-13 m2" as well`)
		return false
	case !based && !s.has("through"):
		s.assume("material %s: no air passes through it (through)", w.Name)
	}
	return (okThrough || !s.has("through")) && (okAlong || !s.has("along"))
}

// complete fills in what an own material without a base does not give, from the safe side.
func (s section) complete(w *material.Work) {
	stand := func(f *material.Range, key string, x float64, words string) {
		if s.has(key) {
			return
		}
		*f = material.Exact(x, "assumed: "+words)
		s.assumeInput(strings.ReplaceAll(key, "_", " "), "material %s: %s %s assumed (%s)", w.Name,
			strings.ReplaceAll(key, "_", " "), words, key)
	}
	stand(&w.Edge, "edge_force", edgePerKC11*w.KC11.Likely, trimmed(edgePerKC11*w.KC11.Likely)+" N/mm")
	stand(&w.Radial, "radial_ratio", defaultRadialRatio, trimmed(defaultRadialRatio))
	const asMeasured = "assumed: as measured in aluminium"
	w.EdgeRadial = material.Exact(defaultEdgeRadial, asMeasured)
	if !s.has("lift_ratio") {
		w.Lift = material.Range{Low: leastLift, Likely: defaultLift, High: mostLift, Source: asMeasured}
		w.EdgeLift = material.Exact(defaultEdgeLift, asMeasured)
		s.assumeInput("lift of the helix", "material %s: vertical force of a helix %s times tan(helix) assumed, as "+
			"measured in aluminium (lift_ratio)", w.Name, trimmed(defaultLift))
	}
	if !s.has("failure") {
		s.assume("material %s: brittle assumed, so of hold and joins the stronger alone counts (failure)", w.Name)
	}
	switch {
	case s.has("tensile"):
		stand(&w.Shear, "shear", shearPerTensile*w.Tensile.Likely, "half the tensile strength")
		stand(&w.Yield, "yield", yieldPerTensile*w.Tensile.Likely, "half the tensile strength")
	case s.has("shear"):
		stand(&w.Tensile, "tensile", w.Shear.Likely, "as shear")
		stand(&w.Yield, "yield", w.Shear.Likely, "as shear")
	default:
		stand(&w.Shear, "shear", 0, "0 MPa, webs carry nothing")
		stand(&w.Tensile, "tensile", 0, "0 MPa, webs carry nothing")
		stand(&w.Yield, "yield", 0, "0 MPa, webs carry nothing")
	}
}

// scale brings the specific force and the edge force, in one proportion, to a measured cut.
func (s section) scale(w *material.Work) bool {
	p, okP := s.quantity("measured_power", power, powerW)
	f, okF := s.quantity("measured_force", force, forceN)
	hasP, hasF := s.has("measured_power"), s.has("measured_force")
	switch {
	case !hasP && !hasF:
		s.only("nothing was measured in it", "write measured_power or measured_force as well", "cut")
		return true
	case hasP && hasF:
		s.say(s.where("measured_force"), "measured_force", "power and force are both given", "write only one of them")
		return false
	}
	if !s.need("cut",
		`{ diameter = "6 mm", depth = "3 mm", width = "6 mm", feed_per_tooth = "0.05 mm", flutes = 2, `+
			`speed = "18000 rpm" }`) {
		return false
	}
	c, okC := s.cut(hasP)
	if !okC || !okP && !okF {
		return false
	}
	var scaled material.Work
	var err error
	key, what := "measured_force", "a measured force"
	if hasP {
		key, what = "measured_power", "a measured power"
		scaled, err = material.ScaledToPower(*w, c, p)
	} else {
		scaled, err = material.ScaledToForce(*w, c, f)
	}
	const low, high = 0.05, 20
	ratio := scaled.KC11.Likely / w.KC11.Likely
	switch {
	case err != nil:
		s.say(s.where(key), key, "the material's figures give no force in that cut", "check it and the cut")
		return false
	case !(ratio >= low && ratio <= high) || !cuttingPa.has(scaled.KC11.Likely*1e6):
		s.say(s.where(key), key, fmt.Sprintf("is %s times what the material's figures give in that cut",
			trimmed(ratio)),
			"check it and the cut; leave out the idle power of the spindle")
		return false
	}
	scaled.KC11 = single(scaled.KC11.Likely, material.OfMeasuredForce, scaled.KC11.Source)
	*w = scaled
	s.assume("material %s: cutting forces scaled by %s to %s", w.Name, trimmed(ratio), what+" of "+s.text(key))
	return true
}

func (s section) cut(withSpeed bool) (material.KnownCut, bool) {
	t, ok := s.inner("cut")
	if !ok {
		return material.KnownCut{}, false
	}
	lengthOf := func(key, example string, in span) float64 {
		if !t.need(key, example) {
			ok = false
			return 0
		}
		x, good := t.quantity(key, length, in)
		ok = ok && good
		return x
	}
	c := material.KnownCut{
		DiameterMM:     lengthOf("diameter", `"6 mm"`, diameterMM),
		DepthMM:        lengthOf("depth", `"3 mm"`, thickMM),
		WidthMM:        lengthOf("width", `"6 mm"`, thickMM),
		FeedPerToothMM: lengthOf("feed_per_tooth", `"0.05 mm"`, chipMM),
	}
	var good bool
	if ok = t.need("flutes", "2") && ok; ok {
		c.Flutes, good = t.count("flutes", fluteRange)
		ok = ok && good
	}
	if withSpeed {
		if ok = t.need("speed", `"18000 rpm"`) && ok; ok {
			c.RPM, good = t.quantity("speed", spindle, spindleRPM)
			ok = ok && good
		}
	}
	if ok && c.WidthMM > c.DiameterMM {
		t.say(t.where("width"), "width", "is more than the diameter", "write the width of cut, at most the diameter")
		return c, false
	}
	return c, ok
}
