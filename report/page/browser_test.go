package page

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/report/internal/reporttest"
)

// watched collects what a page must not do: complain or reach for the network.
type watched struct {
	mu    sync.Mutex
	noise []string
}

func (w *watched) add(format string, a ...any) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.noise = append(w.noise, fmt.Sprintf(format, a...))
}

// browserPatience is how long a browser may take to start, and a test to work with it. It ends what hangs and measures
// nothing: a slow machine must not reach it.
const browserPatience = 10 * time.Minute

// closeBrowser ends the browser of all tests, if one was opened.
var closeBrowser = func() {}

func TestMain(m *testing.M) {
	status := m.Run()
	closeBrowser()
	os.Exit(status)
}

// openBrowser opens the headless browser of all tests, with a profile of its own. The profile stands in a folder of the
// library's making, because processes of the browser may write there for a moment after its end: the library waits for
// them.
var openBrowser = sync.OnceValues(func() (context.Context, error) {
	path, err := browserPath()
	if err != nil {
		return nil, err
	}
	o := []chromedp.ExecAllocatorOption{chromedp.NoFirstRun, chromedp.NoDefaultBrowserCheck, chromedp.ExecPath(path),
		chromedp.WSURLReadTimeout(browserPatience), chromedp.WindowSize(1300, 1000)}
	for _, flag := range []string{"headless", "no-sandbox", "disable-gpu", "disable-quic",
		"disable-background-networking", "disable-component-update", "disable-sync", "disable-dev-shm-usage"} {
		o = append(o, chromedp.Flag(flag, true))
	}
	allocator, stop := chromedp.NewExecAllocator(context.Background(), o...)
	ctx, cancel := chromedp.NewContext(allocator)
	closeBrowser = func() {
		cancel()
		stop()
	}
	return ctx, chromedp.Do(ctx) // begins it
})

func browserPath() (string, error) {
	for _, name := range []string{"chromium", "chromium-browser", "/usr/bin/chromium"} {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", errors.New("no chromium on the path; install it to test the pages")
}

// browser opens a page of the browser. Without a browser the test is skipped, except under CI=true.
func browser(t *testing.T) (context.Context, *watched) {
	t.Helper()
	if _, err := browserPath(); err != nil && os.Getenv("CI") != "true" {
		t.Skip(err)
	}
	all, err := openBrowser()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := chromedp.NewContext(all)
	t.Cleanup(cancel)
	w := &watched{}
	listen := func(e any) {
		switch e := e.(type) {
		case *runtime.EventConsoleAPICalled:
			w.add("console: %s", e.Type)
		case *runtime.EventExceptionThrown:
			w.add("exception: %s", e.ExceptionDetails.Text)
		case *log.EventEntryAdded:
			w.add("log: %s %s", e.Entry.Level, e.Entry.Text)
		case *network.EventRequestWillBeSent:
			if !strings.HasPrefix(e.Request.URL, "file:") && !strings.HasPrefix(e.Request.URL, "data:") {
				w.add("request: %s", e.Request.URL)
			}
		}
	}
	if err := chromedp.Listen(ctx, listen); err != nil {
		t.Fatal(err)
	}
	if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		t.Fatal(err)
	}
	if _, err := chromedp.Call(ctx, log.Enable, cdp.Empty{}); err != nil {
		t.Fatal(err)
	}
	limited, done := context.WithTimeout(ctx, browserPatience)
	t.Cleanup(done)
	return limited, w
}

func writePage(t *testing.T, dir, name string, data []byte) string {
	t.Helper()
	path := filepath.Join(dir, name)
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return (&url.URL{Scheme: "file", Path: path}).String()
}

