package job_test

import (
	"bytes"
	"errors"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/parse/units"
)

// slotsAndHoles is a program as read: a half circle and a straight with tool 3, holes with tool 7, a tool that is only
// called, and a feed before the first tool change.
func slotsAndHoles() *parse.Program {
	arc := parse.Move{
		Kind: parse.Arc, Line: 14, Tool: 3, Start: parse.Point{X: 100, Y: 50, Z: -6.2}, End: parse.Point{X: 100, Y: 0,
			Z: -6.2},
		Centre: parse.Point{X: 100, Y: 25}, TurnRad: -math.Pi, LengthMM: 25 * math.Pi, FeedMMMin: 1200, RPM: 18000,
	}
	return &parse.Program{
		Name: "plate.nc", Units: units.Inch, CutLengthMM: 300, DurationS: 90,
		Assumed: []string{"plane XY\n[pump] assumed"},
		Notes: []parse.Note{
			{Kind: parse.Reading, Pos: parse.Pos{Line: 2}, Message: "lower case"},
			{Kind: parse.Unread, Pos: parse.Pos{Line: 31}, Message: "G999 is not known"},
			{Kind: parse.Unread, Pos: parse.Pos{Line: 32}, Message: "G998 is not known"},
		},
		Moves: *parse.NewMoves(
			parse.Move{Kind: parse.Feed, Line: 5, Start: parse.Point{X: 10, Y: 0, Z: 1}, End: parse.Point{X: 10.5, Y: 0,
				Z: 1}, LengthMM: 0.5, FeedMMMin: 500},
			parse.Move{Kind: parse.Rapid, Line: 11, Tool: 3, Start: parse.Point{Z: 90}, End: parse.Point{X: -900,
				Z: 90}},
			parse.Move{Kind: parse.Feed, Line: 13, Tool: 3, Start: parse.Point{X: 10, Y: 50, Z: 2},
				End: parse.Point{X: 100, Y: 50, Z: -6.2}, LengthMM: 90, FeedMMMin: 800, RPM: 18000},
			arc,
			parse.Move{Kind: parse.Feed, Line: 21, Tool: 7, Start: parse.Point{X: 30, Y: 30, Z: 2},
				End: parse.Point{X: 30, Y: 30, Z: -7}, LengthMM: 9, FeedMMMin: 200, RPM: 6000},
		),
		ToolCalls: []parse.ToolCall{{Tool: 3, Line: 10, Move: 1}, {Tool: 7, Line: 20, Move: 4},
			{Tool: 9, Line: 30, Move: 5}},
	}
}

func drafted(t *testing.T, p *parse.Program, src string, shop ...job.File) []byte {
	t.Helper()
	d, err := job.NewDraft(p, []byte(src), p.Name, units.Unchosen, shop...)
	if err != nil {
		t.Fatal(err)
	}
	return d.Text
}

// linesWith gives the numbers of the lines that hold the mark outside of comments.
func linesWith(text []byte) []int {
	var lines []int
	for i, line := range strings.Split(string(text), "\n") {
		before, _, _ := strings.Cut(line, "#")
		if strings.Contains(before, job.Fill) {
			lines = append(lines, i+1)
		}
	}
	return lines
}

func complaints(t *testing.T, text []byte) []int {
	t.Helper()
	_, err := job.Parse("plate.toml", text)
	var all job.Errors
	if err != nil && !errors.As(err, &all) {
		t.Fatalf("%T: %v", err, err)
	}
	var lines []int
	for _, p := range all {
		if !strings.HasPrefix(p.What, "still to be filled in") {
			t.Errorf("%v", p)
		}
		if n := len(lines); n == 0 || lines[n-1] != p.Pos.Line {
			lines = append(lines, p.Pos.Line)
		}
	}
	return lines
}

