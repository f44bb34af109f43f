package page

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/paulmach/orb"

	"staydown/hold/chart"
	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/report/internal/reporttest"
	"staydown/report/words"
)

func sheetOf(t *testing.T, r *result.Result) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Sheet(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// withSetup gives the nest what a set-up sheet shows: two tools, a gauge, and zone A larger than the stock on it.
func withSetup(r *result.Result) *result.Result {
	r.Job.Tools = []result.ToolFacts{{Number: 1, Shape: "drill", DiameterMM: 4, AngleRad: 118 * math.Pi / 180,
		Flutes: 2},
		{Number: 2, Shape: "flat", DiameterMM: 6, Flutes: 3, HelixRad: -0.5}}
	r.Job.Zones[0].Area, r.Job.Zones[0].BareMM2 = orb.Polygon{reporttest.Rectangle(0, -100, 300, 500)}, 300*100
	nan := math.NaN()
	reading := func(e result.Event, line int, s, likely float64) result.Reading {
		return result.Reading{Event: e, Line: line, TimeS: s, VacuumKPa: result.Range{Low: nan, Likely: likely,
			High: nan}}
	}
	r.Gauge = []result.Reading{reading(result.EventStart, 4, 0, 88), reading(result.EventTool, 4, 0, 88),
		reading(result.EventTool, 22, 33.6, 87), reading(result.EventStop, 60, 99, 86), reading(result.EventFreed, 94,
			160,
			84),
		reading(result.EventEnd, 200, 470, 81.5)}
	r.Gauge[5].VacuumKPa.Low, r.Gauge[5].VacuumKPa.High = 78, 84
	return r
}

func TestSheetSaysWhatToSet(t *testing.T) {
	r, _ := reporttest.Fixture()
	page := string(sheetOf(t, withSetup(r)))
	for _, want := range []string{
		"A: OPEN; COVER the bare table, about 300 cm2", // 300 x 100 mm
		"B: OPEN<", "C: CLOSE (gasket)",
		"X0 left edge, Y0 front edge, Z0 top of the stock",
		"T1 drill 4 mm, 118 deg, 2 flutes", "T2 flat 6 mm, 3 flutes, down-cut, line 22",
		"before the start: 88.0 kPa", "at the tool change, line 22: 87.0 kPa", "at the stop, line 60: 86.0 kPa",
		"at the end: 81.5 kPa (78.0 to 84.0)",
		"no alarm setting makes every block safe", "comes loose, slips: margin 0.62", "test cut",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is missing", want)
		}
	}
	for _, unwanted := range []string{"line 4: 88.0", "<script"} {
		if strings.Contains(page, unwanted) {
			t.Errorf("%q is there", unwanted)
		}
	}
}

// An entry of the sheet ends behind a word.
func TestEntriesAreCutBehindAWord(t *testing.T) {
	for s, want := range map[string]string{"break it by hand": "break it by hand",
		"break the skin by hand":     "break the ...",
		"abcdefghijklmnopqrstuvwxyz": "abcdefghijkl ..."} {
		if got := words.Clip(s, 16); got != want {
			t.Errorf("%q: %q, want %q", s, got, want)
		}
	}
}

