package job_test

import (
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb/planar"

	"staydown/hold/job"
	"staydown/parse/units"
)

const onTheTable = contractExample + `
[[clamp]]
name   = "left"
corner = ["10 mm", "1 cm"]
size   = ["2 in", "20 mm"]
height = "25 mm"
force  = "0.5 kN"
friction = 0.2
[[clamp]]
centre   = ["590 mm", "200 mm"]
diameter = "40 mm"
top      = "30 mm"
force    = "100 lbf"
[[fixture]]
name   = "stop"
corner = ["-60 mm", "0 mm", "-6 mm"]
size   = ["40 mm", "400 mm", "30 mm"]
[[fixture]]
corners = [["700 mm","0 mm"], ["740 mm","0 mm"], ["700 mm","40 mm"]]
top     = "12 mm"
`

func TestClampsAndFixtures(t *testing.T) {
	text := strings.Replace(onTheTable, "[machine]", "[machine]\ntable = [[\"-100 mm\",\"-50 mm\"],[\"800 "+
		"mm\",\"0.5 m\"]]", 1)
	text = strings.Replace(text, "number   = 1", "number = 1\nholder = \"40 mm\"\ngauge_length = \"50 mm\"", 1)
	j, err := job.Parse("j.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if len(j.Clamps) != 2 || len(j.Fixtures) != 2 {
		t.Fatalf("%d clamps, %d fixtures", len(j.Clamps), len(j.Fixtures))
	}
	left, round := j.Clamps[0], j.Clamps[1]
	if b := left.Footprint.Bound(); left.Name != "left" || b.Min[0] != 10 || b.Min[1] != 10 ||
		math.Abs(b.Max[0]-60.8) > 1e-9 || b.Max[1] != 30 {
		t.Errorf("%s: %v", left.Name, b)
	}
	if left.TopMM != 25 || left.ForceN != 500 || left.Friction != 0.2 {
		t.Errorf("left: top %g mm (the stock ends at Z0), %g N, friction %g", left.TopMM, left.ForceN, left.Friction)
	}
	// 100 lbf are 444.82216152605 N (NIST SP 811, B.8). The polygon lies round the disc, never within it.
	if round.Name != "2" || round.TopMM != 30 || math.Abs(round.ForceN-444.82216152605) > 1e-9 || round.Friction != 0 {
		t.Errorf("round: %+v", round)
	}
	if a := planar.Area(round.Footprint); a < math.Pi*400 || a > math.Pi*400*1.002 {
		t.Errorf("a disc of 40 mm covers %g mm2, true %g", a, math.Pi*400)
	}
	if f := j.Fixtures[0]; f.Name != "stop" || f.TopMM != 24 || f.Footprint.Bound().Min[0] != -60 ||
		f.Footprint.Bound().Max[1] != 400 {
		t.Errorf("%+v", f)
	}
	if f := j.Fixtures[1]; f.TopMM != 12 || planar.Area(f.Footprint) != 800 {
		t.Errorf("%+v", f)
	}
	if b := j.Machine.Table.Bound(); b.Min[0] != -100 || b.Max[1] != 500 {
		t.Errorf("table %v", b)
	}
	if tool := j.Tools[1]; tool.HolderMM != 40 || tool.GaugeMM != 50 {
		t.Errorf("holder %g mm from %g mm", tool.HolderMM, tool.GaugeMM)
	}
	if all := strings.Join(j.Assumed.In(units.Metric), "\n"); !strings.Contains(all, "clamp 2: keeps the work in "+
		"its place by "+
		"friction on the table alone (friction)") || strings.Contains(all, "clamp left: keeps") {
		t.Errorf("assumed:\n%s", all)
	}
}

