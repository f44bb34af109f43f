package page

import (
	"bytes"
	"encoding/base64"
	"html/template"
	"io"

	"staydown/hold/chart"
	"staydown/report/picture"
	"staydown/report/words"
)

// chartPage is a chart as one page.
type chartPage struct {
	shell
	Title   string
	Picture template.URL
	Caption string     // of the table
	Table   [][]string // the header first
	Tips    string     // caption of the heights; "" without any
	Heights [][]string // the header first
	Facts   []words.Fact
	Reasons []string
	Assumed []string
	Caution string
	Trade   string
}

// chartTrade says what of practice the model does not know.
const chartTrade = "Discs of a quarter inch out of thin sheet often stay in practice, by their burr and by wedging " +
	"in the kerf (common practice, no source); here they do not hold, for nobody can count on it."

// What fits on the page; the terminal has all of it.
const (
	maxChartReasons = 2
	maxChartAssumed = 9
	chartLetters    = 90 // of an entry
)

// onPage is as much of some entries as has room.
func onPage(entries []string, most int) []string {
	out := someOf(words.VisibleEach(entries), most, "on the terminal")
	for i := range out {
		out[i] = words.Clip(out[i], chartLetters)
	}
	return out
}

// ChartHTML writes a chart as a page to hang at the machine: one sheet of A4 or letter paper, across, that needs no
// network. Errors are those of w.
func ChartHTML(w io.Writer, r *chart.Result) error {
	sh, err := newShell("chart.css", "")
	if err != nil {
		return err
	}
	var drawn bytes.Buffer
	if err := picture.ChartSVG(&drawn, r); err != nil {
		return err
	}
	p := chartPage{shell: sh, Title: "What holds: " + words.Clip(words.ChartHeadline(r), chartLetters),
		Caption: words.ChartCaption(r),
		Table:   words.ChartTable(r), Facts: words.ChartFacts(r), Caution: words.Caution, Trade: chartTrade,
		Reasons: onPage(r.Reasons, maxChartReasons), Assumed: onPage(r.Assumed, maxChartAssumed),
		Picture: template.URL("data:image/svg+xml;base64," + base64.StdEncoding.EncodeToString(drawn.Bytes()))}
	if len(r.Heights) > 0 {
		p.Tips, p.Heights = words.HeightCaption(r), words.HeightTable(r)
	}
	for i := range p.Facts {
		p.Facts[i].Value = words.Clip(p.Facts[i].Value, chartLetters)
	}
	return pageTemplate(w, "chart.html.tmpl", p)
}
