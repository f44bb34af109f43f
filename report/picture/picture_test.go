package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"gonum.org/v1/plot/vg/vgimg"

	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/report/internal/reporttest"
)

func TestTimelinePicture(t *testing.T) {
	testrun.NotForRaces(t)
	r, _ := reporttest.Fixture()
	data := reporttest.Render(t, TimelinePNG, r)
	img := reporttest.SamePicture(t, "nest.timeline.png", data)
	if img.Bounds().Dx() != 1600 || img.Bounds().Dy() != 900 {
		t.Errorf("size %v, want 1600 x 900", img.Bounds())
	}
	if !bytes.Equal(data, reporttest.Render(t, TimelinePNG, r)) {
		t.Error("two runs differ")
	}
	// The comparison itself notices a missing alarm line.
	r.Job.AlarmKPa = 0
	other, err := png.Decode(bytes.NewReader(reporttest.Render(t, TimelinePNG, r)))
	if err != nil {
		t.Fatal(err)
	}
	if reporttest.Changed(img, other) < 0.001 {
		t.Error("the comparison does not see a missing line")
	}
}

// The range of the margin shows as a band that is more than a color: lines across it, and its ends. A result whose
// margins are exact has none.
func TestTimelineShowsTheRange(t *testing.T) {
	testrun.NotForRaces(t)
	r, _ := reporttest.Fixture()
	c := newCurves(r, 0, 1000, 1)
	a, _, _ := c.marginAxis(0, 100)
	bands := c.rangeBands(a)
	if len(bands) == 0 {
		t.Fatal("no band")
	}
	for i, s := range r.Timeline {
		if math.IsInf(s.LeastMargin, 0) || math.IsNaN(s.LeastMargin) {
			continue
		}
		found := [2]bool{}
		for _, band := range bands {
			for _, at := range band {
				found[0] = found[0] || at.x == c.time.At(s.TimeS) && at.y == a.At(s.LeastLow)
				found[1] = found[1] || at.x == c.time.At(s.TimeS) && at.y == a.At(s.LeastHigh)
			}
		}
		if !found[0] || !found[1] {
			t.Errorf("sample %d: low end %t, high end %t in the band", i, found[0], found[1])
		}
	}
	svg, page := string(reporttest.Render(t, TimelineSVG, r)), LayChart(r, func(int) int { return -1 })
	if !strings.Contains(svg, "its range, 5 to 95 %") {
		t.Error("the key of the picture does not tell the range")
	}
	panel := page.Panels[2]
	if !slices.ContainsFunc(panel.Lines, func(l chartLine) bool { return l.Class == "range" && l.Path != "" }) ||
		!slices.Contains(panel.Key, chartKey{"range", "5 to 95 %"}) {
		t.Errorf("the page: %+v", panel)
	}
	wide := dense(t, r)
	for i := range r.Timeline {
		s := &r.Timeline[i]
		s.LeastLow, s.LeastHigh = s.LeastMargin, s.LeastMargin
	}
	if none := dense(t, r); none >= wide {
		t.Errorf("%d points in pale ink with a range, %d without", wide, none)
	}
}

// dense counts the points of a timeline in the ink of the range's lines.
func dense(t *testing.T, r *result.Result) (n int) {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(reporttest.Render(t, TimelinePNG, r)))
	if err != nil {
		t.Fatal(err)
	}
	p := reporttest.Pixels(img)
	for y := range p.Rect.Dy() {
		for x := range p.Rect.Dx() {
			if c := p.NRGBAAt(x, y); c == bandColour || c == dimColour {
				n++
			}
		}
	}
	return n
}

// The plan writes the range behind the margin of a piece that has room for it, and says how many have none.
func TestPlanTellsTheRange(t *testing.T) {
	testrun.NotForRaces(t)
	r, _ := reporttest.Fixture()
	ranged(r)
	svg := string(reporttest.Render(t, PlanSVG, r))
	told := 0
	for _, p := range r.Pieces {
		if l := p.Least; l.Mode != result.NoMode && strings.Contains(svg,
			fmt.Sprintf("(%.2f to %.2f)", math.Floor(100*l.Low)/100, math.Floor(100*l.High)/100)) {
			told++
		}
	}
	if told == 0 || !strings.Contains(svg, "label: piece, least margin (5 to 95 %)") {
		t.Errorf("%d ranges are told", told)
	}
	crowd := string(reporttest.Render(t, PlanSVG, ranged(reporttest.Crowded())))
	if !strings.Contains(crowd, "ranges have no room: see the report") {
		t.Error("a crowded plan does not say that ranges are left out")
	}
}

// ranged gives every piece a range.
func ranged(r *result.Result) *result.Result {
	for i := range r.Pieces {
		l := &r.Pieces[i].Least
		l.Low, l.High = 0.5*l.Margin, 2*l.Margin
	}
	return r
}

