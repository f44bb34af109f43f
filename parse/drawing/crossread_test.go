package drawing

import (
	"bytes"
	"cmp"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb/planar"
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

// independentReader is a Python with the module, "" for none: the one on the path, or the system's own.
func independentReader() string {
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if python, err := exec.LookPath(name); err == nil && exec.Command(python, "-c", "import ezdxf").Run() == nil {
			return python
		}
	}
	return ""
}

// Another reader finds the same closed curves, with the same areas.
func TestAnotherReaderFindsTheSameOutlines(t *testing.T) {
	python := independentReader()
	if python == "" {
		t.Skip("no python3 has the module ezdxf to read drawings in another way; install python3-ezdxf or pip " +
			"install ezdxf")
	}
	// With the subclass marks that R2000 writes: the other reader insists on them. It takes the curves of a block apart
	// where an INSERT does not scale them alike both ways, so that is left to the tests of areas.
	mark := func(class string) string { return " 5=%X 330=0 100=AcDbEntity 8=0 100=AcDb" + class + " " }
	entities := "LWPOLYLINE" + mark("Polyline") + "90=4 70=1 10=0 20=0 10=30 20=0 10=30 20=20 10=0 20=20\n" +
		"CIRCLE" + mark("Circle") + "10=100 20=0 30=0 40=7\n" +
		"ELLIPSE" + mark("Ellipse") + "10=200 20=0 30=0 11=20 21=5 31=0 40=0.4 41=0 42=6.283185307179586\n" +
		"LWPOLYLINE" + mark("Polyline") + "90=4 70=1 10=300 20=0 10=330 20=0 42=1 10=330 20=10 10=300 20=10 42=0.5\n" +
		"CIRCLE" + mark("Circle") + "10=-400 20=50 30=0 40=9 210=0 220=0 230=-1\n" + // drawn from below: X is turned
		"SPLINE" + mark("Spline") + "70=8 71=2 72=8 73=5 74=0 40=0 40=0 40=0 40=1 40=2 40=3 40=3 40=3 " +
		"10=500 20=0 30=0 10=540 20=0 30=0 10=540 20=30 30=0 10=500 20=30 30=0 10=500 20=0 30=0\n" +
		"INSERT" + mark("BlockReference") + "2=TAB 10=600 20=0 30=0 41=2 42=-2 43=2 50=30\n" +
		"INSERT" + mark("BlockReference") + "2=TAB 10=700 20=0 30=0 41=1 42=1 43=1 70=3 71=2 44=20 45=15\n"
	block := "BLOCK 5=20 330=0 100=AcDbEntity 8=0 100=AcDbBlockBegin 2=TAB 70=0 10=0 20=0 30=0 3=TAB 1=\n" +
		"LWPOLYLINE" + mark("Polyline") + "90=3 70=1 10=0 20=0 10=10 20=0 42=0.3 10=0 20=8\n" +
		"ENDBLK 5=21 330=0 100=AcDbEntity 8=0 100=AcDbBlockEnd\n"
	handle := 0x100
	numbered := func(s string) string {
		for strings.Contains(s, "%X") {
			handle++
			s = strings.Replace(s, "%X", strconv.FormatInt(int64(handle), 16), 1)
		}
		return s
	}
	text := groups("SECTION 2=HEADER 9=$ACADVER 1=AC1015 9=$INSUNITS 70=4\nENDSEC\nSECTION 2=BLOCKS\n" +
		numbered(block) +
		"ENDSEC\nSECTION 2=ENTITIES\n" + numbered(entities) + "ENDSEC\nEOF")
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
	slices.SortFunc(d.Parts, func(p, q Part) int { return cmp.Compare(planar.Area(q.Ring), planar.Area(p.Ring)) })
	for i, text := range theirs { // largest first too
		mm2, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		ring := d.Parts[i].Ring
		if got := planar.Area(ring); math.Abs(got-mm2) > (FlatMM+0.001)*planar.Length(ring) {
			t.Errorf("outline %d: %.3f mm2 there, %.3f here", i+1, mm2, got)
		}
	}
}
