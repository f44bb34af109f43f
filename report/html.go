package report

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"staydown/hold"
	"staydown/hold/wording"
)

//go:embed templates
var templates embed.FS

// Limits of a page, so that a program of any length gives one that a browser opens at once. What is left out is said on
// the page and stands in the result file.
const (
	pageColumns   = 700  // of the timeline's data
	maxStretches  = 200  // findings shown with their program lines
	maxRows       = 1000 // of each table
	excerptBefore = 4    // program lines shown before and after the lines of a finding
	excerptAfter  = 3
	maxExcerpt    = 40      // program lines of one finding
	maxLineRunes  = 160     // of one program line
	maxWorking    = 800_000 // bytes of all workings together
)

// HTML writes the report page of one program: one file that needs no network, with the pictures inside. src is the
// program's text; nil leaves the program lines out. The findings on the line of a working show it in full. Errors are
// those of w.
func HTML(w io.Writer, r *hold.Result, src []byte, workings []hold.Working) error {
	p, err := layPage(r, src, workings)
	if err != nil {
		return err
	}
	return pageTemplate(w, "report.html.tmpl", p)
}

// pageTemplate fills a template into a buffer first, so that a failure leaves nothing half-written.
func pageTemplate(w io.Writer, name string, data any) error {
	t, err := template.New(name).ParseFS(templates, "templates/"+name)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, data); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

// shell is what every page shares.
type shell struct {
	Style  template.CSS
	Script template.JS
	Policy string // content security policy: nothing from elsewhere, and only the one script
}

func newShell(script string) (shell, error) {
	css, err := templates.ReadFile("templates/page.css")
	if err != nil {
		return shell{}, err
	}
	js, err := templates.ReadFile("templates/" + script)
	if err != nil {
		return shell{}, err
	}
	sum := sha256.Sum256(js)
	return shell{Style: template.CSS(themeCSS() + string(css)), Script: template.JS(js),
		Policy: "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'sha256-" +
			base64.StdEncoding.EncodeToString(sum[:]) + "'; base-uri 'none'; form-action 'none'"}, nil
}

type fact struct{ Label, Value string }

type page struct {
	shell
	Path, Verdict, Sentence, Caution string
	Summary                          []string
	Facts, Sheet                     []fact
	Zones                            []string
	JobFiles                         []string // which file gives what; nil if one gives all
	Assumed                          []string
	Timeline                         template.HTML
	TimelineAlt, PlanAlt             string
	Plan                             pagePlan
	PressureKey                      []pressureStep
	Stretches                        []pageStretch
	StretchesLeft                    int
	Findings                         []findingRow
	FindingsLeft                     int
	Pieces                           []pieceRowView
	PiecesLeft                       int
	Data                             pageData
	Initials                         []string
	SpanText                         string
}

type pressureStep struct{ Colour, Text string }

type pageStretch struct {
	Index       int
	Word, Level string
	Line        string
	TimeS       float64
	Time        string
	Message     string
	Remedy      string
	Rule        string
	Meaning     string
	Advice      string
	Figures     []fact
	Excerpt     []excerptLine
	Working     string
	WhyCommand  string
}

type excerptLine struct {
	Number int
	Text   string
	Hit    bool
	Cut    bool   // lines are left out before this one
	Remark string // what is said before this line, as in the annotated program
}

type findingRow struct {
	Line                                         int
	Time, Word, Rule, Level, Piece, Margin, Sort string
	SortLevel                                    int
	Tool                                         string
	Message, Remedy                              string
	Stretch                                      int
	TimeS                                        float64
}

type pieceRowView struct {
	ID                                                 int
	Origin, State, Area, Held, Freed, Web, Mode        string
	Margin, Line, Hold, Load                           string
	SortMargin, SortArea, SortHeld, SortHold, SortLoad string
	FreedLine, LeastLine                               int
	SortState                                          int
	TimeS                                              float64
}

