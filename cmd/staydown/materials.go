package main

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"staydown/hold/material"
	"staydown/parse/units"
)

const materialsHelp = `Lists the built-in material, layer and pump data with range and source of each figure.

Example:
  staydown materials --units inch | less`

func runMaterials(args []string, s streams) int {
	f := newFlags("materials", "", materialsHelp, s)
	l := listing{}
	f.Func("units", "`SYSTEM` of all figures: metric (default) or inch",
		systemFlag(func(_ string, system units.System) { l.shop = system }))
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() > 0 {
		return misuse(s, "materials takes no arguments, not %q", f.Arg(0))
	}
	w := bufio.NewWriter(s.out)
	l.Writer = w
	l.section("Each figure: low (likely) high, and its source. Computed with the likely value.")
	if l.shop == units.Inch {
		l.section("Sources speak in their own units. Permeability is in m2 in every shop: 1 darcy is 9.87e-13 m2.")
	}
	l.works()
	l.layers()
	l.friction()
	l.pumps()
	l.spreads()
	if err := w.Flush(); err != nil {
		return broken(s, err)
	}
	return exitHeld
}

// listing writes the built-in figures.
type listing struct {
	io.Writer
	shop units.System
}

func (l listing) section(title string) { fmt.Fprintf(l, "%s\n", title) }

func (l listing) entry(name, meaning string) {
	fmt.Fprintln(l)
	writeHanging(l, "  "+name+": ", meaning)
}

func (l listing) row(what string, r material.Range, unit string) {
	figures := rangeOf(r)
	if u, ok := l.shop.Beside(unit); ok {
		in := func(x float64) float64 { return units.Digits(u.In(x), 3) }
		figures, unit = rangeOf(material.Range{Low: in(r.Low), Likely: in(r.Likely), High: in(r.High)}), u.Name
	}
	writeHanging(l, fmt.Sprintf("    %-29s %-24s ", what, strings.TrimRight(figures+" "+unit, " ")), r.Source)
}

func (l listing) works() {
	l.section("\nwork materials (stock.material)")
	for _, m := range material.Works() {
		l.entry(m.Name, m.Meaning)
		l.row("specific cutting force, 1 mm", m.KC11, "N/mm2")
		l.row("its exponent", m.MC, "")
		l.row("edge force", m.Edge, "N/mm")
		l.row("radial over tangential, chip", m.Radial, "")
		l.row("radial over tangential, edge", m.EdgeRadial, "")
		l.row("lift over tan(helix), chip", m.Lift, "")
		l.row("lift over tan(helix), edge", m.EdgeLift, "")
		l.row("rake of these figures", m.Rake, "deg")
		l.row("factor of the drilling law", m.Drill, "")
		l.row("density", m.Density, "kg/m3")
		l.row("shear strength", m.Shear, "N/mm2")
		l.row("tensile strength", m.Tensile, "N/mm2")
		l.row("yield strength", m.Yield, "N/mm2")
		writeHanging(l, fmt.Sprintf("    %-29s %-24s ", "failure of joins", m.Failure()),
			"common practice, no source: metals and tough plastics stretch before they break")
		l.row("least useful skin and pass", m.LeastUseful(), "mm")
		l.row("permeability through", m.Through, "m2")
		l.row("permeability along", m.Along, "m2")
	}
}

func (l listing) layers() {
	l.section("\nlayers (layer.material)")
	for _, m := range material.Layers() {
		l.entry(m.Name, m.Meaning)
		l.row("thickness", m.Thickness, "mm")
		l.row("permeability through", m.Through, "m2")
		l.row("permeability along", m.Along, "m2")
	}
}

func (l listing) friction() {
	l.section("\nfriction of the work on its support (layer.friction, zone.friction), dry and wet (friction_wet)")
	for _, p := range material.Pairs() {
		l.entry(fmt.Sprintf("%s on %s", p.Work, p.On), "")
		l.row("dry", p.Dry, "")
		l.row("wet", p.Wet, "")
	}
}

func (l listing) pumps() {
	l.section("\npumps (pump.kind); shape of the curve: 0 is S0 (1 - p_ult/p), 1 a straight line, a mixture " +
		"between")
	for _, p := range material.Pumps() {
		l.entry(p.Name, p.Meaning)
		l.row("ultimate absolute pressure", p.Ultimate, "Pa")
		l.row("shape of the curve", p.Shape, "")
	}
}

// spreads lists how far figures given as one value may be off, and how readings are joined with what is built in.
func (l listing) spreads() {
	l.section("\nspreads of figures without a range of their own, as multiples of the value (5 and 95 %)")
	for _, sp := range material.Spreads() {
		if sp.Low == sp.High {
			continue
		}
		l.entry(sp.Keys, sp.Meaning)
		l.row("low, likely, high", sp.Around(1, sp.Source), "")
	}
	l.section("\nreadings of one's own (layer.pull, gauge, flow_test, air_resistance)")
	for _, line := range []string{
		"Several readings give what the next one would show in 5 and 95 of 100 cases: mean of the logarithms -+ k s, " +
			"k = t sqrt(1 + 1/n) with Student's t, the factor k_n of EN 1990, annex D; the scatter of their kind " +
			"counts as four readings more.",
		"With a built-in range they are joined by the inverse of their variances. If both contradict each other at 2 " +
			"%, that is said and the wider range counts.",
	} {
		writeHanging(l, "    ", line)
	}
}

// rangeOf writes a figure as low (likely) high, an exact one as a single number.
func rangeOf(r material.Range) string {
	if r.Low == r.High {
		return fmt.Sprintf("%.6g", r.Likely)
	}
	return fmt.Sprintf("%.6g (%.6g) %.6g", r.Low, r.Likely, r.High)
}

// terminalColumns is the width that lists are wrapped to.
const terminalColumns = 100

// writeHanging writes text after lead, wrapped at spaces to terminalColumns, with a hanging indent. Only a word wider
// than the column goes past it.
func writeHanging(w io.Writer, lead, text string) {
	indent := utf8.RuneCountInString(lead)
	line := lead
	column := indent
	for i, word := range strings.Fields(text) {
		size := utf8.RuneCountInString(word)
		switch {
		case i == 0:
		case column+1+size > terminalColumns:
			fmt.Fprintln(w, strings.TrimRight(line, " "))
			line, column = strings.Repeat(" ", indent), indent
		default:
			line, column = line+" ", column+1
		}
		line, column = line+word, column+size
	}
	fmt.Fprintln(w, strings.TrimRight(line, " "))
}
