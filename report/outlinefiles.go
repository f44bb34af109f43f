package report

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"strconv"

	"staydown/hold/contact"
	"staydown/hold/dryrun"
	"staydown/hold/outline"
	"staydown/report/words"
)

// outlineSchema is the version of the file that OutlineJSON writes.
const outlineSchema = "staydown-outline/1"

type (
	jsonOutline struct {
		Schema  string            `json:"schema"`
		Drawing jsonDrawing       `json:"drawing"`
		Class   string            `json:"class"`
		Margin  decimal           `json:"margin_asked"`
		Assumed []string          `json:"assumed"`
		Reasons []string          `json:"reasons"`
		Notes   []jsonOutlineNote `json:"notes"`
		Care    jsonCare          `json:"care"`
		Items   []jsonItem        `json:"items"`
		Pump    jsonOutlinePump   `json:"pump_needed_m3h"`
		Caution string            `json:"caution"`
	}
	jsonDrawing struct {
		Path   string     `json:"path"`
		SHA256 string     `json:"sha256"`
		Format string     `json:"format"`
		Unit   string     `json:"unit"`
		Moved  [2]decimal `json:"moved_mm"`
		Places int        `json:"places"`
	}
	jsonOutlineNote struct {
		Line    int    `json:"line"`
		Message string `json:"message"`
	}
	jsonCare struct {
		Tool      int     `json:"tool"`
		PassMM    decimal `json:"pass_mm"`
		ClosingMM decimal `json:"last_pass_mm"`
		SkinMM    decimal `json:"skin_mm"`
		Tabs      int     `json:"tabs"`
		TabWideMM decimal `json:"tab_wide_mm"`
		TabHighMM decimal `json:"tab_high_mm"`
	}
	jsonItem struct {
		Kind     string      `json:"kind"`
		Part     int         `json:"part"`
		Hole     int         `json:"hole"`
		Layer    string      `json:"layer"`
		Line     int         `json:"line"`
		AreaMM2  decimal     `json:"area_mm2"`
		SizeMM   [2]decimal  `json:"size_mm"`
		UncutMM2 decimal     `json:"uncut_mm2"`
		Milled   bool        `json:"milled_away"`
		Class    string      `json:"class"`
		Way      *string     `json:"way"`
		Trials   []jsonTrial `json:"trials"`
	}
	jsonTrial struct {
		Way    string  `json:"way"`
		Holds  bool    `json:"holds"`
		Mode   *string `json:"mode"`
		Margin decimal `json:"margin"`
		Low    decimal `json:"low"`
		High   decimal `json:"high"`
		HoldN  decimal `json:"hold_n"`
		LoadN  decimal `json:"load_n"`
		Why    string  `json:"why"`
	}
	jsonOutlinePump struct {
		OnePass decimal `json:"one_pass"`
		Care    decimal `json:"with_care"`
	}
)

// OutlineJSON renders the whole answer for a drawing. Lengths are mm, areas mm2, forces N; a number that is not finite
// is null. way is null for what would not hold.
func OutlineJSON(r *outline.Result) ([]byte, error) {
	out := jsonOutline{
		Schema: outlineSchema, Class: r.Class.String(), Margin: decimal(r.Margin), Assumed: visibleAll(r.Assumed),
		Reasons: visibleAll(r.Reasons), Notes: []jsonOutlineNote{},
		Drawing: jsonDrawing{Path: words.VisiblePath(r.Path), SHA256: r.SHA256, Format: r.Format, Unit: r.Unit,
			Moved: [2]decimal{decimal(r.Moved[0]), decimal(r.Moved[1])}, Places: r.Places},
		Care: jsonCare{r.Tool, decimal(r.Care.PassMM), decimal(r.Care.ClosingMM), decimal(r.Care.SkinMM), r.Care.Tabs,
			decimal(r.Care.TabWideMM), decimal(r.Care.TabHighMM)},
		Pump:    jsonOutlinePump{decimal(r.PumpPlainM3h), decimal(r.PumpCareM3h)},
		Caution: outlineCaution + " " + words.Caution,
	}
	for _, n := range r.Notes {
		out.Notes = append(out.Notes, jsonOutlineNote{n.Line, words.Visible(n.Message)})
	}
	for _, i := range r.Items {
		j := jsonItem{Kind: i.Kind.String(), Part: i.Part, Hole: i.Hole, Layer: words.Visible(i.Layer), Line: i.Line,
			AreaMM2: decimal(i.AreaMM2), SizeMM: [2]decimal{decimal(i.SizeMM[0]), decimal(i.SizeMM[1])},
			UncutMM2: decimal(i.UncutMM2), Milled: i.MilledAway, Class: i.Class.String(), Trials: []jsonTrial{}}
		if i.Class != dryrun.WouldNotHold {
			way := i.Way.String()
			j.Way = &way
		}
		for w, t := range i.Trials {
			if !t.Tried && t.Why == "" {
				continue
			}
			k := jsonTrial{Way: outline.Way(w).String(), Holds: t.Holds, Margin: decimal(t.Margin), Low: decimal(t.Low),
				High: decimal(t.High), HoldN: decimal(t.HoldN), LoadN: decimal(t.LoadN), Why: t.Why}
			if t.Mode != contact.None {
				mode := t.Mode.String()
				k.Mode = &mode
			}
			j.Trials = append(j.Trials, k)
		}
		out.Items = append(out.Items, j)
	}
	data, err := json.MarshalIndent(out, "", " ")
	return append(data, '\n'), err
}

func visibleAll(list []string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = words.Visible(s)
	}
	return out
}

// OutlineCSV writes a row for each part, offcut and sheet below a header, as RFC 4180 asks for. A cell is empty where
// there is no finite value, and in the columns of ways that were not tried. Errors are those of w.
func OutlineCSV(w io.Writer, r *outline.Result) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	header := []string{"kind", "part", "hole", "layer", "line", "area_mm2", "size_x_mm", "size_y_mm", "uncut_mm2",
		"class",
		"way"}
	for _, way := range []string{"one_pass", "thin_last_pass", "skin", "tabs"} {
		header = append(header, way+"_holds", way+"_margin", way+"_low", way+"_mode")
	}
	if err := c.Write(header); err != nil {
		return err
	}
	for _, i := range r.Items {
		way := ""
		if i.Class != dryrun.WouldNotHold {
			way = i.Way.String()
		}
		row := []string{i.Kind.String(), countCell(i.Part), countCell(i.Hole), cellPath(words.Visible(i.Layer)),
			countCell(i.Line),
			words.Number(i.AreaMM2), words.Number(i.SizeMM[0]), words.Number(i.SizeMM[1]), words.Number(i.UncutMM2),
			i.Class.String(), way}
		for _, t := range i.Trials {
			if !t.Tried {
				row = append(row, "", "", "", t.Why)
				continue
			}
			row = append(row, strconv.FormatBool(t.Holds), words.Number(t.Margin), words.Number(t.Low), modeCell(t))
		}
		if err := c.Write(row); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// modeCell is how an item comes loose first, or what else there is to say of a trial.
func modeCell(t outline.Trial) string {
	if t.Why != "" || t.Mode == contact.None {
		return t.Why
	}
	return t.Mode.String()
}

func countCell(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}
