package main

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"staydown/hold/material"
)

func runMaterials(args []string, s streams) int {
	f := newFlags("materials", "", "Lists the built-in material, layer and pump data with the source of each figure.", s)
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() > 0 {
		return misuse(s, "materials takes no arguments, not %q", f.Arg(0))
	}
	w := bufio.NewWriter(s.out)
	section := func(title string) { fmt.Fprintf(w, "%s\n", title) }
	entry := func(name, meaning string) {
		fmt.Fprintln(w)
		writeHanging(w, "  "+name+": ", meaning)
	}
	row := func(what string, f material.Range, unit string) {
		writeHanging(w, fmt.Sprintf("    %-28s %9.4g %-6s ", what, f.Likely, unit), f.Source)
	}
	section("work materials (stock.material)")
	for _, m := range material.Works() {
		entry(m.Name, m.Meaning)
		row("specific cutting force at 1 mm", m.KC11, "N/mm2")
		row("its exponent", m.MC, "")
		row("edge force", m.Edge, "N/mm")
		row("radial over tangential force", m.Radial, "")
		row("density", m.Density, "kg/m3")
		row("shear strength", m.Shear, "N/mm2")
		row("tensile strength", m.Tensile, "N/mm2")
		row("yield strength", m.Yield, "N/mm2")
		row("permeability through", m.Through, "m2")
		row("permeability along", m.Along, "m2")
	}
	section("\nlayers (layer.material)")
	for _, l := range material.Layers() {
		entry(l.Name, l.Meaning)
		row("thickness", l.Thickness, "mm")
		row("permeability through", l.Through, "m2")
		row("permeability along", l.Along, "m2")
		row("friction, part on layer", l.Friction, "")
	}
	section("\npumps (pump.kind)")
	for _, p := range material.Pumps() {
		entry(p.Name, p.Meaning)
		row("ultimate absolute pressure", p.Ultimate, "Pa")
		shape := "S = S0 (1 - p_ult/p)"
		if p.Shape.Likely == 1 {
			shape = "S falls in a straight line with the pressure difference"
		}
		writeHanging(w, fmt.Sprintf("    %-28s ", "shape of the curve"), shape+": "+p.Shape.Source)
	}
	if err := w.Flush(); err != nil {
		return broken(s, err)
	}
	return exitHeld
}

// terminalColumns is the width that lists are wrapped to.
const terminalColumns = 100

// writeHanging writes text behind lead, wrapped at spaces to terminalColumns, further lines below the first one's text.
// Only a word that is longer than its column goes past it.
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