// fillIn writes plain values over the marks, by the key they stand at.
func fillIn(text []byte) []byte {
	values := map[string][]string{
		"altitude": {"250 m"}, "corner": {"-6 mm"}, "size": {"6 mm"}, "material": {"aluminium-wrought"},
		"thickness": {"0.8 mm"},
		"through":   {"3e-13 m2"}, "area": {"0 mm", "0 mm", "600 mm", "400 mm"}, "kind": {"rotary-vane"},
		"flow": {"63 m3/h"}, "diameter": {"6 mm"}, "speed": {"18000 rpm"},
	}
	var out []string
	header := ""
	for _, line := range strings.Split(string(text), "\n") {
		key, _, _ := strings.Cut(line, " ")
		if strings.HasPrefix(line, "[") {
			header = key
		}
		if header == "[layer]" && key == "material" {
			line = strings.Replace(line, job.Fill, "porous-card", 1)
		}
		for _, v := range values[key] {
			line = strings.Replace(line, job.Fill, v, 1)
		}
		out = append(out, line)
	}
	return []byte(strings.Join(out, "\n"))
}

func TestDraftNamesWhatIsLeftAndThenParses(t *testing.T) {
	slots := slotsAndHoles()
	empty := &parse.Program{Name: "nothing.nc"}
	hostile := &parse.Program{Name: "x", Moves: *parse.NewMoves(
		parse.Move{Kind: parse.Arc, Start: parse.Point{X: math.NaN()}, TurnRad: math.Inf(1), LengthMM: math.Inf(1)},
		parse.Move{Kind: parse.Feed, End: parse.Point{X: 1e300}, Tool: math.MaxInt32}, parse.Move{Kind: parse.Feed,
			Tool: -4},
	), ToolCalls: []parse.ToolCall{{Tool: -4}, {Tool: math.MaxInt32, Line: 1}}}
	many := &parse.Program{Name: "many"}
	for i := range 1000 {
		many.ToolCalls = append(many.ToolCalls, parse.ToolCall{Tool: i, Line: i})
	}
	for _, p := range []*parse.Program{slots, empty, hostile, many} {
		name, src := "evil\n[pump]\x00 FILL \xff name "+p.Name, []byte("(STOCK FILL\x00 \xff MDF)\n(T3 D6 FILL\x01)")
		d, err := job.NewDraft(p, src, name, units.Unchosen)
		if err != nil {
			t.Fatal(err)
		}
		text := d.Text
		if again, _ := job.NewDraft(p, src, name, units.Unchosen); !bytes.Equal(text, again.Text) {
			t.Errorf("%s: two drafts differ", p.Name)
		}
		want := linesWith(text)
		var left []int
		for _, l := range d.Left {
			left = append(left, l.Line)
		}
		if d := cmp.Diff(want, left); d != "" {
			t.Errorf("%s: lines with the mark and lines said to be left (-want +got)\n%s", p.Name, d)
		}
		if len(want) == 0 {
			t.Errorf("%s: nothing is left to fill in", p.Name)
		}
		if p != many { // there more lines are left than are reported at once
			if d := cmp.Diff(want, complaints(t, text)); d != "" {
				t.Errorf("%s: lines with the mark and lines reported (-want +got)\n%s\n%s", p.Name, d, text)
			}
		}
		// In comments the mark does not stand, so that searching for it finds just what is left to do.
		for i, line := range bytes.Split(text, []byte("\n")) {
			if _, comment, _ := bytes.Cut(line, []byte("#")); bytes.Contains(comment, []byte(job.Fill)) {
				t.Errorf("%s:%d: the mark stands in a comment: %s", p.Name, i+1, line)
			}
		}
		filled := fillIn(text)
		if p != slots { // no extents to guess from
			filled = bytes.Replace(filled, []byte(`["-6 mm", "FILL", "FILL"]`), []byte(`["0 mm", "0 mm", "-6 mm"]`), 1)
			filled = bytes.Replace(filled, []byte(`["6 mm", "FILL", "FILL"]`), []byte(`["90 mm", "80 mm", "6 mm"]`), 1)
		}
		if lines := complaints(t, filled); lines != nil {
			t.Errorf("%s: filled in, and still lines %v\n%s", p.Name, lines, filled)
		}
	}
}

