package page

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/paulmach/orb"

	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/report/internal/reporttest"
	"staydown/report/picture"
	"staydown/report/words"
)

func TestPageIsSelfContained(t *testing.T) {
	r, src := reporttest.Fixture()
	data := htmlOf(t, r, src)
	if !bytes.Equal(data, htmlOf(t, r, src)) {
		t.Error("two runs differ")
	}
	// The only addresses are the names of XML vocabularies.
	for _, m := range regexp.MustCompile(`(?i)(https?:)?//[a-z0-9.-]+\.[a-z]+[^"' )]*`).FindAll(data, -1) {
		if s := string(m); s != "http://www.w3.org/2000/svg" && s != "http://www.w3.org/1999/xlink" {
			t.Errorf("address in the page: %s", s)
		}
	}
	for _, tag := range []string{"<link rel=\"stylesheet", "<iframe", "<object", "@import", "url(http", " src="} {
		if bytes.Contains(data, []byte(tag)) {
			t.Errorf("%s in the page", tag)
		}
	}
	script := regexp.MustCompile(`(?s)<script>(.*?)</script>`).FindSubmatch(data)
	if script == nil {
		t.Fatal("no script")
	}
	sum := sha256.Sum256(script[1])
	if want := "sha256-" + base64.StdEncoding.EncodeToString(sum[:]); !bytes.Contains(data, []byte(want)) &&
		!bytes.Contains(data, []byte(strings.ReplaceAll(want, "+", "&#43;"))) {
		t.Error("the policy does not name the script's hash")
	}
	for _, s := range []string{words.Caution, "A: OPEN the valve; grooves 5 mm " +
		"wide every 25 mm", "fibre board 0.8 mm", "rotary-vane, 63 m3/h; pump needed: 71.5 m3/h",
		"no alarm setting makes every block safe"} {
		if !bytes.Contains(data, []byte(strings.ReplaceAll(s, "'", "&#39;"))) {
			t.Errorf("%q is missing", s)
		}
	}
}

func TestPageData(t *testing.T) {
	r, src := reporttest.Fixture()
	m := regexp.MustCompile(`(?s)<script type="application/json" id="data">(.*?)</script>`).FindSubmatch(htmlOf(t, r,
		src))
	if m == nil {
		t.Fatal("no data")
	}
	var d struct {
		T      []float64  `json:"t"`
		Margin []*float64 `json:"margin"`
		Vac    []*float64 `json:"vac"`
		Line   []int      `json:"line"`
	}
	if err := json.Unmarshal(m[1], &d); err != nil {
		t.Fatal(err)
	}
	if len(d.T) != len(r.Timeline) || len(d.Margin) != len(d.T) || len(d.Line) != len(d.T) {
		t.Fatalf("%d samples of %d", len(d.T), len(r.Timeline))
	}
	for i, s := range r.Timeline {
		if (d.Margin[i] == nil) != math.IsInf(s.LeastMargin, 1) {
			t.Errorf("sample %d: margin %v for %v", i, d.Margin[i], s.LeastMargin)
		}
		// No margin of the page may read better than the model's.
		if d.Margin[i] != nil && (*d.Margin[i] > s.LeastMargin || *d.Margin[i] < s.LeastMargin-0.001) {
			t.Errorf("sample %d: margin %v for %v", i, *d.Margin[i], s.LeastMargin)
		}
	}
}

// hostile is a result and a program in which every text tries to leave its place.
func hostile() (*result.Result, []byte) {
	const bad = `</script><script>window.pwned=1</script><img src=x onerror="window.pwned=1">"'` +
		"`${window.pwned=1}`" + `]]><!--`
	r, src := reporttest.Fixture()
	r.Program.Path, r.Program.SHA256 = "parts/"+bad+".nc", ""
	r.Assumed = []string{bad}
	r.Job = result.JobFacts{Path: bad, Material: bad, Layer: bad, Pump: bad,
		Zones: []result.ZoneFacts{{Name: bad, Area: orb.Polygon{reporttest.Rectangle(0, 0, 600, 400)}}}}
	for i := range r.Findings {
		r.Findings[i].Message, r.Findings[i].Remedy, r.Findings[i].Rule = bad, bad, "slip"
	}
	return r, bytes.ReplaceAll(src, []byte("F1300."), []byte("("+bad+"\xff\x00\x1b[0m)"))
}

