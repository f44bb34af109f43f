package job

import (
	"fmt"
	"strings"

	"staydown/hold/doubt"
	"staydown/hold/internal/gas"
	"staydown/hold/material"
)

// layer reads [layer]; nil when the file has none.
func (r *reader) layer(root *node, ambientPa float64, work material.Work) *Layer {
	s := r.section(root, "layer")
	if !s.given() {
		return nil
	}
	out := &Layer{}
	built, known := s.builtLayer()
	out.Name = built.Name
	out.ThicknessMM = s.layerThickness(built, known)
	t := out.ThicknessMM
	through := s.through(t, ambientPa, built, known)
	out.ThroughM2 = through.Likely
	out.AlongM2 = s.along(out.ThroughM2, built, known)

	what := "the layer"
	if known {
		what = "layer " + built.Name
	}
	r.layerAirDoubt(what, through)
	tack, okTack := s.figure("tack", stress, tackPa, material.OfTack)
	by := s.pulled(ambientPa, tack.Likely, t, work)
	if by.tack.Likely > 0 {
		tack, okTack = by.tack, true
		r.assume("%s: tack %s (%s to %s) by the pulls at several vacuums", what, pressure.write(tack.Likely),
			pressure.write(tack.Low), pressure.write(tack.High))
	}
	f := s.friction(what, pairOn(work, built, known), by, known)
	out.Friction = f.likely()
	r.frictionDoubts("layer", strings.TrimPrefix(what, "layer ")+" on "+work.Name, f, onLayer)
	if out.TackPa = tack.Likely; okTack {
		r.tackDoubt(what, tack)
	} else if !s.has("tack") {
		r.assume("the layer has no adhesive face (tack)")
	}

	cut, ok := s.quantity("cut_limit", length, depthMM)
	if !ok && !s.has("cut_limit") {
		cut = t / 2
		r.assume("the tool may go %s into the layer, half its thickness (cut_limit)", inLength(cut))
	}
	if ok && t > 0 && cut >= t {
		s.say(s.where("cut_limit"), "cut_limit", fmt.Sprintf("%s is not less than the layer's thickness of %s",
			s.length(cut), s.length(t)), fmt.Sprintf("write e.g. %q", s.length(t/2)))
	}
	out.CutLimitMM = cut

	edge, ok := s.choice("edge", "open", "sealed")
	if !ok && !s.has("edge") {
		r.assume("the rim of the layer is open and breathes (edge)")
	}
	out.Edge = [...]EdgeKind{OpenEdge, SealedEdge}[edge]
	return out
}

// builtLayer is the built-in layer that [layer] names; known is false if it names none.
func (s section) builtLayer() (built material.Layer, known bool) {
	name, ok := s.phrase("material")
	if !ok {
		return built, false
	}
	if built, known = material.LayerNamed(name); !known {
		var names []string
		for _, l := range material.Layers() {
			names = append(names, l.Name)
		}
		s.unknownName("material", name, "layer", names)
	}
	return built, known
}

// layerThickness is the thickness of the layer, mm: as written, or that of the built-in one.
func (s section) layerThickness(built material.Layer, known bool) float64 {
	t, ok := s.quantity("thickness", length, layerMM)
	switch {
	case ok, s.has("thickness"):
	case known:
		t = built.Thickness.Likely
		s.assumeInput("layer thickness", "layer %s: thickness %s assumed (%s)", built.Name, inLength(t),
			built.Thickness.Source)
	case !s.has("material"):
		s.need("thickness", `"0.8 mm"`)
	}
	return t
}

// along is the permeability in the plane of the layer, m2: as written, or that of the built-in one, or as across it.
func (s section) along(throughM2 float64, built material.Layer, known bool) float64 {
	along, ok := s.quantity("along", permeability, permeabilityM2)
	if ok || s.has("along") {
		return along
	}
	if known && !s.measured() {
		s.assumeInput("permeability along the layer", "layer %s: permeability along the sheet %s m2 assumed (%s)",
			built.Name, trimmed(built.Along.Likely),
			built.Along.Source)
		return built.Along.Likely
	}
	s.assumeInput("permeability along the layer",
		"permeability along the layer assumed equal to that through it, %s m2", trimmed(throughM2))
	return throughM2
}

