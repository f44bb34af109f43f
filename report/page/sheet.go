package page

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"staydown/hold/result"
	"staydown/parse/units"
	"staydown/report/picture"
	"staydown/report/words"
)

// Limits of the set-up sheet, which is one printed page. What is left out stands in the report.
const (
	maxSheetTools = 5
	maxSheetZones = 4
	maxSheetGauge = 5
	maxSheetWatch = 4
	sheetLetters  = 80   // of one entry beside the plan
	alarmLetters  = 170  // of the alarm
	watchLetters  = 180  // of one entry below the plan
	toDoLetters   = 330  // of what is to be done first
	denseLetters  = 700  // beside the plan, from which on letters are smaller
	leastBare     = 0.02 // share of a zone from which on it is worth covering
)

type sheetPage struct {
	shell
	Path, Verdict, Sentence, Caution string
	Plan                             picture.PagePlan
	Setup                            []words.Fact
	Tools, Zones, Gauge              []string
	Watch                            []string
	ToDo                             string // when the program must not run as it is
	Signatures                       []string
	Dense                            bool
}

// Sheet writes the set-up sheet of one program, for the machine: one page of A4 or letter paper, across, that needs no
// network. Errors are those of w.
func Sheet(w io.Writer, r *result.Result) error {
	sh, err := newShell("sheet.css", "")
	if err != nil {
		return err
	}
	list := layList(r, nil, nil)
	p := sheetPage{shell: sh, Path: words.Clip(words.Visible(r.Program.Path), sheetLetters),
		Verdict: r.Verdict.String(),
		Caution: words.Caution, Sentence: words.Headline(r), Plan: picture.LayPlan(r, list.entryOf, zoneOrder),
		Tools: sheetTools(r),
		Zones: sheetZones(r), Gauge: sheetGauge(r), Watch: sheetWatch(&list), Setup: sheetSetup(r),
		Signatures: []string{"program", "set-up", "vacuum alarm", "test cut", "date"}}
	if todo := toDo(r); len(todo) > 0 && r.Verdict != result.Held {
		p.ToDo = words.Clip(todo[0], toDoLetters)
	}
	letters := 0
	for _, s := range slices.Concat(p.Tools, p.Zones, p.Gauge) {
		letters += len(s)
	}
	for _, f := range p.Setup {
		letters += len(f.Value)
	}
	p.Dense = letters > denseLetters
	return pageTemplate(w, "sheet.html.tmpl", p)
}

// sheetSetup is what lies on the table and what the machine is set to.
func sheetSetup(r *result.Result) []words.Fact {
	out := []words.Fact{{Label: "stock", Value: words.OrDash(r.Job.Material) + "; " + stockInWords(r)},
		{Label: "zero", Value: zeroInWords(r)},
		{Label: "layer", Value: words.OrDash(r.Job.Layer)}, {Label: "pump", Value: words.OrDash(r.Job.Pump)},
		{Label: "pieces come free", Value: freedInWords(r)},
		{Label: "stops", Value: stopsInWords(r)}}
	for i := range out {
		out[i].Value = words.Clip(out[i].Value, sheetLetters)
	}
	return append(out, words.Fact{Label: "alarm", Value: words.Clip(words.Alarm(r), alarmLetters)})
}

// some keeps the first of many entries and says how many are left out.
func some(all []string, most int) []string { return someOf(all, most, "see the report") }

// someOf says where the others stand.
func someOf(all []string, most int, where string) []string {
	if len(all) <= most {
		return all
	}
	return append(slices.Clone(all[:most-1]), fmt.Sprintf("%d more: %s", len(all)-most+1, where))
}

// zoneOrder is the label of a zone with what to do with its valve.
func zoneOrder(z result.ZoneFacts) string {
	name := words.Clip(words.Visible(z.Name), sheetLetters/4)
	if z.Open {
		return name + ": OPEN"
	}
	return name + ": CLOSE"
}

// sheetZones says which zones to open and close, and where bare table is to be covered.
func sheetZones(r *result.Result) []string {
	var out []string
	for _, z := range r.Job.Zones {
		s := zoneOrder(z)
		if z.Gasket {
			s += " (gasket)"
		}
		share := 0.0
		if zone := picture.Wound(orb.MultiPolygon{z.Area}); len(zone) > 0 {
			share = z.BareMM2 / math.Abs(planar.Area(zone))
		}
		switch {
		case !z.Open || z.Gasket || share < leastBare:
		case share > 1-leastBare:
			s += "; no stock lies on it: close it and check again"
		default:
			s += "; COVER the bare table, about " + r.Units.TableArea().Text(z.BareMM2) + " (hatched)"
		}
		out = append(out, s)
	}
	return some(out, maxSheetZones)
}