// dark tells whether anything in a dark ink stands on the paper.
func dark(img image.Image) bool {
	p := reporttest.Pixels(img).Pix
	for i := 0; i+3 < len(p); i += 4 {
		if p[i] < 0x90 && p[i+1] < 0x90 && p[i+2] < 0x90 {
			return true
		}
	}
	return false
}

// coarse draws a picture on a small raster: whether the raster canvas ends on odd coordinates does not depend on its
// size.
func coarse(t *testing.T, paint func(*pen)) image.Image {
	t.Helper()
	c := vgimg.NewWith(vgimg.UseWH(canvasWidth, canvasHeight), vgimg.UseDPI(24))
	paint(newPen(c))
	return c.Image()
}

// Results without samples, without an end, or full of numbers that are none still give a picture.
func TestTimelineOfOddResults(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for name, r := range map[string]*result.Result{
		"empty":      {},
		"one sample": {Timeline: []result.Sample{{TimeS: 3, HeldAreaMM2: 10, VacuumKPa: 80, LeastMargin: 3}}},
		"no numbers": {Margin: nan, Timeline: []result.Sample{{TimeS: 1, HeldAreaMM2: nan, StockHeldMM2: nan,
			VacuumKPa: nan, LeastMargin: nan}, {TimeS: 2, HeldAreaMM2: inf, VacuumKPa: inf, LeastMargin: inf},
			{TimeS: 2, LeastMargin: -inf}}},
		"margin 0": {Margin: 2, Timeline: []result.Sample{{TimeS: 1, LeastMargin: 0}, {TimeS: 2, LeastMargin: 1e9}}},
		"endless":  {Program: result.ProgramFacts{DurationS: inf}, Timeline: []result.Sample{{TimeS: 1}}},
		"years": {Program: result.ProgramFacts{DurationS: 1e9},
			Timeline: []result.Sample{{TimeS: 1e9, LeastMargin: 1}}},
		"odd tools": {Tools: []result.ToolUse{{Tool: 3, FromS: 5, ToS: 1}, {Tool: 0, FromS: nan, ToS: nan}}},
	} {
		t.Run(name, func(t *testing.T) {
			img := coarse(t, func(p *pen) { drawTimeline(p, r) })
			if !dark(img) {
				t.Error("nothing was drawn")
			}
			reporttest.WellFormed(t, reporttest.Render(t, TimelineSVG, r))
		})
	}
}

// A picture of 100,000 samples is drawn from few points, and the worst one is among them.
func TestThinKeepsTheExtremes(t *testing.T) {
	const n, columns = 100_000, 1200
	r := reporttest.Long(n)
	pick := Thin(r.Timeline, SpanS(r), columns)
	if len(pick) > 10*columns {
		t.Errorf("%d points for %d columns", len(pick), columns)
	}
	found := false
	for k, i := range pick {
		found = found || i == n/3
		if k > 0 && i <= pick[k-1] {
			t.Fatal("indices do not rise")
		}
	}
	if !found || pick[0] != 0 || pick[len(pick)-1] != n-1 {
		t.Error("first, last or worst sample is missing")
	}
	if size := len(reporttest.Render(t, TimelineSVG, r)); size > 1_000_000 {
		t.Errorf("SVG of %d samples has %d bytes", n, size)
	}
}

// The polyline through the thinned samples covers, in every column, the same range of values as all samples do.
func TestThinCoversTheSameRange(t *testing.T) {
	const n, columns = 20_000, 300
	r := reporttest.Long(n)
	for i := range r.Timeline {
		r.Timeline[i].VacuumKPa = 50 + 30*math.Sin(float64(i)*0.37)*math.Cos(float64(i)*0.0011)
	}
	rng := func(indices []int) map[int][2]float64 {
		out := map[int][2]float64{}
		for _, i := range indices {
			s := r.Timeline[i]
			c := column(s.TimeS, SpanS(r), columns)
			v, ok := out[c]
			if !ok {
				v = [2]float64{math.Inf(1), math.Inf(-1)}
			}
			out[c] = [2]float64{math.Min(v[0], s.VacuumKPa), math.Max(v[1], s.VacuumKPa)}
		}
		return out
	}
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	want, got := rng(all), rng(Thin(r.Timeline, SpanS(r), columns))
	if fmt.Sprint(want) != fmt.Sprint(got) {
		t.Error("ranges differ")
	}
}