func htmlOf(t *testing.T, r *result.Result, src []byte) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := HTML(&b, r, src, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestReportInABrowser(t *testing.T) {
	testrun.NotForRaces(t)
	r, src := reporttest.Fixture()
	long := "end the closing pass at Z-5.90, not Z-6.20 (lines 122 to 493, N1130 to N4410) and break the skin of " +
		"0.1 mm by hand"
	for range result.ShownActions {
		r.Actions = append(r.Actions, result.Action{What: long, Verdict: result.Held,
			LeastMargin: result.Range{Low: 2.1, Likely: 3.7, High: 6.4}})
	}
	ctx, w := browser(t)
	address := writePage(t, t.TempDir(), "nest.nc.report.html", htmlOf(t, r, src))
	text := func(sel string) string {
		s, err := chromedp.Run(ctx, chromedp.Text(chromedp.CSS(sel)))
		if err != nil {
			t.Fatalf("%s: %v", sel, err)
		}
		return strings.TrimSpace(s)
	}
	eval := func(expr string) string {
		s, err := chromedp.Run(ctx, chromedp.Evaluate[string]("String("+expr+")"))
		if err != nil {
			t.Fatalf("%s: %v", expr, err)
		}
		return s
	}
	run := func(actions ...chromedp.Action[chromedp.Void]) {
		t.Helper()
		if err := chromedp.Do(ctx, actions...); err != nil {
			t.Fatal(err)
		}
	}
	shoot := func(name string, action chromedp.Action[[]byte]) {
		t.Helper()
		if os.Getenv("LOOK") == "" {
			return // a picture that nobody looks at only takes time
		}
		shot, err := chromedp.Run(ctx, action)
		if err != nil {
			t.Fatal(err)
		}
		reporttest.Keep(t, name, shot)
	}
	run(chromedp.Navigate(address), chromedp.WaitVisible(chromedp.CSS("#pieces th button")))
	shoot("report.png", chromedp.FullScreenshot(100))

	waiting := `document.querySelectorAll("#plan .freed.waiting").length`
	if got := eval(waiting); got != "0" {
		t.Errorf("at the end %s pieces are not freed", got)
	}
	if got := text("#r-time"); got != "0:07:50" {
		t.Errorf("time at the end: %s", got)
	}

	// The first screen: verdict, what to do, plan and timeline side by side, with the scrubber.
	run(chromedp.EmulateViewport(1280, 720))
	shoot("report.desk.png", chromedp.CaptureScreenshot())
	for _, id := range []string{"verdict", "todo", "plan", "timeline", "scrub"} {
		if got := eval(`document.getElementById("` + id + `").getBoundingClientRect().bottom <= 720`); got != "true" {
			t.Errorf("%s does not fit into the first screen of 1280 x 720", id)
		}
	}
	if got := eval(
		`document.getElementById("plan").getBoundingClientRect().right <= document.getElementById("timeline").getBoundingClientRect().left`); got != "true" {
		t.Error("plan and timeline do not stand side by side")
	}
	if got := eval(`[...document.querySelectorAll("section")].at(-1).textContent.includes("SHA-256")`); got != "true" {
		t.Error("the checksum does not come last")
	}
	run(chromedp.ResetViewport())

	// The scrubber moves the plan, the vacuum and the margins together.
	run(chromedp.Focus(chromedp.CSS("#scrub")), chromedp.KeyEvent(kb.Home))
	if got := eval(waiting); got != "8" {
		t.Errorf("at the start %s pieces are not freed, want 8", got)
	}
	if got := text("#r-vac"); got != "88.0 kPa" {
		t.Errorf("vacuum at the start: %s", got)
	}
	start := eval(`document.getElementById("cursor").style.left`)
	run(chromedp.KeyEvent(kb.PageUp), chromedp.KeyEvent(kb.ArrowRight))
	if got := eval(`document.getElementById("cursor").style.left`); got == start {
		t.Error("the cursor does not follow the keys")
	}
	if got := eval(`document.getElementById("scrub").getAttribute("aria-valuetext")`); !strings.Contains(got,
		"line ") || !strings.Contains(got, "least margin ") {
		t.Errorf("what a screen reader says: %q", got)
	}

	// Block by block: the nest has a sample at every block that moves, the drilling of line 7 after the rapid of line
	// 6.
	run(chromedp.KeyEvent(kb.Home))
	for _, want := range []string{"6", "7", "8"} {
		run(chromedp.KeyEvent(kb.ArrowRight, chromedp.KeyModifiers(kb.ModifierShift)))
		if got := text("#r-line"); got != want {
			t.Errorf("next block: line %s, want %s", got, want)
		}
	}
	run(chromedp.Focus(chromedp.CSS("#block-back")), chromedp.KeyEvent(kb.Enter))
	if got := text("#r-line"); got != "7" {
		t.Errorf("block before: line %s, want 7", got)
	}

	// From finding to finding by keyboard: the first is line 93, where piece 5 is not yet free.
	run(chromedp.Focus(chromedp.CSS("#scrub")), chromedp.KeyEvent(kb.Home), chromedp.Focus(chromedp.CSS("#later")),
		chromedp.KeyEvent(kb.Enter))
	if line, margin := text("#r-line"), text("#r-margin"); line != "93" || margin != "1.40 (1.40 to 2.09)" {
		t.Errorf("first finding: line %s, margin %s", line, margin)
	}
	if got := eval(
		`document.querySelector("#plan .freed[data-piece='5']").classList.contains("waiting")`); got != "true" {
		t.Error("piece 5 is drawn as freed before it is")
	}

	// A click on a finding in the picture opens its lines.
	eval(
		`document.querySelector("#timeline .hit[data-entry='0']").dispatchEvent(new MouseEvent("click", {bubbles: true, cancelable: true}))`)
	if got := eval(`document.getElementById("entry-0").open`); got != "true" {
		t.Error("the finding does not open")
	}
	if got := text("#entry-0 .hit-line"); !strings.Contains(got, "94") || !strings.Contains(got,
		"G1 X447.000 Y37.000 F1300.") {
		t.Errorf("program line of the finding: %q", got)
	}
	// The browser tells the page a little later that the finding has been opened.
	for tries := 0; tries < 100 && text("#r-line") != "94"; tries++ {
		time.Sleep(50 * time.Millisecond)
	}
	if got := text("#r-line"); got != "94" {
		t.Errorf("the time does not follow the finding: line %s", got)
	}
	if got := text("#r-block"); got != "G1 X447.000 Y37.000 F1300." {
		t.Errorf("block under way: %q", got)
	}
	if body := text("#entry-0 .body"); !strings.Contains(body, "41.0 N") || !strings.Contains(body, "0.62") ||
		!strings.Contains(body, "staydown why parts/nest.nc:94") {
		t.Errorf("working: %q", body)
	}
	// A finding opens by keyboard as well.
	run(chromedp.Focus(chromedp.CSS("#entry-2 > summary")), chromedp.KeyEvent(" "))
	if got := eval(`document.getElementById("entry-2").open`); got != "true" {
		t.Error("space does not open a finding")
	}
	shoot("report.open.png", chromedp.FullScreenshot(100))

	// Tables sort by keyboard.
	run(chromedp.Focus(chromedp.CSS("#pieces th:nth-child(4) button")), chromedp.KeyEvent(kb.Enter))
	if got := text("#pieces tbody tr:first-child td:first-child"); got != "9" {
		t.Errorf("least margin first: piece %s, want 9", got)
	}
	if got := eval(`document.querySelector("#pieces th:nth-child(4)").getAttribute("aria-sort")`); got != "ascending" {
		t.Errorf("aria-sort %s", got)
	}
	run(chromedp.KeyEvent(kb.Enter))
	if got := text("#pieces tbody tr:first-child td:first-child"); got != "1" {
		t.Errorf("largest margin first: piece %s, want 1", got)
	}

	// Pressure view.
	run(chromedp.Click(chromedp.CSS("#pressure")), chromedp.Focus(chromedp.CSS("#start")), chromedp.KeyEvent(kb.Enter))
	if got := eval(`[...document.querySelectorAll("#plan .field.now")].map((f) => f.dataset.time)`); got != "0" {
		t.Errorf("field at the start: %s", got)
	}
	if got := text("#plan-moment"); got != "Pressure as computed for 0:00:00, outlines at 0:00:00." {
		t.Errorf("moment of the pressure: %q", got)
	}
	shoot("report.pressure.png", chromedp.Screenshot(chromedp.CSS("#plan")))
	run(chromedp.Click(chromedp.CSS("#pressure")))

	// The order of the Tab key reaches everything that can be worked.
	if got := eval(
		`[...document.querySelectorAll("input,button,summary,a[href]")].filter((e) => e.tabIndex < 0).length`); got != "0" {
		t.Errorf("%s controls cannot be reached by keyboard", got)
	}
	if got := eval(
		`[...document.querySelectorAll("svg[role=img]")].filter((s) => !document.getElementById(s.getAttribute("aria-labelledby"))?.textContent).length`); got != "0" {
		t.Errorf("%s pictures without a text", got)
	}
	if got := eval(
		`(() => { const ids = [...document.querySelectorAll("[id]")].map((e) => e.id); return ids.length - new Set(ids).size; })()`); got != "0" {
		t.Errorf("%s ids are used twice", got)
	}

	// Dark, then narrow.
	media := func(features ...*emulation.MediaFeature) {
		t.Helper()
		if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia,
			emulation.SetEmulatedMediaParams{Features: features}); err != nil {
			t.Fatal(err)
		}
	}
	media(&emulation.MediaFeature{Name: "prefers-color-scheme", Value: "dark"})
	shoot("report.dark.png", chromedp.FullScreenshot(100))
	if got := eval(`getComputedStyle(document.querySelector("section")).backgroundColor`); got != "rgb(19, 25, 31)" {
		t.Errorf("dark background: %s", got)
	}
	media()
	run(chromedp.EmulateViewport(390, 800))
	shoot("report.narrow.png", chromedp.FullScreenshot(100))
	if got := eval(`document.documentElement.scrollWidth <= 391`); got != "true" {
		t.Error("the page is wider than a small screen")
	}
	eval(`[...document.querySelectorAll("details")].forEach((d) => { d.open = false; })`)
	if got := eval(`document.documentElement.scrollHeight <= 6000`); got != "true" {
		t.Errorf("the page is %s px high on a small screen", eval(`document.documentElement.scrollHeight`))
	}
	// Letters of the pictures are at least 11 pixels high on the screen, whatever the picture is scaled to.
	small := `[...document.querySelectorAll("#plan text,#timeline span,#timeline .caption,td,th,dd,p,li")]` +
		`.filter((e) => e.getClientRects().length && e.textContent.trim()` +
		` && parseFloat(getComputedStyle(e).fontSize) * (e.getScreenCTM ? e.getScreenCTM().a : 1) < 11).length`
	if got := eval(small); got != "0" {
		t.Errorf("%s texts are smaller than 11 px", got)
	}
	if got := eval(`document.querySelectorAll("#plan .labels.slim text").length > 5`); got != "true" {
		t.Error("the plan has no labels on a small screen")
	}
	run(chromedp.ResetViewport())

	// Print.
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia,
		emulation.SetEmulatedMediaParams{Media: "print"}); err != nil {
		t.Fatal(err)
	}
	run(chromedp.EmulateViewport(703, 1000)) // the width between the margins of an A4 page
	shoot("report.print.png", chromedp.FullScreenshot(100))
	if got := eval(
		`[...document.querySelectorAll(".screen-only,.scrub,.steps,#cursor")].filter((e) => e.offsetParent !== null).length`); got != "0" {
		t.Errorf("%s controls are printed", got)
	}
	if got := eval(`document.documentElement.scrollWidth <= 703`); got != "true" {
		t.Errorf("the print is %s px wide and would be cut off", eval(`document.documentElement.scrollWidth`))
	}
	run(chromedp.ResetViewport())
	media()
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize(), chromedp.PDFPrintBackground()))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(pdf, []byte("%PDF-")) {
		t.Error("no PDF")
	}
	reporttest.Keep(t, "report.pdf", pdf)
	boxes := regexp.MustCompile(`/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]`).FindAllSubmatch(pdf, -1)
	if len(boxes) < 2 {
		t.Errorf("%d pages; pictures and lists need a page each", len(boxes))
	}
	for _, b := range boxes { // A4 is 210 x 297 mm (ISO 216), in points of 1/72 inch
		w, _ := strconv.ParseFloat(string(b[1]), 64)
		h, _ := strconv.ParseFloat(string(b[2]), 64)
		if math.Abs(w-210/25.4*72) > 1 || math.Abs(h-297/25.4*72) > 1 {
			t.Errorf("page of %v x %v points is not A4", w, h)
		}
	}

	w.mu.Lock()
	defer w.mu.Unlock()
	for _, n := range w.noise {
		t.Error(n)
	}
}