// measured tells whether the file gives the permeability across the sheet, straight or by a test.
func (s section) measured() bool {
	return s.has("through") || s.has("flow_test") || s.has("air_resistance")
}

// through gives the permeability across the sheet: as written, or from a test of the sheet, or of the built-in layer.
func (s section) through(thicknessMM, ambientPa float64, built material.Layer, known bool) material.Range {
	ways := 0
	for _, w := range []string{"through", "flow_test", "air_resistance"} {
		if s.has(w) {
			ways++
			if ways == 2 {
				s.say(s.where(w), w, "the permeability is given in two ways", "leave one of them out")
			}
		}
	}
	switch {
	case s.has("through"):
		k, _ := s.figure("through", permeability, permeabilityM2, material.OfPermeability)
		return k
	case s.has("flow_test"):
		k, test := s.flowTest(thicknessMM, ambientPa)
		return s.tested(k, test, built, known)
	case s.has("air_resistance"):
		k, test := s.airResistance(thicknessMM)
		return s.tested(k, test, built, known)
	case known:
		s.assumeInput("permeability through the layer", "layer %s: permeability through the sheet %s m2 assumed "+
			"(%s); measure it", built.Name,
			trimmed(built.Through.Likely), built.Through.Source)
		return built.Through
	case !s.has("material"):
		s.need("through",
			`"3e-13 m2", or a table [layer.flow_test] or [layer.air_resistance], or material = "porous-card"`)
	}
	return material.Range{}
}

// tested is the permeability by the readings of a test, together with that of the built-in layer if it is one.
func (s section) tested(readings []float64, test section, built material.Layer, known bool) material.Range {
	for _, k := range readings {
		if !permeabilityM2.has(k) {
			s.say(test.at, test.name, fmt.Sprintf("the figures give a permeability of %s m2, which no sheet has",
				trimmed(k)), "check the values and their units")
			return material.Range{}
		}
	}
	if len(readings) == 0 {
		return material.Range{}
	}
	sp := material.OfSheetTest.Spread()
	by := doubt.Measured("", readings, doubt.Scatter{Low: sp.Low, High: sp.High})
	by.Unit = "m2"
	out := s.together("permeability through the layer computed from "+test.name, by, len(readings), built.Through,
		known)
	out.Source = test.name + ", " + out.Source
	return out
}

// sheet gives the thickness of the tested sheet in m: its own, or else that of the layer.
func (s section) sheet(layerMMM float64) (float64, bool) {
	t, ok := s.quantity("thickness", length, layerMM)
	if !ok && !s.has("thickness") && layerMMM > 0 {
		return layerMMM / 1000, true
	}
	return t / 1000, ok
}

// flowTest gives the permeability in m2 from a flow sucked through a known area of the layer, open to the air above:
// mass flow = area k (p1^2 - p2^2)/(2 mu R T t) (Darcy's law for a gas, isothermal), so with the flow Q measured as
// free air of density p1/(R T), k = 2 mu t p1 (Q/area)/(p1^2 - p2^2).
func (s section) flowTest(thicknessMM, ambientPa float64) ([]float64, section) {
	test := s.section(s.node, "flow_test")
	test.name = "layer.flow_test"
	ok := test.given()
	for _, k := range []struct{ name, example string }{{"area", `"100 cm2"`}, {"pressure_drop", `"200 mbar"`},
		{"flow", `"30 l/min"`}} {
		ok = ok && test.need(k.name, k.example)
	}
	a, okA := test.quantity("area", area, testAreaMM2)
	drop, okP := test.quantity("pressure_drop", pressure, vacuumPa)
	flows, okQ := test.readings("flow", func(v *node) (float64, bool) {
		return test.measure(v, "flow", flow, testFlowM3h)
	})
	t, okT := test.sheet(thicknessMM)
	if okP && drop > ambientPa {
		test.say(test.where("pressure_drop"), "pressure_drop", fmt.Sprintf("%s is more than the ambient pressure of %s",
			pressure.write(drop), pressure.write(ambientPa)),
			"write the difference between the two faces of the sheet")
		return nil, test
	}
	if !ok || !okA || !okP || !okQ || !okT {
		return nil, test
	}
	for i, q := range flows {
		flows[i] = flowTestM2(a*1e-6, drop, q/3600, t, ambientPa)
	}
	return flows, test
}

