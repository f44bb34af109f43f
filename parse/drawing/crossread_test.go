package drawing

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// independent prints the areas of the closed curves of the model space, flattened by another reader of DXF, largest
// first. Loose lines and arcs are left to the tests of areas.
const independent = `
import sys, ezdxf
from ezdxf import path
doc = ezdxf.readfile(sys.argv[1])
areas = []
def walk(entities):
    for e in entities:
        kind = e.dxftype()
        if kind == "INSERT":
            for one in (e.multi_insert() if e.mcount > 1 else [e]):
                walk(one.virtual_entities())
        elif kind in ("CIRCLE", "ELLIPSE", "LWPOLYLINE", "POLYLINE", "SPLINE"):
            p = path.make_path(e)
            if not p.is_closed:
                continue
            v = [(q.x, q.y) for q in p.flattening(0.001)]
            s = sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(v, v[1:] + v[:1]))
            areas.append(abs(s) / 2)
walk(doc.modelspace())
print("\n".join("%.6f" % a for a in sorted(areas, reverse=True)))
`

// Another reader finds the same closed curves, with the same areas.
func TestAnotherReaderFindsTheSameOutlines(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Skip("python3 is not there to read drawings in another way")
	}
	if exec.Command(python, "-c", "import ezdxf").Run() != nil {
		t.Skip("python3 has no module ezdxf to read drawings in another way; pip install ezdxf")
	}
	text := groups("SECTION 2=HEADER 9=$ACADVER 1=AC1015 9=$INSUNITS 70=4\nENDSEC\nSECTION 2=ENTITIES\n" + square +
		"\nCIRCLE 8=0 10=100 20=0 30=0 40=7\nELLIPSE 8=0 10=200 20=0 30=0 11=20 21=5 31=0 40=0.4 41=0 " +
		"42=6.283185307179586\n" +
		"LWPOLYLINE 8=0 90=4 70=1 10=300 20=0 10=330 20=0 42=1 10=330 20=10 10=300 20=10 42=0.5\nENDSEC\nEOF")
	name := filepath.Join(t.TempDir(), "t.dxf")
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	var stderr bytes.Buffer
	cmd := exec.Command(python, "-c", independent, name)
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, stderr.String())
	}
	theirs := strings.Fields(string(out))
	d := mustRead(t, text, Options{})
	if len(theirs) != len(d.Parts) {
		t.Fatalf("%d outlines there, %d parts here", len(theirs), len(d.Parts))
	}
	total := 0.0
	for _, s := range theirs {
		mm2, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		total += mm2
	}
	if got, around := areaOf(d); math.Abs(got-total) > (FlatMM+0.001)*around {
		t.Errorf("%.3f mm2 there, %.3f here", total, got)
	}
}