func TestHostileTextStaysText(t *testing.T) {
	testrun.NotForRaces(t)
	r, src := hostile()
	data := htmlOf(t, r, src)
	for _, s := range []string{"<script>window", "<img src", "onerror=\"w"} {
		if bytes.Contains(data, []byte(s)) {
			t.Errorf("%s stands in the page as it is", s)
		}
	}
	var index bytes.Buffer
	if err := Index(&index, []IndexEntry{{Name: r.Program.Path, Result: r}, {Name: "javascript:window.pwned=1",
		Result: r}}); err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(index.Bytes(), []byte("<img src")) || bytes.Contains(index.Bytes(), []byte(`href="javascript:`)) {
		t.Error("the index lets text through")
	}
	reporttest.WellFormed(t, reporttest.Render(t, picture.TimelineSVG, r))
	reporttest.WellFormed(t, reporttest.Render(t, picture.PlanSVG, r))

	ctx, w := browser(t)
	dir := t.TempDir()
	for name, page := range map[string][]byte{"report.html": data, "index.html": index.Bytes()} {
		if err := chromedp.Do(ctx, chromedp.Navigate(writePage(t, dir, name, page))); err != nil {
			t.Fatal(err)
		}
		got, err := chromedp.Run(ctx,
			chromedp.Evaluate[string](`String(window.pwned) + document.querySelectorAll("img").length`))
		if err != nil || got != "undefined0" {
			t.Errorf("%s: %v %v", name, got, err)
		}
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, n := range w.noise {
		t.Error(n)
	}
}

// A program of 100,000 blocks with thousands of findings and large outlines gives a page below 5 MB that still shows
// the worst finding.
func TestPageSize(t *testing.T) {
	testrun.NotForRaces(t)
	const blocks = 100_000
	r := reporttest.Long(blocks)
	r.Program.SHA256 = ""
	r.Findings, r.Pieces = nil, r.Pieces[:1]
	var src strings.Builder
	for i := range blocks {
		fmt.Fprintf(&src, "N%d G1 X%.3f Y%.3f F1500.\n", i*10, float64(i%600), float64(i%400))
		r.Timeline[i].HeldAreaMM2 = 2e5 - float64(i) + 50*math.Sin(float64(i))
		r.Timeline[i].VacuumKPa = 80 + 5*math.Sin(float64(i)*0.7)
		s := &r.Timeline[i]
		s.LeastMargin = 3 + 2*math.Sin(float64(i)*1.3)
		s.LeastLow, s.LeastHigh = s.LeastMargin, s.LeastMargin
	}
	for i := range 6000 {
		f := reporttest.At(1 + i*16)
		f.TimeS, f.LastTimeS, f.LastLine = r.Timeline[i*16].TimeS, r.Timeline[i*16+9].TimeS, 10+i*16
		f.Margin = 0.7
		if i == 5_000 {
			f.Margin = 0.1
		}
		f.At, f.HasAt = orb.Point{float64(i % 600), float64(i % 400)}, true
		r.Findings = append(r.Findings, f)
	}
	for k := range 600 {
		var ring orb.Ring
		for i := range 700 {
			s, c := math.Sincos(2 * math.Pi * float64(i) / 700)
			ring = append(ring, orb.Point{float64(k%30)*20 + 10 + 9*c + 0.2*s*c, float64(k/30)*20 + 10 + 9*s})
		}
		ring = append(ring, ring[0])
		r.Pieces = append(r.Pieces, result.Piece{ID: k + 2, Freed: true, State: result.StateLoose,
			FreedTimeS: float64(k),
			Outline:    orb.MultiPolygon{{ring}}, Centroid: orb.Point{float64(k%30)*20 + 10, float64(k/30)*20 + 10}})
	}
	for range result.MaxFields - 3 {
		r.Fields = append(r.Fields, reporttest.PressureFixture(100, 0.5))
	}
	var workings []result.Working
	for _, f := range r.Findings {
		w := result.Working{Line: f.Line, Sections: []result.Section{{Title: "load"}}}
		for range 80 {
			w.Sections[0].Rows = append(w.Sections[0].Rows, result.Row{What: "tangential force", Symbol: "Ft",
				Formula: "kc ap h", Value: 12.3, Unit: "N", Source: "Kienzle law"})
		}
		workings = append(workings, w)
	}
	var b bytes.Buffer
	if err := HTML(&b, r, []byte(src.String()), workings); err != nil {
		t.Fatal(err)
	}
	data := b.Bytes()
	t.Logf("%d bytes", len(data))
	if len(data) > 5_000_000 {
		t.Errorf("the page has %d bytes", len(data))
	}
	if i := bytes.Index(data, []byte(`id="entry-0"`)); i < 0 || !bytes.Contains(data[i:i+500], []byte("80001")) {
		t.Error("the worst finding does not come first")
	}
	if !bytes.Contains(data, []byte("5940 more stand in the result file")) {
		t.Error("the page does not say what is left out")
	}
}

// Every color of a picture is a color of the theme: none stays light on a dark page.
func TestPicturesFollowTheTheme(t *testing.T) {
	r, src := reporttest.Fixture()
	page := htmlOf(t, r, src)
	pictures := regexp.MustCompile(`(?s)<svg.*?</svg>`).FindAll(page, -1)
	if len(pictures) < 4 {
		t.Fatalf("%d pictures", len(pictures))
	}
	for _, picture := range pictures {
		for _, m := range regexp.MustCompile(`(fill|stroke)[:=]"?#[0-9A-Fa-f]+`).FindAll(picture, -1) {
			if !bytes.Contains(picture, []byte(`width="26" height="14" fill=`)) { // the key of the pressure pictures
				t.Errorf("fixed colour %s", m)
			}
		}
	}
}

func TestIndexOrderAndLinks(t *testing.T) {
	var b bytes.Buffer
	entries := append(indexFixture(), IndexEntry{Name: "broken.nc", Result: &result.Result{Verdict: result.Incomplete},
		NoReport: true}, IndexEntry{Name: "nil.nc"})
	if err := Index(&b, entries); err != nil {
		t.Fatal(err)
	}
	s := b.String()
	last := -1
	for _, name := range []string{">a nest #1.nc<", ">sub/less.nc<", ">part.nc<", ">broken.nc<", ">risk.nc<",
		">held.nc<"} {
		i := strings.Index(s, name)
		if i <= last {
			t.Errorf("%s stands at %d, after %d", name, i, last)
		}
		last = i
	}
	for _, want := range []string{`href="a%20nest%20%231.nc.report.html"`, `href="sub/less.nc.report.html"`,
		"Verdicts: 2 loose, 2 incomplete, 1 at-risk, 1 held."} {
		if !strings.Contains(s, want) {
			t.Errorf("%s is missing", want)
		}
	}
	if strings.Contains(s, `href="broken`) {
		t.Error("a link to a report that is not there")
	}
	var again bytes.Buffer
	if err := Index(&again, entries); err != nil || again.String() != s {
		t.Error("two runs differ")
	}
}

func TestPageOfOddResults(t *testing.T) {
	nan := math.NaN()
	for name, r := range map[string]*result.Result{
		"empty": {},
		"no numbers": {Margin: nan, Timeline: []result.Sample{{TimeS: nan, HeldAreaMM2: nan, VacuumKPa: nan,
			LeastMargin: nan, LeakM3h: nan}}, Vacuum: result.Vacuum{AlarmSetpointKPa: nan, PumpNeededM3h: nan},
			Findings: []result.Finding{{Line: 5, Rule: "slip", Level: result.LevelError, Margin: math.Inf(-1),
				HoldN: nan,
				LoadN: nan, TimeS: nan}}},
		"far line": {Findings: []result.Finding{{Line: 1 << 30, LastLine: 1 << 31, Rule: "x", Level: result.LevelError,
			Margin: nan}}},
	} {
		var b bytes.Buffer
		if err := HTML(&b, r, []byte("G1\n"), nil); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if err := Index(&b, []IndexEntry{{Name: "a", Result: r}}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The working of a block stands in the page when it is given.
func TestPageWithWorkings(t *testing.T) {
	r, src := reporttest.Fixture()
	var b bytes.Buffer
	w := result.Working{Program: r.Program.Path, Line: 94, Sections: []result.Section{{Title: "Slip",
		Rows: []result.Row{{What: "friction <b>", Symbol: "mu", Value: 0.35, Source: "S1"}}}}}
	if err := HTML(&b, r, src, []result.Working{w}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "friction &lt;b&gt;") || strings.Contains(b.String(),
		"staydown why parts/nest.nc:94") {
		t.Error("the working is missing")
	}
}