func TestTheHolderBeginsAtTheLowerOfItsTwoLengths(t *testing.T) {
	for _, c := range []struct {
		keys string
		want float64
	}{{"", 0}, {"length = \"60 mm\"", 60}, {"gauge_length = \"50 mm\"", 50}, {"length = \"60 mm\"\ngauge_length = " +
		"\"50 mm\"", 50}, {"length = \"45 mm\"\ngauge_length = \"50 mm\"", 45}} {
		j, err := job.Parse("j.toml", []byte(strings.Replace(contractExample, "number   = 1", "number = 1\n"+c.keys,
			1)))
		if err != nil {
			t.Fatal(err)
		}
		if got := j.Tools[1].GaugeMM; got != c.want {
			t.Errorf("%q: from %g mm, want %g", c.keys, got, c.want)
		}
	}
}

func TestClampMessages(t *testing.T) {
	for _, c := range []struct{ name, old, new, want string }{
		{"misspelt key", `force  = "0.5 kN"`, `forse  = "0.5 kN"`, "forse: unknown key of clamp; the nearest known " +
			"one is force"},
		{"misspelt table", "[[fixture]]\nname", "[[fixtur]]\nname", "fixtur: unknown table; the nearest known one " +
			"is fixture"},
		{"single brackets", "[[clamp]]\nname", "[clamp]\nname", "clamp"},
		{"no force", `force  = "0.5 kN"`, "", `clamp: force is missing; write force = "500 N"`},
		{"force without a unit", `force  = "0.5 kN"`, `force = 500`, `force: 500 has no unit; write "500 N"`},
		{"force in kg", `force  = "0.5 kN"`, `force = "50 kg"`, "force: "},
		{"no force at all", `force  = "0.5 kN"`, `force = "0 N"`, `force: "0 N" is out of range`},
		{"no height", `height = "25 mm"`, "", "clamp: height is missing; write height = "},
		{"height and top", `height = "25 mm"`, "height = \"25 mm\"\ntop = \"25 mm\"", "height: says the same as " +
			"top; leave out one of the two"},
		{"top below the stock", `top      = "30 mm"`, `top = "-1 mm"`, "top: the clamp ends below the top of the " +
			"stock at Z 0 mm"},
		{"beside the stock", `["590 mm", "200 mm"]`, `["690 mm", "200 mm"]`, "clamp: stands beside the stock and " +
			"presses on nothing"},
		{"place with a Z", `["10 mm", "1 cm"]`, `["10 mm", "1 cm", "0 mm"]`, "corner: a list of 3 where 2 is wanted"},
		{"two of a name", "centre   =", "name = \"left\"\ncentre =", `name: "left" is already the clamp on line`},
		{"keys of two shapes", `size   = ["2 in", "20 mm"]`, "size = [\"2 in\", \"20 mm\"]\ndiameter = \"20 mm\"",
			"belongs to another shape"},
		{"box without a height", `size   = ["40 mm", "400 mm", "30 mm"]`, `size = ["40 mm", "400 mm"]`,
			"size: a list of 2 where 3 is wanted"},
		{"polygon fixture without a top", `top     = "12 mm"`, "", `fixture: top is missing; write top = "40 mm"`},
		{"top of a box", "name   = \"stop\"", "name = \"stop\"\ntop = \"24 mm\"", "top: belongs to another shape; " +
			"leave it out: corner and size say how high the box is"},
		{"a holder below the flutes' end", "number   = 1", "number = 1\nholder = \"40 mm\"\ngauge_length = \"10 mm\"",
			"gauge_length: the holder begins at 10 mm, below the end of the flutes at 22 mm"},
		{"a holder without a unit", "number   = 1", "number = 1\nholder = 40", `holder: 40 has no unit; write "40 mm"`},
		{"half a table", "[machine]", "[machine]\ntable = [[\"0 mm\",\"0 mm\"]]", "table: a list of 1 where 2 to " +
			"500 is wanted"},
	} {
		text := strings.Replace(onTheTable, c.old, c.new, 1)
		if text == onTheTable {
			t.Fatalf("%s: %q is not in the example", c.name, c.old)
		}
		_, err := job.Parse("j.toml", []byte(text))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v\nwant %q", c.name, err, c.want)
		}
	}
}
