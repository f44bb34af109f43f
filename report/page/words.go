package page

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse/units"
	"staydown/report/picture"
	"staydown/report/words"
)

// summaryInWords summarizes the page in a few sentences.
func summaryInWords(r *result.Result) []string {
	p := r.Program
	out := []string{fmt.Sprintf("The program has %s, run time %s, with %s of feed moves.",
		wording.Count(p.Blocks, "block",
			"blocks"), wording.Clock(p.DurationS), r.Units.Path().Text(p.CutLengthMM)),
		"Pieces: " + words.Pieces(r) + "."}
	if worst, ok := r.LeastPiece(); ok {
		out = append(out, fmt.Sprintf("The least margin is %s: piece %d at line %d (%s); required is %s.",
			words.Margin(worst.Least), worst.ID, worst.Least.Line,
			worst.Least.Mode, wording.Margin(r.Margin)))
	} else {
		out = append(out, "Nothing loads any piece.")
	}
	out = append(out, "Vacuum: "+words.Vacuum(r)+".")
	if doubts := words.Doubts(r); doubts != "" {
		out = append(out, "The verdict depends most on: "+doubts+".")
	}
	if leaks := words.Leaks(r); leaks != "" {
		out = append(out, "Air: "+leaks+".")
	}
	return out
}

// leakBar is a way by which air gets in, with its share in percent.
type leakBar struct {
	Name, Share string
	Percent     float64
}

func leakBars(r *result.Result) []leakBar {
	ways, _ := words.LeakWays(r)
	var out []leakBar
	for _, way := range ways {
		out = append(out, leakBar{way.Name, fmt.Sprintf("%.0f %%", 100*way.Share), picture.Round1(100 * way.Share)})
	}
	return out
}

// pageFacts is what identifies the program and the run.
func pageFacts(r *result.Result) []words.Fact {
	return []words.Fact{
		{Label: "program", Value: words.Visible(r.Program.Path)}, {Label: "job file", Value: words.OrDash(r.Job.Path)},
		{Label: "lines, blocks", Value: fmt.Sprintf("%d, %d", r.Program.Lines, r.Program.Blocks)},
		{Label: "ambient pressure", Value: r.Units.Pressure().Text(r.Vacuum.AmbientKPa)},
		{Label: "grid", Value: fmt.Sprintf("%d x %d cells of %s", r.Grid.NX, r.Grid.NY,
			r.Units.Length().Text(r.Grid.CellMM))},
		{Label: "SHA-256 of the program", Value: r.Program.SHA256},
	}
}

// setupFacts is what the operator sets and checks before the start.
func setupFacts(r *result.Result) []words.Fact {
	alarm := "not given"
	if r.Job.AlarmKPa > 0 {
		alarm = r.Units.Pressure().Text(r.Job.AlarmKPa) + " below ambient"
	}
	out := []words.Fact{
		{Label: "alarm in the job file", Value: alarm}, {Label: "pump", Value: words.OrDash(r.Job.Pump) + "; " +
			words.Pump(r)},
		{Label: "layer", Value: words.OrDash(r.Job.Layer)}, {Label: "stock", Value: words.OrDash(r.Job.Material) +
			"; " + stockInWords(r)},
		{Label: "tools in order", Value: toolsInWords(r)},
	}
	for _, z := range r.Job.Zones {
		out = append(out, words.Fact{Label: "zone", Value: zoneInWords(z, r.Units.Length())})
	}
	return out
}

// stockInWords says where the blank lies.
func stockInWords(r *result.Result) string {
	if len(r.Job.StockOutline) == 0 {
		return "not given"
	}
	b := r.Job.StockOutline.Bound()
	return r.Units.Length().Extents([2]float64{b.Min[0], b.Max[0]}, [2]float64{b.Min[1], b.Max[1]},
		[2]float64{r.Job.StockLowMM, r.Job.StockTopMM})
}

// toDo says what to do for the whole program, the best first.
func toDo(r *result.Result) []string {
	var out []string
	for _, a := range r.Actions[:min(len(r.Actions), result.ShownActions)] {
		out = append(out, words.Visible(words.Action(&a)))
	}
	return out
}

func toolsInWords(r *result.Result) string {
	s := ""
	for i, t := range r.Tools {
		if i == 20 {
			return s + ", ..."
		}
		if i > 0 {
			s += ", "
		}
		s += "T" + strconv.Itoa(t.Tool)
	}
	return words.OrDash(s)
}

func zoneInWords(z result.ZoneFacts, length units.Unit) string {
	s := words.Visible(z.Name)
	if z.Gasket {
		s += ", gasket"
	}
	if z.Open {
		s += ": OPEN the valve"
	} else {
		s += ": valve closed"
	}
	if z.GroovePitchMM > 0 {
		s += fmt.Sprintf("; grooves %s wide every %s", length.Text(z.GrooveWidthMM), length.Text(z.GroovePitchMM))
	}
	if len(z.Area) > 0 {
		b := z.Area.Bound()
		s += "; " + length.Extents([2]float64{b.Min[0], b.Max[0]}, [2]float64{b.Min[1], b.Max[1]})
	}
	return s
}

// chancesKnown tells whether the chance of some piece is known.
func chancesKnown(r *result.Result) bool {
	return slices.ContainsFunc(r.Pieces, func(p result.Piece) bool { return !math.IsNaN(p.Chance) && p.Chance > 0 })
}

func pieceRows(r *result.Result) (rows []pieceRowView, left int) {
	area, force := r.Units.Area(), r.Units.Force().Exact()
	for _, p := range r.Pieces {
		if len(rows) >= maxRows {
			left++
			continue
		}
		row := pieceRowView{ID: p.ID, Origin: "hangs", State: p.State.String(), SortState: int(p.State),
			Area: area.Number(p.AreaMM2), Held: area.Number(p.HeldAreaMM2),
			SortArea: words.Number(p.AreaMM2), SortHeld: words.Number(p.HeldAreaMM2), Freed: "-", Web: "-", Chance: "-",
			SortChance: "-1", Mode: "-",
			Margin: "not loaded", Line: "-", Hold: "-", Load: "-", SortMargin: "1e9", SortHold: "-1", SortLoad: "-1",
			TimeS: p.Least.TimeS}
		if picture.IsStock(p) {
			row.Origin = "stock"
		}
		if p.Freed {
			row.Origin, row.FreedLine = "freed", p.FreedLine
			row.Freed = fmt.Sprintf("line %d, %s", p.FreedLine, wording.Clock(p.FreedTimeS))
		}
		if !math.IsNaN(p.Chance) {
			row.Chance, row.SortChance = fmt.Sprintf("%.0f %%", 100*p.Chance), words.Number(p.Chance)
		}
		if p.WebLine > 0 {
			row.Web = fmt.Sprintf("line %d, %s", p.WebLine, r.Units.Section().Text(p.WebMM2))
		}
		if p.Least.Mode != result.NoMode {
			row.Mode, row.LeastLine, row.Line = p.Least.Mode.String(), p.Least.Line, strconv.Itoa(p.Least.Line)
			row.Margin = words.Margin(p.Least)
			row.Hold, row.Load = force.Number(p.Least.HoldN), force.Number(p.Least.LoadN)
			row.SortHold, row.SortLoad = words.Number(p.Least.HoldN), words.Number(p.Least.LoadN)
			if s := words.Number(p.Least.Margin); s != "" {
				row.SortMargin = s
			}
		}
		rows = append(rows, row)
	}
	return rows, left
}
