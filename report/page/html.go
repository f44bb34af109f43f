package page

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"html/template"
	"io"
	"math"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/report/annotate"
	"staydown/report/picture"
	"staydown/report/words"
)

//go:embed templates
var templates embed.FS

// Limits of a page, so that a program of any length gives one that a browser opens at once. What is left out is said on
// the page and stands in the result file.
const (
	maxEntries    = 200     // of the list of findings
	maxRows       = 1000    // of the table of pieces
	maxBlockText  = 100_000 // bytes of the program lines that the scrubber shows
	excerptBefore = 4       // program lines shown before and after the lines of a finding
	excerptAfter  = 3
	maxExcerpt    = 40      // program lines of one finding
	maxLineRunes  = 160     // of one program line
	maxWorking    = 800_000 // bytes of all workings together
)

// HTML writes the report page of one program: one file that needs no network, with the pictures inside. src is the
// program's text; nil leaves the program lines out. The findings on the line of a working show it in full. Errors are
// those of w.
func HTML(w io.Writer, r *result.Result, src []byte, workings []result.Working) error {
	p, err := layPage(r, src, workings)
	if err != nil {
		return err
	}
	return pageTemplate(w, "report.html.tmpl", p)
}

// pageTemplate fills a template into a buffer first, so that a failure leaves nothing half-written.
func pageTemplate(w io.Writer, name string, data any) error {
	t, err := template.New(name).Funcs(template.FuncMap{"prose": words.Prose}).ParseFS(templates, "templates/"+name,
		"templates/plan.tmpl")
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

// newShell gives what pages of a style share; script may be "".
func newShell(style, script string) (shell, error) {
	css, err := templates.ReadFile("templates/" + style)
	if err != nil {
		return shell{}, err
	}
	out := shell{Style: template.CSS(picture.ThemeCSS() + string(css)),
		Policy: "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"}
	if script == "" {
		return out, nil
	}
	js, err := templates.ReadFile("templates/" + script)
	if err != nil {
		return shell{}, err
	}
	sum := sha256.Sum256(js)
	out.Script = template.JS(js)
	out.Policy += "; script-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	return out, nil
}

type page struct {
	shell
	Path, Verdict, Sentence, Caution string
	ToDo                             []string // what to do, the best first
	Alarm                            string
	Summary                          []string
	Leaks                            []leakBar
	Decisive                         []string // what of Assumed could change the verdict
	Facts, Setup                     []words.Fact
	JobFiles                         []string // which file gives what; nil if one gives all
	Assumed                          []string
	Chart                            picture.PageChart
	TimelineAlt, PlanAlt             string
	Plan                             picture.PagePlan
	PressureKey                      []pressureStep
	Entries                          []pageEntry
	EntriesLeft                      int
	Pieces                           []pieceRowView
	PiecesLeft                       int
	Chances                          bool // some piece's chance is known
	Data                             pageData
	ForceUnit, AreaUnit              string
	SpanText                         string
}

type pressureStep struct{ Colour, Text string }

type pieceRowView struct {
	ID                                                 int
	Origin, State, Area, Held, Freed, Web, Mode        string
	Margin, Line, Hold, Load                           string
	SortMargin, SortArea, SortHeld, SortHold, SortLoad string
	FreedLine, LeastLine                               int
	SortState                                          int
	Chance, SortChance                                 string
	TimeS                                              float64
}

// pageData is what the script of the page reads. All lists run along the samples that the page keeps.
type pageData struct {
	Span    float64         `json:"span"`
	Time    []words.Decimal `json:"t"`
	Line    []int           `json:"line"`
	Tool    []int           `json:"tool"`
	Held    []words.Decimal `json:"held"`
	Freed   []int           `json:"freed"`
	Vacuum  []words.Decimal `json:"vac"`
	Leak    []words.Decimal `json:"leak"`
	Margin  []words.Decimal `json:"margin"`
	Low     []words.Decimal `json:"low"` // ends of the range of that margin
	High    []words.Decimal `json:"high"`
	Risky   []words.Decimal `json:"risky"` // times of the findings, rising
	Blocks  map[int]string  `json:"block"` // program lines of the samples, as far as there is room
	Program string          `json:"program"`
	// Names of the units of the lists.
	VacuumUnit string `json:"vacUnit"`
	LeakUnit   string `json:"leakUnit"`
	HeldUnit   string `json:"heldUnit"`
}

func layPage(r *result.Result, src []byte, workings []result.Working) (*page, error) {
	sh, err := newShell("page.css", "report.js")
	if err != nil {
		return nil, err
	}
	p := &page{shell: sh, Path: words.Visible(r.Program.Path), Verdict: r.Verdict.String(), Sentence: words.Headline(r),
		ForceUnit: r.Units.Force().Name, AreaUnit: r.Units.Area().Name,
		Caution: words.Caution, Assumed: r.Assumed, SpanText: wording.Clock(picture.SpanS(r)), ToDo: toDo(r),
		Alarm:   words.Alarm(r),
		Summary: summaryInWords(r), Leaks: leakBars(r), Decisive: r.Decisive, Facts: pageFacts(r), Setup: setupFacts(r),
		JobFiles: jobFilesInWords(r)}
	lines := annotate.SplitLines(src)
	list := layList(r, lines, workings)
	p.Entries, p.EntriesLeft = list.entries, list.left
	p.Pieces, p.PiecesLeft = pieceRows(r)
	p.Chances = chancesKnown(r)
	p.Plan = picture.LayPlan(r, list.entryOf, picture.ZoneName)
	if len(p.Plan.Fields) > 0 {
		p.PressureKey = pressureSteps(r)
	}
	p.Chart = picture.LayChart(r, list.entryOf)
	p.Data = layData(r, lines)
	p.TimelineAlt = "Over time: " + strings.Join(p.Summary, " ")
	p.PlanAlt = "The table from above. " + words.Pieces(r) + "."
	return p, nil
}

// jobFilesInWords tells which file gives what; nil if one gives all.
func jobFilesInWords(r *result.Result) []string {
	if len(r.Job.Sources) < 2 {
		return nil
	}
	var out []string
	for _, s := range r.Job.Sources {
		if len(s.Keys) > 0 {
			out = append(out, words.Visible(s.File+": "+strings.Join(s.Keys, ", ")))
		}
	}
	return out
}

// pressureSteps are the bands of the pressure pictures in words, from the least on.
func pressureSteps(r *result.Result) []pressureStep {
	top, unit := picture.PressureTop(r), r.Units.Pressure()
	out := make([]pressureStep, picture.PressureBands)
	for i := range out {
		out[i] = pressureStep{picture.HexColour(picture.PressureColour((float64(i) + 0.5) / picture.PressureBands)),
			picture.BandInWords(i, top, unit) + " " + unit.Name}
	}
	return out
}

func layData(r *result.Result, lines []annotate.ProgramLine) pageData {
	d := pageData{Span: picture.SpanS(r), Program: words.Visible(r.Program.Path), Risky: []words.Decimal{},
		Blocks: map[int]string{}}
	vacuum, leak, area := r.Units.Pressure(), r.Units.Flow(), r.Units.TableArea()
	d.VacuumUnit, d.LeakUnit, d.HeldUnit = vacuum.Name, leak.Name, area.Name
	room := maxBlockText
	for _, i := range picture.Thin(r.Timeline, d.Span, picture.PageColumns) {
		s := r.Timeline[i]
		d.Time = append(d.Time, words.Decimal(s.TimeS))
		d.Line = append(d.Line, s.Line)
		d.Tool = append(d.Tool, s.Tool)
		d.Held = append(d.Held, words.Decimal(picture.Round1(area.In(s.HeldAreaMM2))))
		d.Freed = append(d.Freed, s.FreedPieces)
		d.Vacuum = append(d.Vacuum, words.Decimal(picture.Round1(vacuum.In(s.VacuumKPa))))
		d.Leak = append(d.Leak, words.Decimal(picture.Round1(leak.In(s.LeakM3h))))
		d.Margin = append(d.Margin, words.Decimal(math.Floor(s.LeastMargin*1000)/1000))
		d.Low = append(d.Low, words.Decimal(math.Floor(picture.LowEnd(s)*1000)/1000))
		d.High = append(d.High, words.Decimal(math.Floor(picture.HighEnd(s)*1000)/1000))
		if _, known := d.Blocks[s.Line]; !known && s.Line > 0 && s.Line <= len(lines) && room > 0 {
			d.Blocks[s.Line] = lineText(lines[s.Line-1])
			room -= len(d.Blocks[s.Line])
		}
	}
	for _, k := range gravest(r, maxRows, func(f result.Finding) bool { return f.Level >= result.LevelWarning }) {
		d.Risky = append(d.Risky, words.Decimal(r.Findings[k].TimeS))
	}
	return d
}