func TestTimelineSVG(t *testing.T) {
	r, _ := reporttest.Fixture()
	data := reporttest.Render(t, TimelineSVG, r)
	reporttest.WellFormed(t, data)
	for _, text := range []string{"held area (cm²)", "vacuum (kPa)", "least margin (-)", "time from the start of " +
		"the program (h:mm:ss)", "alarm of the machine, 60.0 kPa", "limit 1: below it a piece moves", ">94<",
		"parts/nest.nc"} {
		if !bytes.Contains(data, []byte(text)) {
			t.Errorf("%q is missing", text)
		}
	}
}

// Every text of a picture names the width that it was laid out with, so that the head line is not cut where the font is
// missing; at 10.5 points the right end of that line stays at 1192, where it is aligned.
func TestTextOfAnSVGKeepsItsWidth(t *testing.T) {
	r, _ := reporttest.Fixture()
	for _, paint := range []func(io.Writer, *result.Result) error{TimelineSVG, PlanSVG} {
		data := reporttest.Render(t, paint, r)
		if n, with := bytes.Count(data, []byte("<text ")), bytes.Count(data, []byte(" textLength=")); n == 0 ||
			n != with {
			t.Errorf("%d of %d texts name their width", with, n)
		}
		m := regexp.MustCompile(`<text textLength="([0-9.]+)"[^>]* x="([0-9.]+)"[^>]*>verdict: `).FindSubmatch(data)
		if m == nil {
			t.Fatal("no head line")
		}
		width, _ := strconv.ParseFloat(string(m[1]), 64)
		x, _ := strconv.ParseFloat(string(m[2]), 64)
		if math.Abs(x+width-legendRight) > 0.1 {
			t.Errorf("the head line runs from %v for %v points, want to %v", x, width, legendRight)
		}
	}
}

// No two labels share a place, however many there are.
func TestLabelsDoNotOverlap(t *testing.T) {
	var labels []label
	for i := range 500 {
		labels = append(labels, label{text: "x", x: float64((i * 7919) % 900), urgent: float64(i % 13), width: 5 +
			float64(i%40)})
	}
	set, left := placeLabels(labels, 0, 900, 5, 3)
	if len(set)+left != len(labels) || len(set) < 60 {
		t.Errorf("%d placed, %d left of %d", len(set), left, len(labels))
	}
	for i, a := range set {
		if a.at-a.width/2 < 0 || a.at+a.width/2 > 900 {
			t.Errorf("label %d leaves the axis", i)
		}
		for _, b := range set[i+1:] {
			if a.row == b.row && math.Abs(a.at-b.at) < (a.width+b.width)/2+5-1e-9 {
				t.Fatalf("labels at %.1f and %.1f overlap in row %d", a.at, b.at, a.row)
			}
		}
	}
}

// Hatching stays inside: of a square of side 10 with lines 1 apart, the total length is its area, hole taken out. Exact
// for lines parallel to a side; within one line for slanted ones (the integral of the chord over the distance is the
// area).
func TestHatchCoversTheArea(t *testing.T) {
	square := []spot{{0.5, 0.5}, {10.5, 0.5}, {10.5, 10.5}, {0.5, 10.5}}
	hole := []spot{{3.5, 3.5}, {3.5, 6.5}, {6.5, 6.5}, {6.5, 3.5}}
	for _, angle := range []float64{0, math.Pi / 2, math.Pi / 4, 1} {
		total := 0.0
		for _, l := range hatchLines(angle, 0.1, [][]spot{square, hole}) {
			total += math.Hypot(l[1].x-l[0].x, l[1].y-l[0].y) * 0.1
			mid := spot{(l[0].x + l[1].x) / 2, (l[0].y + l[1].y) / 2}
			if mid.x > 3.5 && mid.x < 6.5 && mid.y > 3.5 && mid.y < 6.5 {
				t.Fatalf("angle %v: a line in the hole", angle)
			}
		}
		if math.Abs(total-91) > 1.5 {
			t.Errorf("angle %v: %v of 91 covered", angle, total)
		}
	}
}

func TestTimeTicksAreRound(t *testing.T) {
	for span, want := range map[float64]string{470: "0:01:00", 10: "0:00:02", 4000: "0:10:00", 40000: "2:00:00"} {
		ticks := timeTicks(span, 9)
		if len(ticks) < 3 || len(ticks) > 10 || ticks[1].label != want {
			t.Errorf("span %v: %v, want the second tick at %s", span, ticks, want)
		}
	}
}