// What the draft says of the program: extents of the tip with the bulge of the arc (X up to 125), not of rapids; tools
// with their feeds; a drill where a tool only goes down.
func TestDraftSaysWhatIsSeen(t *testing.T) {
	program := slotsAndHoles()
	program.Units = units.Metric
	text := drafted(t, program, "")
	for _, s := range []string{
		"# Job file drafted for plate.nc.",
		"# The program is read in millimeters; feed moves 300 mm, run time 0:01:30 (h:mm:ss).",
		"goes from X 10 mm to 125 mm, Y 0 mm to 50 mm, Z -7 mm to 2 mm.",
		"# Assumed when reading it: plane XY [pump] assumed",
		"# Not all of it could be read, first on line 31: G999 is not known\n# Places that could not be read: 2;",
		"# Guess: Z 0 is the top of the blank, since the program goes down to Z -7 mm.",
		"# Deepest level feeds: Z -6.2 mm along 78.54 mm, Z 1 mm along 0.5 mm.",
		`corner    = ["10 mm", "0 mm", "FILL"]`,
		`size      = ["115 mm", "50 mm", "FILL"]`,
		"# in the spindle from the start; feeds along 0.5 mm at 500 mm/min, no spindle speed seen, down to Z 1 " +
			"mm\nnumber    = 0",
		"# called on line 10; feeds along 168.54 mm at 800 to 1200 mm/min, 18000 rpm, down to Z -6.2 mm\nnumber    " +
			"= 3\nshape     = \"flat\"",
		"# called on line 20; feeds along 9 mm at 200 mm/min, 6000 rpm, down to Z -7 mm\nnumber    = 7\nshape     = " +
			"\"drill\"",
		"# called on line 30; does not cut\nnumber    = 9",
	} {
		if !strings.Contains(string(text), s) {
			t.Errorf("not in the draft: %s", s)
		}
	}
	j, err := job.Parse("plate.toml", fillIn(text))
	if err != nil {
		t.Fatalf("%v\n%s", err, fillIn(text))
	}
	if len(j.Tools) != 4 || len(j.MissingTools(slotsAndHoles())) != 0 {
		t.Errorf("tools %v", j.Tools)
	}
	if b := j.Stock.Blanks[0].Outline.Bound(); b.Min != [2]float64{10, 0} || b.Max != [2]float64{125, 50} {
		t.Errorf("stock %v", b)
	}
	if t.Failed() {
		t.Logf("%s", text)
	}
}

// Times are hours, minutes and seconds, to the nearest second.
func TestDraftTellsTheTime(t *testing.T) {
	for seconds, want := range map[float64]string{
		0: "0:00:00", 16.49: "0:00:16", 216: "0:03:36", 3599.6: "1:00:00", 90061: "25:01:01",
		math.Inf(1): "unknown", math.NaN(): "unknown",
	} {
		text := drafted(t, &parse.Program{Name: "p", DurationS: seconds}, "")
		if !strings.Contains(string(text), "run time "+want+" (h:mm:ss).") {
			t.Errorf("%g s: not said: %s\n%s", seconds, want, text)
		}
	}
}

// Where Z 0 lies is guessed from the depths.
func TestDraftGuessesDatum(t *testing.T) {
	program := func(depths ...float64) *parse.Program {
		var moves []parse.Move
		for i, z := range depths {
			moves = append(moves, parse.Move{Kind: parse.Feed, Tool: int32(i + 1), Start: parse.Point{Z: z},
				End: parse.Point{X: 50, Y: 20, Z: z}, LengthMM: 50})
		}
		return &parse.Program{Name: "p", Moves: *parse.NewMoves(moves...)}
	}
	for _, c := range []struct {
		depths []float64
		want   string
	}{
		{[]float64{-3, -6}, "Guess: Z 0 is the top of the blank"},
		{[]float64{6, -0.2}, "Z 0 is the table side of the blank"},
		{[]float64{0}, "may be the table side of the blank, or its top"},
		{[]float64{12}, "seems to lie below the blank"},
	} {
		if text := drafted(t, program(c.depths...), ""); !strings.Contains(string(text), c.want) {
			t.Errorf("%v: not said: %s\n%s", c.depths, c.want, text)
		}
	}
}