// zeroInWords says where the zero of the program lies on the blank. Front and left are those of low Y and X.
func zeroInWords(r *result.Result) string {
	if len(r.Job.StockOutline) == 0 {
		return "not known"
	}
	b, length := r.Job.StockOutline.Bound(), r.Units.Length()
	return edgeInWords(length, "X0", b.Min[0], b.Max[0], "left edge", "right edge") + ", " +
		edgeInWords(length, "Y0", b.Min[1], b.Max[1], "front edge", "back edge") + ", " +
		edgeInWords(length, "Z0", r.Job.StockLowMM, r.Job.StockTopMM, "underside", "top of the stock")
}

// edgeInWords says where 0 lies between the two ends of the blank along an axis.
func edgeInWords(length units.Unit, axis string, lo, hi float64, low, high string) string {
	const near = 0.01 // mm
	switch {
	case math.Abs(lo) < near:
		return axis + " " + low
	case math.Abs(hi) < near:
		return axis + " " + high
	case math.Abs(lo+hi) < near:
		return axis + " middle"
	}
	return fmt.Sprintf("%s %s from the %s", axis, length.Text(-lo), low)
}

// sheetTools lists the tools in order of use with diameter and shape.
func sheetTools(r *result.Result) []string {
	var out []string
	for _, u := range r.Tools {
		s := fmt.Sprintf("T%d", u.Tool)
		if i := slices.IndexFunc(r.Job.Tools, func(t result.ToolFacts) bool { return t.Number == u.Tool }); i >= 0 {
			s += " " + words.Tool(r.Job.Tools[i], r.Units.Length())
		}
		if u.Line > 0 {
			s += ", line " + strconv.Itoa(u.Line)
		}
		out = append(out, s)
	}
	return some(out, maxSheetTools)
}

// sheetGauge lists what the gauge should read before the start, at tool changes and stops, and at the end.
func sheetGauge(r *result.Result) []string {
	vacuum := r.Units.Pressure()
	var out []string
	for _, g := range r.Gauge {
		s := map[result.Event]string{result.EventStart: "before the start", result.EventTool: "at the tool change",
			result.EventStop: "at the stop", result.EventEnd: "at the end"}[g.Event]
		if s == "" || g.Event == result.EventTool && g.TimeS == 0 { // that of the start
			continue
		}
		if g.Event == result.EventTool || g.Event == result.EventStop {
			s += fmt.Sprintf(", line %d", g.Line)
		}
		s += ": " + vacuum.Text(g.VacuumKPa.Likely)
		if low, high := g.VacuumKPa.Low, g.VacuumKPa.High; !math.IsNaN(low) && !math.IsNaN(high) {
			s += fmt.Sprintf(" (%s to %s)", vacuum.Number(low), vacuum.Number(high))
		}
		out = append(out, s)
	}
	if len(out) == 0 {
		return []string{"not known"}
	}
	if n := len(out); n > maxSheetGauge { // the end is worth more than the last tool changes
		return append(some(out[:n-1], maxSheetGauge-1), out[n-1])
	}
	return out
}

// freedInWords names the blocks that free pieces.
func freedInWords(r *result.Result) string {
	var lines []int
	n := 0
	for _, p := range r.Pieces {
		if p.Freed {
			n++
			lines = append(lines, p.FreedLine)
		}
	}
	if n == 0 {
		return "none"
	}
	slices.Sort(lines)
	lines = slices.Compact(lines)
	var words []string
	for i, line := range lines {
		if i == 5 {
			words = append(words, fmt.Sprintf("... %d", lines[len(lines)-1]))
			break
		}
		words = append(words, strconv.Itoa(line))
	}
	return fmt.Sprintf("%d, at lines %s", n, strings.Join(words, ", "))
}

// stopsInWords names the stops of the program.
func stopsInWords(r *result.Result) string {
	var words []string
	for _, g := range r.Gauge {
		if g.Event == result.EventStop && len(words) < maxSheetGauge {
			words = append(words, strconv.Itoa(g.Line))
		}
	}
	if len(words) == 0 {
		return "none in the program"
	}
	return "lines " + strings.Join(words, ", ")
}

// sheetWatch names what to watch, the most urgent first.
func sheetWatch(list *pageList) []string {
	var out []string
	for _, e := range list.entries {
		if e.Level != result.LevelNote.String() {
			out = append(out, words.Clip(e.Where+": "+e.Message, watchLetters))
		}
	}
	return some(out, maxSheetWatch)
}