// pageData is what the script of the page reads. All lists run along the samples that the page keeps.
type pageData struct {
	Span    float64   `json:"span"`
	Left    float64   `json:"left"`  // where the time axis begins and ends in the timeline picture
	Right   float64   `json:"right"` //
	Time    []decimal `json:"t"`
	Line    []int     `json:"line"`
	Tool    []int     `json:"tool"`
	Held    []decimal `json:"held"`
	Stock   []decimal `json:"stock"`
	Freed   []int     `json:"freed"`
	Vacuum  []decimal `json:"vac"`
	Leak    []decimal `json:"leak"`
	Margin  []decimal `json:"margin"`
	Asked   decimal   `json:"asked"`
	Risky   []decimal `json:"risky"` // times of the stretches, rising
	Program string    `json:"program"`
}

func layPage(r *hold.Result, src []byte, workings []hold.Working) (*page, error) {
	sh, err := newShell("report.js")
	if err != nil {
		return nil, err
	}
	p := &page{shell: sh, Path: Visible(r.Program.Path), Verdict: r.Verdict.String(), Sentence: verdictInWords(r),
		Caution: caution,
		Assumed: r.Assumed, SpanText: wording.Clock(spanS(r)), Initials: []string{"program", "set-up", "vacuum alarm",
			"test cut", "date"}}
	p.Summary = summaryInWords(r)
	p.Facts = pageFacts(r)
	p.Sheet = sheetFacts(r)
	p.JobFiles = jobFilesInWords(r)
	for _, z := range r.Job.Zones {
		p.Zones = append(p.Zones, zoneInWords(z))
	}
	order := stretchOrder(r)
	at := make(map[int]int, len(order))
	lines := splitLines(src)
	room := maxWorking
	for i, k := range order {
		at[k] = i
		s := layStretch(r, k, i, lines)
		if text := workingAt(workings, r.Findings[k].Line); text != "" && len(text) <= room {
			s.Working = text
			room -= len(text)
		}
		p.Stretches = append(p.Stretches, s)
	}
	p.StretchesLeft = countShown(r) - len(order)
	index := func(finding int) int {
		if i, ok := at[finding]; ok {
			return i
		}
		return -1
	}
	p.Findings, p.FindingsLeft = findingRows(r, index)
	p.Pieces, p.PiecesLeft = pieceRows(r)
	p.Plan = layPlan(r, index)
	if len(p.Plan.Fields) > 0 {
		p.PressureKey = pressureSteps(r)
	}
	p.Data = layData(r, order)
	var svg bytes.Buffer
	if err := TimelineSVG(&svg, r); err != nil {
		return nil, err
	}
	p.TimelineAlt = "Over time: " + strings.Join(p.Summary, " ")
	p.PlanAlt = "The table from above. " + piecesInWords(r) + "."
	p.Timeline = template.HTML(inlineSVG(svg.Bytes(), `id="timeline" role="img" aria-labelledby="timeline-alt"`,
		timelineOverlay(r, order)))
	return p, nil
}

// jobFilesInWords tells which file gives what; nil if one gives all.
func jobFilesInWords(r *hold.Result) []string {
	if len(r.Job.Sources) < 2 {
		return nil
	}
	var out []string
	for _, s := range r.Job.Sources {
		if len(s.Keys) > 0 {
			out = append(out, Visible(s.File+": "+strings.Join(s.Keys, ", ")))
		}
	}
	return out
}

// pressureSteps are the bands of the pressure pictures in words, from the least on.
func pressureSteps(r *hold.Result) []pressureStep {
	top := pressureTop(r)
	out := make([]pressureStep, pressureBands)
	for i := range out {
		out[i] = pressureStep{hexColour(pressureColour((float64(i) + 0.5) / pressureBands)),
			fmt.Sprintf("%.4g to %.4g kPa", float64(i)*top/pressureBands, float64(i+1)*top/pressureBands)}
	}
	return out
}

