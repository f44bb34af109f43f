package page

import (
	"cmp"
	"fmt"
	"html/template"
	"io"
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/report/picture"
	"staydown/report/words"
)

// IndexEntry is one program of a run.
type IndexEntry struct {
	Name   string // of its files below the folder of the index, without endings, with forward slashes
	Result *result.Result
	// NoReport tells that the program has no report page, so that the index does not link to one.
	NoReport bool
	// Remark is what else there is to say of the program's files; "" for nothing.
	Remark string
}

type indexPage struct {
	shell
	Title, Sentence, Caution string
	Verdicts                 []verdictCount
	Rows                     []indexRow
	Passed                   []words.PassedOver
}

type verdictCount struct {
	Name  string
	Count int
}

type indexRow struct {
	Verdict, Name, Address, Margin, Where, Time string
	Remark                                      string
	Errors, Warnings                            int
	Spark                                       template.HTML
	sortVerdict                                 result.Verdict
	sortMargin                                  float64
}

// Index writes the index page of a run: every program with its verdict, the worst first, linked to NAME.report.html,
// and what was passed over. It needs no network. Errors are those of w.
func Index(w io.Writer, entries []IndexEntry, passed ...words.PassedOver) error {
	sh, err := newShell("page.css", "index.js")
	if err != nil {
		return err
	}
	p := indexPage{shell: sh, Caution: words.Caution, Title: "Vacuum hold of " + wording.Count(len(entries), "program",
		"programs")}
	counts := make(map[result.Verdict]int)
	for _, e := range entries {
		if e.Result == nil {
			continue
		}
		counts[e.Result.Verdict]++
		p.Rows = append(p.Rows, layRow(e))
	}
	slices.SortStableFunc(p.Rows, func(a, b indexRow) int {
		switch {
		case a.sortVerdict != b.sortVerdict:
			return int(b.sortVerdict) - int(a.sortVerdict)
		case a.sortMargin < b.sortMargin:
			return -1
		case a.sortMargin > b.sortMargin:
			return 1
		}
		return strings.Compare(a.Name, b.Name)
	})
	for _, o := range passed {
		p.Passed = append(p.Passed, words.PassedOver{Path: words.Visible(o.Path), Why: words.Visible(o.Why)})
	}
	var parts []string
	for v := result.Loose + 1; v > 0; v-- {
		name := (v - 1).String()
		p.Verdicts = append(p.Verdicts, verdictCount{name, counts[v-1]})
		if counts[v-1] > 0 {
			parts = append(parts, strconv.Itoa(counts[v-1])+" "+name)
		}
	}
	p.Sentence = "Verdicts: none."
	if len(parts) > 0 {
		p.Sentence = "Verdicts: " + strings.Join(parts, ", ") + "."
	}
	return pageTemplate(w, "index.html.tmpl", p)
}

func layRow(e IndexEntry) indexRow {
	r := e.Result
	row := indexRow{Verdict: r.Verdict.String(), Name: words.Visible(e.Name), Margin: "-", Where: "-",
		Time: wording.Clock(r.Program.DurationS), sortVerdict: r.Verdict, sortMargin: math.Inf(1),
		Spark: template.HTML(spark(r))}
	row.Remark = cmp.Or(words.WhyUnanalysed(r), words.Visible(e.Remark))
	if !e.NoReport {
		row.Address = (&url.URL{Path: e.Name + ".report.html"}).String()
	}
	if p, ok := r.LeastPiece(); ok {
		row.Margin, row.sortMargin = wording.Margin(p.Least.Margin), p.Least.Margin
		row.Where = fmt.Sprintf("piece %d, line %d, %s", p.ID, p.Least.Line, p.Least.Mode)
	}
	for _, f := range r.Findings {
		switch f.Level {
		case result.LevelError:
			row.Errors++
		case result.LevelWarning:
			row.Warnings++
		}
	}
	return row
}

// Size of the small timelines of the index, units of their view box, and the scale of their margins.
const (
	sparkWidth  = 300.0
	sparkHeight = 44.0
	sparkLow    = 0.2
	sparkHigh   = 20.0
)

// spark draws the least margin over time as a small picture. Only numbers go into it.
func spark(r *result.Result) string {
	x := picture.Axis{Lo: 0, Hi: picture.SpanS(r), From: 0, To: sparkWidth}
	y := picture.Axis{Lo: sparkLow, Hi: sparkHigh, From: sparkHeight - 1, To: 1, Log: true}
	var b strings.Builder
	fmt.Fprintf(&b,
		`<svg class="spark" viewBox="0 0 %g %g" role="img" aria-label="least margin over time"><rect class="ground" width="%g" height="%g"/>`, sparkWidth, sparkHeight, sparkWidth, sparkHeight)
	perUnit := x.Hi / sparkWidth
	atRisk, loose := picture.RiskySpans(r, 2*perUnit)
	for _, c := range []struct {
		class string
		spans []picture.Span
	}{{"risk", atRisk}, {"loose", loose}} {
		for _, s := range c.spans {
			x0, x1 := x.At(s.FromS), x.At(s.ToS)
			fmt.Fprintf(&b, `<rect class="%s" x="%s" width="%s" height="%g"/>`, c.class, picture.Short(x0),
				picture.Short(math.Max(1.5, x1-x0)), sparkHeight)
		}
	}
	fmt.Fprintf(&b, `<path class="limit" d="M0 %sH%g"/>`, picture.Short(y.At(1)), sparkWidth)
	if r.Margin > 1 {
		fmt.Fprintf(&b, `<path class="asked" d="M0 %sH%g"/>`, picture.Short(y.At(r.Margin)), sparkWidth)
	}
	b.WriteString(`<path class="curve" d="`)
	down, last := false, 0.0
	for _, i := range picture.Thin(r.Timeline, x.Hi, int(sparkWidth/4)) {
		s := r.Timeline[i]
		if math.IsNaN(s.LeastMargin) || math.IsInf(s.LeastMargin, 0) {
			continue
		}
		at := x.At(s.TimeS)
		if down && at-last < 8 {
			fmt.Fprintf(&b, "L%s %s", picture.Short(at), picture.Short(y.At(s.LeastMargin)))
		} else {
			fmt.Fprintf(&b, "M%s %sh-1", picture.Short(at), picture.Short(y.At(s.LeastMargin)))
		}
		down, last = true, at
	}
	b.WriteString(`"/></svg>`)
	return b.String()
}