func TestIndexInABrowser(t *testing.T) {
	testrun.NotForRaces(t)
	ctx, w := browser(t)
	dir := t.TempDir()
	r, src := reporttest.Fixture()
	writePage(t, dir, "a nest #1.nc.report.html", htmlOf(t, r, src))
	var b bytes.Buffer
	if err := Index(&b, indexFixture()); err != nil {
		t.Fatal(err)
	}
	address := writePage(t, dir, "index.html", b.Bytes())
	verdicts := chromedp.Evaluate[string](
		`[...document.querySelectorAll("#programs tbody tr")].filter((r) => !r.hidden).map((r) => r.dataset.verdict).join(" ")`)
	do := func(actions ...chromedp.Action[chromedp.Void]) {
		t.Helper()
		if err := chromedp.Do(ctx, actions...); err != nil {
			t.Fatal(err)
		}
	}
	get := func(a chromedp.Action[string]) string {
		t.Helper()
		s, err := chromedp.Run(ctx, a)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	do(chromedp.Navigate(address), chromedp.WaitVisible(chromedp.CSS("#programs")))
	order := get(verdicts)
	if os.Getenv("LOOK") != "" {
		shot, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
		if err != nil {
			t.Fatal(err)
		}
		reporttest.Keep(t, "index.png", shot)
	}
	do(chromedp.Focus(chromedp.CSS("#filter input[value=held]")), chromedp.KeyEvent(" "))
	after := get(verdicts)
	do(chromedp.Click(chromedp.CSS("#programs tbody tr:first-child a")), chromedp.WaitVisible(chromedp.CSS("#scrub")))
	title := get(chromedp.Title())
	if order != "loose loose incomplete at-risk held" {
		t.Errorf("order: %s", order)
	}
	if after != "loose loose incomplete at-risk" {
		t.Errorf("without held: %s", after)
	}
	if title != "parts/nest.nc: loose" {
		t.Errorf("the link leads to %q", title)
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, n := range w.noise {
		t.Error(n)
	}
}

func indexFixture() []IndexEntry {
	entry := func(name string, v result.Verdict, margin float64) IndexEntry {
		r, _ := reporttest.Fixture()
		r.Verdict = v
		for i := range r.Pieces {
			r.Pieces[i].Least.Margin = margin + float64(i)
		}
		return IndexEntry{Name: name, Result: r}
	}
	return []IndexEntry{entry("held.nc", result.Held, 3), entry("sub/less.nc", result.Loose, 0.9),
		entry("risk.nc", result.AtRisk, 1.4), entry("part.nc", result.Incomplete, 2.5),
		entry("a nest #1.nc", result.Loose,
			0.35)}
}