// timelineOverlay adds the cursor and the parts of the picture that can be clicked. Only numbers go into it.
func timelineOverlay(r *hold.Result, order []int) string {
	x := axis{lo: 0, hi: spanS(r), from: timelineLeft, to: timelineRight}
	var b strings.Builder
	fmt.Fprintf(&b, `<rect id="timeline-hit" x="%s" y="%s" width="%s" height="%s" fill="transparent"/>`,
		short(timelineLeft), short(canvasHeight-toolStrip.y1),
		short(timelineRight-timelineLeft), short(toolStrip.y1-marginPanel.y0))
	for i, k := range order {
		f := r.Findings[k]
		x0, x1 := x.at(f.TimeS), x.at(math.Max(f.TimeS, f.LastTimeS))
		if x1-x0 < 6 {
			mid := (x0 + x1) / 2
			x0, x1 = mid-3, mid+3
		}
		fmt.Fprintf(&b, `<rect class="hit" data-stretch="%d" x="%s" y="%s" width="%s" height="%s" fill="transparent"/>`,
			i, short(x0),
			short(canvasHeight-marginPanel.y1-40), short(x1-x0), short(marginPanel.y1-marginPanel.y0+40))
	}
	fmt.Fprintf(&b, `<line id="cursor" x1="%s" x2="%s" y1="%s" y2="%s"/>`, short(timelineRight), short(timelineRight),
		short(canvasHeight-toolStrip.y1), short(canvasHeight-marginPanel.y0))
	return b.String()
}

// stretchOrder picks the findings that the page shows with their program lines: warnings and errors.
func stretchOrder(r *hold.Result) []int {
	return gravest(r, maxStretches, func(f hold.Finding) bool { return f.Level >= hold.LevelWarning })
}

// gravest gives the indices of the findings that want takes, in the order of the program. When they are more than most,
// the gravest are kept.
func gravest(r *hold.Result, most int, want func(hold.Finding) bool) []int {
	var order []int
	for i, f := range r.Findings {
		if want(f) {
			order = append(order, i)
		}
	}
	if len(order) > most {
		slices.SortStableFunc(order, func(a, b int) int { return compareGravity(r.Findings[a], r.Findings[b]) })
		order = order[:most]
		slices.Sort(order)
	}
	return order
}

func countShown(r *hold.Result) int {
	n := 0
	for _, f := range r.Findings {
		if f.Level >= hold.LevelWarning {
			n++
		}
	}
	return n
}

// compareGravity puts errors before warnings before notes, and lower margins first.
func compareGravity(a, b hold.Finding) int {
	if a.Level != b.Level {
		return int(b.Level) - int(a.Level)
	}
	x, y := a.Margin, b.Margin
	if math.IsNaN(x) {
		x = math.Inf(1)
	}
	if math.IsNaN(y) {
		y = math.Inf(1)
	}
	switch {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}

func layStretch(r *hold.Result, k, index int, lines []programLine) pageStretch {
	f := r.Findings[k]
	s := pageStretch{Index: index, Word: word(f), Level: f.Level.String(), TimeS: f.TimeS, Time: wording.Clock(f.TimeS),
		Message: Visible(f.Message), Remedy: Visible(f.Remedy), Rule: f.Rule}
	if rule, ok := hold.RuleByID(f.Rule); ok {
		s.Meaning, s.Advice = sentence(rule.Meaning), sentence(rule.Advice)
	}
	s.Line = "whole program"
	if f.Line > 0 {
		s.Line = wording.Lines(wording.LineRange{First: f.Line, Last: max(f.Line, f.LastLine)})
		s.WhyCommand = fmt.Sprintf("staydown why %s:%d", Visible(r.Program.Path), f.Line)
	}
	add := func(label, value string) { s.Figures = append(s.Figures, fact{label, value}) }
	if number(f.HoldN) != "" {
		add("hold", fmt.Sprintf("%.1f N", f.HoldN))
	}
	if number(f.LoadN) != "" {
		add("load", fmt.Sprintf("%.1f N", f.LoadN))
	}
	if !math.IsNaN(f.Margin) {
		add("margin = capacity / demand", wording.Margin(f.Margin))
		add("required margin", wording.Margin(r.Margin))
	}
	if f.Tool > 0 {
		add("tool", strconv.Itoa(f.Tool))
	}
	add("time", s.Time)
	if i := slices.IndexFunc(r.Pieces, func(p hold.Piece) bool { return p.ID == f.Piece }); i >= 0 {
		p := r.Pieces[i]
		add("piece", fmt.Sprintf("%d, %.1f mm2, minimum held area %.1f mm2", p.ID, p.AreaMM2, p.HeldAreaMM2))
	}
	if sample, ok := sampleAt(r, f.TimeS); ok {
		add("vacuum", kilopascal(sample.VacuumKPa))
		add("leak", fmt.Sprintf("%.1f m3/h", sample.LeakM3h))
	}
	if f.Line > 0 {
		s.Excerpt = excerpt(lines, f.Line, max(f.Line, f.LastLine))
		for i := range s.Excerpt {
			if s.Excerpt[i].Number == f.Line {
				s.Excerpt[i].Remark = s.Word + ": " + s.Message
			}
		}
	}
	return s
}

// workingAt is the reckoning at a line as text, "" when there is none.
func workingAt(workings []hold.Working, line int) string {
	for _, w := range workings {
		if w.Line == line {
			var b strings.Builder
			if Working(&b, w) == nil {
				return plainLines(b.String())
			}
		}
	}
	return ""
}

// plainLines is plain for text of several lines.
func plainLines(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = Visible(lines[i])
	}
	return strings.Join(lines, "\n")
}

