package main

import (
	"bufio"
	"fmt"

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
	entry := func(name, meaning string) { fmt.Fprintf(w, "\n  %s: %s\n", name, meaning) }
	row := func(what string, f material.Figure, unit string) {
		fmt.Fprintf(w, "    %-34s %10.4g %-6s %s\n", what, f.Value, unit, f.Source)
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
		if p.Shape.Value == 1 {
			shape = "S falls in a straight line with the pressure difference"
		}
		fmt.Fprintf(w, "    %-34s %s: %s\n", "shape of the curve", shape, p.Shape.Source)
	}
	if err := w.Flush(); err != nil {
		return exitUsage
	}
	return exitHeld
}
