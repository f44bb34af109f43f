package drawing

import (
	"math"
	"testing"

	"github.com/paulmach/orb/planar"
)

// checkRead reads whatever it is given: no panic, and every outline that comes out is closed, finite and has an area.
func checkRead(t *testing.T, name string, data []byte) {
	mm, _ := UnitNamed("mm")
	for _, opt := range []Options{{}, {Unit: mm, WithoutFrame: true}} {
		d, err := Read(name, data, opt)
		if err != nil {
			continue
		}
		for _, p := range d.Parts {
			for _, o := range append([]Outline{p.Outline}, p.Holes...) {
				area := planar.Area(o.Ring)
				if len(o.Ring) < 4 || !o.Ring.Closed() || !(area > 0) || math.IsInf(area, 0) {
					t.Errorf("an outline of %d points and %g mm2", len(o.Ring), area)
				}
			}
		}
	}
}

func FuzzReadDXF(f *testing.F) {
	f.Add([]byte(inMM(square + "\nARC 10=0 20=0 40=5 50=0 51=180\nINSERT 2=A 10=0 20=0 41=2 70=3")))
	f.Add([]byte(inMM("SPLINE 71=2 40=0 40=0 40=0 40=1 40=1 40=1 10=0 20=0 10=1 20=2 10=3 20=0 41=1 41=2 41=1")))
	f.Add([]byte(inMM("POLYLINE 70=1\nVERTEX 10=0 20=0 42=1\nVERTEX 10=30 20=0\nSEQEND\nELLIPSE 10=0 20=0 11=9 21=0 " +
		"40=0.5 230=-1")))
	f.Add([]byte(groups("SECTION 2=BLOCKS\nBLOCK 2=A 10=5 20=5\n" + square + "\nENDBLK\nENDSEC\nEOF")))
	f.Fuzz(func(t *testing.T, data []byte) { checkRead(t, "t.dxf", data) })
}

func FuzzReadSVG(f *testing.F) {
	f.Add([]byte(page(`<path d="M10 10h30v40h-30zm5 5a1 2 30 0110 10q1 2 3 4t5-6c1 2 3 4 5 6s7 8 9-1z"/>`)))
	f.Add(
		[]byte(page(`<g transform="rotate(3)skewY(4)"><use href="#a"/><rect id="a" rx="2" width="9" height="8"/></g>`)))
	f.Add([]byte(report))
	f.Fuzz(func(t *testing.T, data []byte) { checkRead(t, "t.svg", data) })
}