// sampleAt is the first sample at or after a moment; the last one when there is none.
func sampleAt(r *hold.Result, t float64) (hold.Sample, bool) {
	if len(r.Timeline) == 0 {
		return hold.Sample{}, false
	}
	i, _ := slices.BinarySearchFunc(r.Timeline, t, func(s hold.Sample, t float64) int {
		if s.TimeS < t {
			return -1
		}
		return 1
	})
	return r.Timeline[min(i, len(r.Timeline)-1)], true
}

// excerpt cuts the lines of a finding with some before and behind out of a program.
func excerpt(lines []programLine, first, last int) []excerptLine {
	var out []excerptLine
	lo, hi := max(1, first-excerptBefore), min(len(lines), last+excerptAfter)
	for n := lo; n <= hi; n++ {
		cut := false
		if hi-lo+1 > maxExcerpt && n == lo+maxExcerpt/2 {
			n, cut = hi-maxExcerpt/2+1, true
		}
		text := []rune(Visible(strings.ToValidUTF8(string(lines[n-1].text), "\uFFFD")))
		if len(text) > maxLineRunes {
			text = append(text[:maxLineRunes], []rune(" ...")...)
		}
		out = append(out, excerptLine{Number: n, Text: string(text), Hit: n >= first && n <= last, Cut: cut})
	}
	return out
}

func layData(r *hold.Result, order []int) pageData {
	d := pageData{Span: spanS(r), Left: timelineLeft, Right: timelineRight, Asked: decimal(r.Margin),
		Program: Visible(r.Program.Path), Risky: []decimal{}}
	for _, i := range thin(r.Timeline, d.Span, pageColumns) {
		s := r.Timeline[i]
		d.Time = append(d.Time, decimal(s.TimeS))
		d.Line = append(d.Line, s.Line)
		d.Tool = append(d.Tool, s.Tool)
		d.Held = append(d.Held, decimal(round1(s.HeldAreaMM2)))
		d.Stock = append(d.Stock, decimal(round1(s.StockHeldMM2)))
		d.Freed = append(d.Freed, s.FreedPieces)
		d.Vacuum = append(d.Vacuum, decimal(round1(s.VacuumKPa)))
		d.Leak = append(d.Leak, decimal(round1(s.LeakM3h)))
		d.Margin = append(d.Margin, decimal(math.Floor(s.LeastMargin*1000)/1000))
	}
	for _, k := range order {
		d.Risky = append(d.Risky, decimal(r.Findings[k].TimeS))
	}
	return d
}