func TestZeroInWords(t *testing.T) {
	for want, r := range map[string]result.JobFacts{
		"X0 middle, Y0 back edge, Z0 underside": {StockOutline: orb.MultiPolygon{{reporttest.Rectangle(-300, -400, 600,
			400)}},
			StockTopMM: 6},
		"X0 12.5 mm from the left edge, Y0 -3 mm from the front edge, Z0 top of the stock": {
			StockOutline: orb.MultiPolygon{{reporttest.Rectangle(-12.5, 3, 600, 400)}}, StockLowMM: -6},
		"not known": {},
	} {
		if got := zeroInWords(&result.Result{Job: r}); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// overfull is a result with more of everything than a page can hold. What the plan draws takes long to print, so there
// are no fields and just too many zones, and most pieces have no outline.
func overfull() *result.Result {
	r := withSetup(reporttest.Crowded())
	r.Fields = nil
	for i := 20; i < len(r.Pieces); i++ {
		r.Pieces[i].Outline = nil
	}
	long := strings.Repeat("a long name of something ", 20)
	r.Program.Path, r.Job.Material, r.Job.Layer, r.Job.Pump = long, long, long, long
	for i := range maxSheetZones + 1 {
		r.Job.Zones = append(r.Job.Zones, result.ZoneFacts{Name: long, Open: true,
			Area: orb.Polygon{reporttest.Rectangle(float64(i)*240, 400, 240, 300)}})
	}
	for i := range 60 {
		r.Tools = append(r.Tools, result.ToolUse{Tool: 1 + i%2, Line: 1000 + i})
		r.Gauge = append(r.Gauge, result.Reading{Event: result.EventStop, Line: 2000 + i, TimeS: 300})
		r.Vacuum.Settings = append(r.Vacuum.Settings, result.AlarmSetting{Line: 3000 + i, SetKPa: 50})
	}
	for i := range r.Findings {
		r.Findings[i].Message = fmt.Sprint(long, i)
	}
	r.Verdict = result.AtRisk // which lists the settings of the alarm
	r.Actions = []result.Action{{What: long + long}}
	return r
}

// The sheet is one page of A4 and of letter paper (ISO 216: 210 x 297 mm; letter: 8.5 x 11 in), whatever is on it. So
// is the page of a chart.
func TestSheetIsOnePrintedPage(t *testing.T) {
	testrun.NotForRaces(t)
	small, _ := reporttest.Fixture()
	tall, _ := reporttest.Fixture()
	tall.Job.StockOutline = orb.MultiPolygon{{reporttest.Rectangle(0, 0, 1219.2, 2438.4)}}
	pages := map[string][]byte{"chart": chartPageOf(t, reporttest.Chart()), "overfull.chart": chartPageOf(t,
		overfullChart())}
	for name, r := range map[string]*result.Result{"nest": withSetup(small), "overfull": overfull(),
		"tall": withSetup(tall), "empty": {}} {
		pages[name+".sheet"] = sheetOf(t, r)
	}
	printedOnOnePage(t, pages)
}

// overfullChart is a chart with more text than a page can hold.
func overfullChart() *chart.Result {
	r := reporttest.Chart()
	long := strings.Repeat("a long name of something ", 20)
	r.Job.Material, r.Job.Layer, r.Job.Pump = long, long, long
	r.FeedsMMMin = append(r.FeedsMMMin, 4000)
	for i := range 60 {
		r.Assumed = append(r.Assumed, fmt.Sprint(long, i))
		r.Reasons = append(r.Reasons, fmt.Sprint(long, i))
		r.Places = append(r.Places, fmt.Sprint(long, i))
	}
	r.Heights = append(r.Heights, r.Heights...)
	r.Curves, r.Cares = r.Curves[:0], r.Cares[:0]
	for s := range 3 {
		for _, feed := range r.FeedsMMMin {
			r.Curves = append(r.Curves, chart.Curve{Shape: chart.Shape(s), FeedMMMin: feed,
				Points: []chart.Point{{DepthMM: 6, Smallest: result.Range{Low: 99.9, Likely: 167, High: 315}}}})
			r.Cares = append(r.Cares, chart.Care{Shape: chart.Shape(s), FeedMMMin: feed, NoCareMM: 315,
				ThinPassMM: 31.5,
				SkinMM:     12.5, TabsMM: 31.5})
		}
	}
	return r
}

func chartPageOf(t *testing.T, r *chart.Result) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := ChartHTML(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// printedOnOnePage prints pages across on A4 and letter paper.
func printedOnOnePage(t *testing.T, pages map[string][]byte) {
	t.Helper()
	ctx, w := browser(t)
	for name, page := range pages {
		address := writePage(t, t.TempDir(), name+".html", page)
		if err := chromedp.Do(ctx, chromedp.Navigate(address)); err != nil {
			t.Fatal(err)
		}
		papers := []struct {
			name          string
			size          chromedp.PaperSize
			width, height float64 // across, inches
		}{{"A4", chromedp.PaperA4, 297 / 25.4, 210 / 25.4}, {"letter", chromedp.PaperLetter, 11, 8.5}}
		if !strings.HasPrefix(name, "overfull") { // on the lower paper alone in the quick run
			papers = papers[:testrun.Draws(1, 2)]
		}
		for _, paper := range papers {
			pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPaper(paper.size), chromedp.PDFLandscape(),
				chromedp.PDFPrintBackground()))
			if err != nil {
				t.Fatal(err)
			}
			reporttest.Keep(t, name+"."+paper.name+".pdf", pdf)
			boxes := regexp.MustCompile(`/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]`).FindAllSubmatch(pdf, -1)
			if len(boxes) != 1 {
				t.Errorf("%s: %d pages of %s, want 1", name, len(boxes), paper.name)
				continue
			}
			if got := fmt.Sprintf("%s x %s", boxes[0][1], boxes[0][2]); !aboutPoints(boxes[0][1], paper.width) ||
				!aboutPoints(boxes[0][2], paper.height) {
				t.Errorf("%s: the page of %s is %s points", name, paper.name, got)
			}
		}
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, n := range w.noise {
		t.Error(n)
	}
}

// aboutPoints tells whether a number in points of 1/72 inch is a length in inches.
func aboutPoints(points []byte, inches float64) bool {
	var v float64
	_, err := fmt.Sscan(string(points), &v)
	return err == nil && math.Abs(v-72*inches) < 1.5
}