func TestPlanPicture(t *testing.T) {
	testrun.NotForRaces(t)
	r, _ := reporttest.Fixture()
	data := reporttest.Render(t, PlanPNG, r)
	img := reporttest.SamePicture(t, "nest.plan.png", data)
	if !bytes.Equal(data, reporttest.Render(t, PlanPNG, r)) {
		t.Error("two runs differ")
	}
	for _, s := range []result.State{result.StateHeld, result.StateAtRisk, result.StateLoose, result.StateSliver} {
		if !reporttest.HasColour(img, stateColour(s)) {
			t.Errorf("no pixel in the colour of %s", s)
		}
	}
	for _, c := range []color.NRGBA{throughKerf, partwayKerf} {
		if !reporttest.HasColour(img, c) {
			t.Errorf("no pixel in the tone %v of the kerf", c)
		}
	}
	svg := reporttest.Render(t, PlanSVG, r)
	reporttest.WellFormed(t, svg)
	for _, text := range []string{"5 loose: 0.62", "7 at risk: 1.55", ">9: 0.35<", "zone C, gasket, closed", "line 94",
		"X (mm)", "Y (mm)"} {
		if !bytes.Contains(svg, []byte(text)) {
			t.Errorf("%q is missing", text)
		}
	}
}

func TestPressurePicture(t *testing.T) {
	testrun.NotForRaces(t)
	r, _ := reporttest.Fixture()
	reporttest.SamePicture(t, "nest.pressure.png", reporttest.Render(t, PressurePNG, r))
}

func TestPlanOfOddResults(t *testing.T) {
	nan := math.NaN()
	for name, r := range map[string]*result.Result{
		"empty": {},
		"no numbers": {Pieces: []result.Piece{{ID: 1, Centroid: orb.Point{nan, nan},
			Outline: orb.MultiPolygon{{orb.Ring{{nan, 0}, {1, 1}, {0, 1}, {nan, 0}}}}}},
			Entries: []result.Entry{{At: orb.Point{nan, 0}}}, Findings: []result.Finding{{HasAt: true, Rule: "slip",
				Level: result.LevelError, At: orb.Point{nan, nan}}}},
		"a line": {Pieces: []result.Piece{{ID: 1, Outline: orb.MultiPolygon{{orb.Ring{{0, 0}, {1, 0}, {2, 0},
			{0, 0}}}}}}},
		"empty outlines": {Pieces: []result.Piece{{ID: 1}, {ID: 2, Freed: true, Outline: orb.MultiPolygon{{}}}},
			Job: result.JobFacts{Zones: []result.ZoneFacts{{Name: "A", GroovePitchMM: 1}}}},
		"fine grooves": {Job: result.JobFacts{Zones: []result.ZoneFacts{{Name: "A",
			Area: orb.Polygon{reporttest.Rectangle(0, 0, 1000, 1000)}, GroovePitchMM: 1e-9}}}},
		"odd field": {Fields: []result.Field{{NX: 1 << 30, NY: 1 << 30}, {NX: 2, NY: 2, CellMM: 1, KPa: []float32{1}},
			{NX: 2, NY: 2, CellMM: nan, KPa: make([]float32, 4)}}},
	} {
		t.Run(name, func(t *testing.T) {
			for _, paint := range []func(*pen, *result.Result){func(p *pen, r *result.Result) { drawPlan(p, r) },
				drawPressure} {
				if img := coarse(t, func(p *pen) { paint(p, r) }); !dark(img) {
					t.Error("nothing was drawn")
				}
			}
			reporttest.WellFormed(t, reporttest.Render(t, PlanSVG, r))
		})
	}
}

// A ring is labeled on the ring, not in its hole, where another piece may lie.
func TestLabelPointLiesOnThePiece(t *testing.T) {
	hook := orb.Ring{{0, 0}, {30, 0}, {30, 20}, {20, 20}, {20, 10}, {10, 10}, {10, 20}, {0, 20}, {0, 0}}
	for name, p := range map[string]result.Piece{
		"ring": {Centroid: orb.Point{50, 50}, Outline: orb.MultiPolygon{{reporttest.Rectangle(0, 0, 100, 100),
			reporttest.Rectangle(20, 20, 60, 60)}}},
		"hook":      {Centroid: orb.Point{15, 11}, Outline: orb.MultiPolygon{{hook}}},
		"rectangle": {Centroid: orb.Point{5, 5}, Outline: orb.MultiPolygon{{reporttest.Rectangle(0, 0, 10, 10)}}},
	} {
		at, ok := labelPoint(p)
		if !ok || !planar.MultiPolygonContains(p.Outline, at) {
			t.Errorf("%s: %v", name, at)
		}
	}
	if _, ok := labelPoint(result.Piece{Centroid: orb.Point{math.NaN(), 0}}); ok {
		t.Error("a piece without a centroid has no place for a label")
	}
}

func TestPlanReachesAsFarAsWhatStandsInTheWay(t *testing.T) {
	r, _ := reporttest.Fixture()
	reporttest.WithClamps(r)
	if b := planBound(r); b.Min[0] != -100 || b.Max[1] != 450 {
		t.Errorf("the plan shows %v", b)
	}
}