// A draft keeps to the units of the program, in short numbers.
func TestDraftInInches(t *testing.T) {
	text := string(drafted(t, slotsAndHoles(), ""))
	for _, s := range []string{"read in inches; feed moves 11.811 in", `["0.3 in", "0 in", "FILL"]`,
		`["4.7 in", "2 in", "FILL"]`,
		"at 31.4961 to 47.2441 in/min"} {
		if !strings.Contains(text, s) {
			t.Errorf("not in the draft: %s\n%s", s, text)
		}
	}
}

// What the shop's file gives is not asked for again; what is left are height, thickness and material, the speed of a
// tool that neither program nor shop names, and what a tool of its own lacks.
func TestDraftLeavesOutWhatTheShopGives(t *testing.T) {
	p := slotsAndHoles()
	p.Units = units.Metric
	far := job.File{Name: "staydown.toml", Data: []byte(shop + "[[tool]]\nnumber = 3\ndiameter = \"6 mm\"\n" +
		"[[tool]]\nnumber = 0\ndiameter = \"6 mm\"\n")}
	d, err := job.NewDraft(p, []byte("(T3 D8. FLAT)\n(T7 D5. DRILL)\n(T9 1/8 ENGRAVER 60DEG)\n"), "plate.nc",
		units.Unchosen, far)
	if err != nil {
		t.Fatal(err)
	}
	var keys []string
	for _, l := range d.Left {
		keys = append(keys, l.Key)
	}
	if diff := cmp.Diff([]string{"corner", "size", "material", "speed", "diameter"}, keys); diff != "" {
		t.Errorf("left (-want +got)\n%s\n%s", diff, d.Text)
	}
	for _, s := range []string{
		"# What is not here comes from staydown.toml.",
		"# CHECK it: its diameter there is 6 mm, here it is 8 mm (from the comment on line 1: \"T3 D8. FLAT\").",
		// Tool 3 goes from X 10 to 125 and Y 0 to 50; its radius is 3 mm.
		`corner    = ["7 mm", "-3 mm", "FILL"]`, `size      = ["121 mm", "56 mm", "FILL"]`,
	} {
		if !strings.Contains(string(d.Text), s) {
			t.Errorf("not in the draft: %s\n%s", s, d.Text)
		}
	}
	for _, table := range []string{"[site]", "[layer]", "[[zone]]", "[pump]", "[machine]", "[limits]"} {
		if strings.Contains(string(d.Text), "\n"+table) {
			t.Errorf("%s is there again\n%s", table, d.Text)
		}
	}
	if _, err := job.ParseLayers(far, job.File{Name: "plate.toml", Data: fillIn(d.Text)}); err != nil {
		t.Error(err)
	}
	if _, err := job.NewDraft(p, nil, "plate.nc", units.Unchosen, job.File{Name: "staydown.toml",
		Data: []byte("[pump")}); err == nil {
		t.Error("a shop file that is no TOML goes unsaid")
	}
}

// What stands as an example in the draft of an inch program is what an inch shop writes.
func TestExamplesOfAnInchDraft(t *testing.T) {
	src := []byte("%\nG20 G90\nT1 M6\nS18000 M3\nG0 X1 Y1 Z0.2\nG1 Z-0.26 F20\nX5 F60\nG0 Z1\nM30\n%\n")
	p := parse.Read(src, parse.Options{Name: "part.nc"})
	d, err := job.NewDraft(p, src, "part.nc", units.Unchosen)
	if err != nil {
		t.Fatal(err)
	}
	metric := regexp.MustCompile(`"[\d.]+ (mm|m|mbar|kPa|m3/h)"`)
	if at := metric.FindAllString(string(d.Text), -1); len(at) > 0 {
		t.Errorf("%q in\n%s", at, d.Text)
	}
}
