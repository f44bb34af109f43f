package material_test

import (
	"sort"
	"strings"
	"testing"

	"staydown/hold/material"
)

func ranges(l material.Layer) map[string]material.Range {
	return map[string]material.Range{
		"thickness": l.Thickness, "through": l.Through, "along": l.Along,
	}
}

func TestEveryLayerFigureNamesItsSource(t *testing.T) {
	for _, l := range material.Layers() {
		for what, f := range ranges(l) {
			if f.Source == "" || !(0 < f.Low && f.Low <= f.Likely && f.Likely <= f.High) {
				t.Errorf("%s: %s is %v with source %q", l.Name, what, f.Likely, f.Source)
			}
		}
	}
}

func TestEveryPumpFigureNamesItsSource(t *testing.T) {
	for _, p := range material.Pumps() {
		for _, f := range []material.Range{p.Ultimate, p.Shape} {
			if !(f.Low <= f.Likely && f.Likely <= f.High) {
				t.Errorf("%s: %g, %g, %g", p.Name, f.Low, f.Likely, f.High)
			}
		}
		if p.Ultimate.Source == "" || p.Shape.Source == "" || p.Meaning == "" {
			t.Errorf("%s lacks a source or a meaning", p.Name)
		}
	}
}

func TestFiguresLieInPublishedRanges(t *testing.T) {
	between := func(what string, f material.Range, low, high float64, source string) {
		t.Helper()
		if f.Low < low || f.High > high {
			t.Errorf("%s is %g to %g, outside %g to %g (%s)", what, f.Low, f.High, low, high, source)
		}
	}
	mdf, ok := material.LayerNamed("mdf")
	if !ok {
		t.Fatal("no mdf")
	}
	const mdfSource = "J. Wood & Forest Sci. Technol., gas permeability of MDF"
	between("mdf across", mdf.Through, 0.38e-13, 6.26e-13, mdfSource)
	between("mdf along", mdf.Along, 0.38e-13, 6.26e-13, mdfSource)
	card, ok := material.LayerNamed("porous-card")
	if !ok {
		t.Fatal("no porous-card")
	}
	between("card across", card.Through, 1.36e-15, 1.36e-12, "ISO 5636-5:2013, scope, at 0.75 mm")
	board, ok := material.LayerNamed("low-density-board")
	if !ok {
		t.Fatal("no low-density-board")
	}
	between("board across", board.Through, 1e-12, 1e-11, "from memory, not confirmed")

	for name, want := range map[string][2]float64{
		"rotary-vane":  {10, 2000},
		"dry-claw":     {5000, 20000},
		"side-channel": {50000, 80000},
		"ejector":      {7000, 60000},
	} {
		pump, ok := material.PumpNamed(name)
		if !ok {
			t.Errorf("no pump %s", name)
			continue
		}
		between(name+" ultimate", pump.Ultimate, want[0], want[1], "common practice, no source")
	}
}

// Displacement pumps keep their stroke volume, blowers and ejectors lose flow in a straight line: common practice, no
// source.
func TestPumpShapes(t *testing.T) {
	for name, want := range map[string]float64{
		"rotary-vane": material.ShapeDisplacement, "dry-claw": material.ShapeDisplacement,
		"side-channel": material.ShapeLine, "ejector": material.ShapeLine,
	} {
		if pump, _ := material.PumpNamed(name); pump.Shape.Likely != want {
			t.Errorf("%s has shape %v, want %v", name, pump.Shape.Likely, want)
		}
	}
}

func TestListsAreSortedAndNamesUnknownAreRefused(t *testing.T) {
	var layers, pumps []string
	for _, l := range material.Layers() {
		layers = append(layers, l.Name)
	}
	for _, p := range material.Pumps() {
		pumps = append(pumps, p.Name)
	}
	if !sort.StringsAreSorted(layers) || !sort.StringsAreSorted(pumps) {
		t.Errorf("not in order of name: %v %v", layers, pumps)
	}
	if _, ok := material.LayerNamed("granite"); ok {
		t.Error("granite is not a layer")
	}
	if _, ok := material.PumpNamed(strings.ToUpper(pumps[0])); ok {
		t.Error("names are lower case")
	}
}