// flowTestM2 takes m2, Pa, m3/s of free air, m and Pa.
func flowTestM2(areaM2, dropPa, flowM3s, thicknessM, ambientPa float64) float64 {
	p2 := ambientPa - dropPa
	massKgM2s := flowM3s * ambientPa / (gas.ConstantJKgK * gas.RoomK) / areaM2
	return massKgM2s * 2 * gas.ViscosityPaS * gas.ConstantJKgK * gas.RoomK * thicknessM / (ambientPa*ambientPa - p2*p2)
}

// The two usual instruments for air permeance of paper and board, each with its area and pressure difference.
const (
	gurleyM3   = 100e-6  // volume timed; ISO 5636-5 apparatus, from memory
	gurleyM2   = 6.42e-4 // area
	gurleyPa   = 1.22e3  // pressure difference
	bendtsenM2 = 10e-4   // ISO 5636-3 apparatus, from memory
	bendtsenPa = 1.47e3  // pressure difference
)

// airResistance gives the permeability in m2 from a paper test: permeance P = V/(A dp t) in m/(Pa s), k = P mu
// thickness. Editions of the standards differ by 6 % in the constant of the first instrument.
func (s section) airResistance(thicknessMM float64) ([]float64, section) {
	test := s.section(s.node, "air_resistance")
	test.name = "layer.air_resistance"
	if !test.given() || !test.need("method", `"gurley"`) {
		return nil, test
	}
	method, ok := test.choice("method", "gurley", "bendtsen")
	t, okT := test.sheet(thicknessMM)
	if !ok {
		return nil, test
	}
	key, unused, example, of, in := "seconds", "flow", `"10 s"`, duration, gurleyS
	do := "write seconds: the time that 100 ml take"
	permeabilityM2 := func(seconds float64) float64 { return gurleyPermeabilityM2(seconds, t) }
	if method == 1 {
		key, unused, example, of, in, do = "flow", "seconds", `"1000 ml/min"`, smallFlow, testFlowM3h, "write flow"
		permeabilityM2 = func(flowM3h float64) float64 { return bendtsenPermeabilityM2(flowM3h/3600, t) }
	}
	test.only("belongs to the other method", do, unused)
	if !test.need(key, example) {
		return nil, test
	}
	readings, ok := test.readings(key, func(v *node) (float64, bool) { return test.measure(v, key, of, in) })
	if !ok || !okT {
		return nil, test
	}
	for i, x := range readings {
		readings[i] = permeabilityM2(x)
	}
	return readings, test
}

// gurleyPermeabilityM2 takes the seconds that 100 ml of air take, and the thickness in m.
func gurleyPermeabilityM2(seconds, thicknessM float64) float64 {
	return gurleyM3 / (gurleyM2 * gurleyPa * seconds) * gas.ViscosityPaS * thicknessM
}

// bendtsenPermeabilityM2 takes the flow in m3/s and the thickness in m.
func bendtsenPermeabilityM2(flowM3s, thicknessM float64) float64 {
	return flowM3s / (bendtsenM2 * bendtsenPa) * gas.ViscosityPaS * thicknessM
}
