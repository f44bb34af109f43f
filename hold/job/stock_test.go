package job_test

import (
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/job"
	"staydown/parse/units"
)

const minimalStock = `corner = ["0 mm", "0 mm", "-6 mm"]
size = ["600 mm", "400 mm", "6 mm"]
`

func read(t *testing.T, from, to string) *job.Job {
	t.Helper()
	text := strings.Replace(minimal, from, to, 1)
	if text == minimal {
		t.Fatalf("%q is not in the minimal job", from)
	}
	j, err := job.Parse("j.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func TestDiscOfStock(t *testing.T) {
	j := read(t, minimalStock, "centre = [\"100 mm\", \"5 cm\"]\ndiameter = \"300 mm\"\nthickness = \"6 "+
		"mm\"\nbottom = \"-6 mm\"\n")
	b := j.Stock.Blanks[0]
	if j.Stock.BottomMM != -6 || b.TopMM != 0 {
		t.Errorf("from %g to %g mm", j.Stock.BottomMM, b.TopMM)
	}
	// pi R^2, chords at most 0.005 mm inside
	if a, want := planar.Area(b.Outline), math.Pi*150*150; a > want || a < want-2*math.Pi*150*0.005 {
		t.Errorf("area %g, want %g", a, want)
	}
}

func TestPolygonOfStockTurnsCounterclockwise(t *testing.T) {
	j := read(t, minimalStock, "corners = [[\"0 mm\", \"0 mm\"], [\"0 mm\", \"10 mm\"], [\"20 mm\", \"0 "+
		"mm\"]]\nthickness = \"6 mm\"\nbottom = \"1 mm\"\n")
	b := j.Stock.Blanks[0]
	if o := b.Outline[0].Orientation(); o != orb.CCW || planar.Area(b.Outline) != 100 || j.Stock.BottomMM != 1 ||
		b.TopMM != 7 {
		t.Errorf("%v, %v", o, b)
	}
}

// 600 x 400 less 50 x 20 less a disc of 20 mm less a triangle of 50 mm2.
func TestCutouts(t *testing.T) {
	j := read(t, "[layer]\n", `[[stock.cutout]]
corner = ["10 mm", "10 mm"]
size = ["50 mm", "20 mm"]
[[stock.cutout]]
centre = ["300 mm", "200 mm"]
diameter = "20 mm"
[[stock.cutout]]
corners = [["400 mm", "300 mm"], ["410 mm", "300 mm"], ["400 mm", "310 mm"]]
[layer]
`)
	outline := j.Stock.Blanks[0].Outline
	if len(outline) != 4 {
		t.Fatalf("%d rings", len(outline))
	}
	for _, hole := range outline[1:] {
		if hole.Orientation() != orb.CW {
			t.Errorf("hole %v turns the wrong way", hole)
		}
	}
	want := 600.0*400 - 50*20 - math.Pi*100 - 50
	if a := planar.Area(outline); math.Abs(a-want) > 2*math.Pi*10*0.005 {
		t.Errorf("area %g, want %g", a, want)
	}
}

func TestSeveralBlanks(t *testing.T) {
	const second = "[[blank]]\ncorner = [\"600 mm\", \"0 mm\", \"-6 mm\"]\n" +
		"size = [\"100 mm\", \"100 mm\", \"10 mm\"]\n" +
		"[[blank.cutout]]\ncentre = [\"650 mm\", \"50 mm\"]\ndiameter = \"20 mm\"\n"
	j := read(t, "[layer]\n", second+"[layer]\n") // they share a side, which is no overlap
	if len(j.Stock.Blanks) != 2 || j.Stock.Blanks[0].TopMM != 0 || j.Stock.Blanks[1].TopMM != 4 ||
		len(j.Stock.Blanks[1].Outline) != 2 {
		t.Errorf("%+v", j.Stock)
	}
	j = read(t, minimalStock+"material = \"aluminium-wrought\"\n", "material = \"aluminium-wrought\"\n"+second)
	if len(j.Stock.Blanks) != 1 || j.Stock.Blanks[0].Outline[0].Bound().Min[0] != 600 {
		t.Errorf("%+v", j.Stock)
	}
	// A disc takes its Z from [stock].
	j = read(t, minimalStock+"material = \"aluminium-wrought\"\n",
		"material = \"aluminium-wrought\"\nbottom = \"-3 mm\"\n[[blank]]\ncentre = [\"0 mm\", \"0 mm\"]\ndiameter = "+
			"\"50 mm\"\nthickness = \"2 mm\"\n")
	if j.Stock.BottomMM != -3 || len(j.Stock.Blanks) != 1 || j.Stock.Blanks[0].TopMM != -1 {
		t.Errorf("%+v", j.Stock)
	}
}

func TestZoneWithoutLayerIsGasketed(t *testing.T) {
	j := read(t, "[layer]\nthickness = \"0.8 mm\"\nthrough = \"3e-13 m2\"\n", "")
	if j.Layer != nil || j.Zones[0].Seal != job.GasketSeal || j.Zones[0].Friction != (job.Friction{Dry: 0.2,
		Wet: 0.12}) {
		t.Errorf("%+v %+v", j.Layer, j.Zones[0])
	}
}

// Zones that share a side lie beside each other.
func TestZonesSideBySide(t *testing.T) {
	j := read(t, "[pump]", "[[zone]]\nname = \"B\"\nopen = false\narea = [[\"900 mm\",\"400 mm\"],[\"600 mm\",\"0 "+
		"mm\"]]\n[pump]")
	if len(j.Zones) != 2 || j.Zones[1].Open || planar.Area(j.Zones[1].Area) != 300*400 {
		t.Errorf("%+v", j.Zones)
	}
}

func TestOrigins(t *testing.T) {
	j := read(t, "[pump]", "[[origin]]\nsystem = \"G59.3\"\nat = [\"300 mm\", \"1 in\", \"-0.1 cm\"]\n[pump]")
	extended := read(t, "[pump]", "[[origin]]\nsystem = \"G54.1 P12\"\nat = [\"1 mm\", \"2 mm\", \"3 mm\"]\n[pump]")
	if extended.Origins["G54.1 P12"] != (job.Origin{X: 1, Y: 2, Z: 3}) {
		t.Errorf("%+v", extended.Origins)
	}
	if len(j.Origins) != 1 || j.Origins["G59.3"] != (job.Origin{X: 300, Y: 25.4, Z: -1}) {
		t.Errorf("%+v", j.Origins)
	}
}

func TestToolShapes(t *testing.T) {
	j := read(t, "[[tool]]\n", `[[tool]]
number = 2
shape = "bull"
diameter = "0.5 in"
corner = "1 mm"
helix = "-60 deg"
rake = "6 deg"
[[tool]]
number = 3
shape = "vee"
diameter = "10 mm"
angle = "90 deg"
[[tool]]
number = 4
shape = "drill"
diameter = "3 mm"
[[tool]]
`)
	if b := j.Tools[2]; b.DiameterMM != 12.7 || b.CornerMM != 1 || b.HelixRad != -math.Pi/3 &&
		math.Abs(b.HelixRad+math.Pi/3) > 1e-12 || math.Abs(b.RakeRad-math.Pi/30) > 1e-12 {
		t.Errorf("%+v", b)
	}
	if v := j.Tools[3]; math.Abs(v.AngleRad-math.Pi/2) > 1e-12 {
		t.Errorf("%+v", v)
	}
	if d := j.Tools[4]; math.Abs(d.AngleRad-118*math.Pi/180) > 1e-12 {
		t.Errorf("%+v", d)
	}
	if !strings.Contains(strings.Join(j.Assumed.In(units.Metric), "\n"), "point angle 118 deg assumed for tool 4") {
		t.Errorf("%q", j.Assumed)
	}
}
