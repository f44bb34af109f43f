package report

import (
	"bytes"
	"encoding/json"
	"io"
	"math"

	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/report/words"
)

// decimal is a number of the result file.
type decimal = words.Decimal

// schemaName is the version of the result file, whose JSON Schema is schema/result.schema.json. It changes whenever a
// field changes its meaning or goes away.
const schemaName = "staydown/2"

// The jsonX structs fix names and order of the fields; the contract of the result file is spelt here and in the schema.
type (
	jsonResult struct {
		Schema   string        `json:"schema"`
		Program  jsonProgram   `json:"program"`
		Grid     jsonGrid      `json:"grid"`
		Verdict  string        `json:"verdict"`
		Chance   decimal       `json:"chance"`
		JobFiles []jsonJobFile `json:"job_files"`
		Assumed  []string      `json:"assumed"`
		Actions  []jsonAction  `json:"actions"`
		Pieces   []jsonPiece   `json:"pieces"`
		Doubt    []jsonDoubt   `json:"doubt"`
		LeakM3h  jsonLeaks     `json:"leak_m3h"`
		Findings []jsonFinding `json:"findings"`
		Timeline []jsonSample  `json:"timeline"`
		Vacuum   jsonVacuum    `json:"vacuum"`
		Gauge    []jsonReading `json:"gauge"`
		Caution  string        `json:"caution"`
	}
	jsonProgram struct {
		Path        string  `json:"path"`
		SHA256      string  `json:"sha256"`
		Lines       int     `json:"lines"`
		Blocks      int     `json:"blocks"`
		DurationS   decimal `json:"duration_s"`
		CutLengthMM decimal `json:"cut_length_mm"`
	}
	jsonJobFile struct {
		Path  string   `json:"path"`
		Gives []string `json:"gives"`
	}
	jsonGrid struct {
		CellMM decimal `json:"cell_mm"`
		NX     int     `json:"nx"`
		NY     int     `json:"ny"`
	}
	jsonAction struct {
		What        string     `json:"what"`
		Lines       []int      `json:"lines"`
		Verdict     string     `json:"verdict"`
		LeastMargin [3]decimal `json:"least_margin"`
		LeftLoose   []int      `json:"left_loose"`
	}
	jsonPiece struct {
		ID           int        `json:"id"`
		Origin       string     `json:"origin"`
		AreaMM2      decimal    `json:"area_mm2"`
		FinalAreaMM2 decimal    `json:"final_area_mm2"`
		HeldAreaMM2  decimal    `json:"held_area_mm2"`
		CentroidMM   [2]decimal `json:"centroid_mm"`
		SizeMM       [2]decimal `json:"size_mm"`
		Chance       decimal    `json:"chance"`
		Alike        *int       `json:"alike"`
		Freed        *jsonFreed `json:"freed"`
		Web          *jsonWeb   `json:"web"`
		Least        jsonLeast  `json:"least"`
	}
	jsonFreed struct {
		Line  int     `json:"line"`
		TimeS decimal `json:"time_s"`
	}
	jsonWeb struct {
		Line       int     `json:"line"`
		SectionMM2 decimal `json:"section_mm2"`
	}
	jsonLeast struct {
		Mode   *string `json:"mode"`
		Margin decimal `json:"margin"`
		Low    decimal `json:"low"`
		High   decimal `json:"high"`
		Line   int     `json:"line"`
		HoldN  decimal `json:"hold_n"`
		LoadN  decimal `json:"load_n"`
	}
	jsonDoubt struct {
		Input   string  `json:"input"`
		Low     decimal `json:"low"`
		Likely  decimal `json:"likely"`
		High    decimal `json:"high"`
		Unit    string  `json:"unit"`
		Slope   decimal `json:"slope"`
		Share   decimal `json:"share"`
		Source  string  `json:"source"`
		Measure string  `json:"measure"`
	}
	jsonLeaks struct {
		Bare     decimal `json:"bare"`
		Kerfs    decimal `json:"kerfs"`
		Holes    decimal `json:"holes"`
		Rim      decimal `json:"rim"`
		Work     decimal `json:"work"`
		LayerRim decimal `json:"layer_rim"`
		Gaskets  decimal `json:"gaskets"`
		Hoses    decimal `json:"hoses"`
	}
	jsonFinding struct {
		Line    int     `json:"line"`
		TimeS   decimal `json:"time_s"`
		Piece   int     `json:"piece"`
		Rule    string  `json:"rule"`
		Level   string  `json:"level"`
		Margin  decimal `json:"margin"`
		Low     decimal `json:"low"`
		High    decimal `json:"high"`
		HoldN   decimal `json:"hold_n"`
		LoadN   decimal `json:"load_n"`
		Message string  `json:"message"`
		Remedy  string  `json:"remedy"`
	}
	jsonSample struct {
		TimeS       decimal `json:"time_s"`
		Line        int     `json:"line"`
		HeldAreaMM2 decimal `json:"held_area_mm2"`
		FreedPieces int     `json:"freed_pieces"`
		VacuumKPa   decimal `json:"vacuum_kpa"`
		LeakM3h     decimal `json:"leak_m3h"`
		LeastMargin decimal `json:"least_margin"`
		LeastLow    decimal `json:"least_low"`
		LeastHigh   decimal `json:"least_high"`
	}
	jsonVacuum struct {
		AmbientKPa       decimal `json:"ambient_kpa"`
		StartKPa         decimal `json:"start_kpa"`
		LeastKPa         decimal `json:"least_kpa"`
		AlarmSetpointKPa decimal `json:"alarm_setpoint_kpa"`
		NeverBelowKPa    decimal `json:"never_below_kpa"`
		PumpNeededM3h    decimal `json:"pump_needed_m3h"`
	}
	jsonReading struct {
		Line      int        `json:"line"`
		TimeS     decimal    `json:"time_s"`
		Event     string     `json:"event"`
		VacuumKPa [3]decimal `json:"vacuum_kpa"`
	}
)

// JSON renders the result file: indented, fields in the order of the contract, a newline at the end, the same bytes for
// the same result.
func JSON(r *result.Result) ([]byte, error) {
	v := r.Vacuum
	out := jsonResult{
		Schema: schemaName,
		Program: jsonProgram{Path: words.VisiblePath(r.Program.Path), SHA256: r.Program.SHA256, Lines: r.Program.Lines,
			Blocks: r.Program.Blocks, DurationS: decimal(r.Program.DurationS),
			CutLengthMM: decimal(r.Program.CutLengthMM)},
		Grid:     jsonGrid{CellMM: decimal(r.Grid.CellMM), NX: r.Grid.NX, NY: r.Grid.NY},
		Verdict:  r.Verdict.String(),
		Chance:   decimal(r.Chance),
		JobFiles: rows(r.Job.Sources, jobFileJSON),
		Assumed:  listed(r.Assumed),
		Actions:  rows(r.Actions, actionJSON),
		Pieces:   rows(r.Pieces, pieceJSON),
		Doubt:    rows(r.Doubts, doubtJSON),
		LeakM3h:  leakJSON(r.LeakM3h),
		Findings: rows(r.Findings, findingJSON),
		Timeline: rows(r.Timeline, sampleJSON),
		Vacuum: jsonVacuum{AmbientKPa: decimal(v.AmbientKPa), StartKPa: decimal(v.StartKPa),
			LeastKPa: decimal(v.LeastKPa), AlarmSetpointKPa: decimal(v.AlarmSetpointKPa),
			NeverBelowKPa: decimal(v.NeverBelowKPa), PumpNeededM3h: decimal(v.PumpNeededM3h)},
		Gauge:   rows(r.Gauge, readingJSON),
		Caution: words.Caution,
	}
	var b bytes.Buffer
	if err := encode(&b, out); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// encode writes JSON for programs and people; HTML escapes for itself.
func encode(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// rows turns every item of a list into its row; an empty list stays a list, never null.
func rows[T, R any](list []T, row func(T) R) []R {
	out := make([]R, 0, len(list))
	for _, t := range list {
		out = append(out, row(t))
	}
	return out
}

// listed is the list itself, never null.
func listed[T any](list []T) []T { return append([]T{}, list...) }

func three(r result.Range) [3]decimal {
	return [3]decimal{decimal(r.Low), decimal(r.Likely), decimal(r.High)}
}

func actionJSON(a result.Action) jsonAction {
	return jsonAction{What: a.What, Lines: listed(a.Lines), Verdict: a.Verdict.String(),
		LeastMargin: three(a.LeastMargin), LeftLoose: listed(a.LeftLoose)}
}

func doubtJSON(d result.Doubt) jsonDoubt {
	return jsonDoubt{Input: d.Input, Low: decimal(d.Range.Low), Likely: decimal(d.Range.Likely),
		High: decimal(d.Range.High), Unit: d.Unit, Slope: decimal(d.Slope), Share: decimal(d.Share), Source: d.Source,
		Measure: d.Measure}
}

func leakJSON(l result.Leaks) jsonLeaks {
	return jsonLeaks{Bare: decimal(l.Bare), Kerfs: decimal(l.Kerfs), Holes: decimal(l.Holes), Rim: decimal(l.Rim),
		Work: decimal(l.Work), LayerRim: decimal(l.LayerRim), Gaskets: decimal(l.Gaskets), Hoses: decimal(l.Hoses)}
}

func findingJSON(f result.Finding) jsonFinding {
	return jsonFinding{Line: f.Line, TimeS: decimal(f.TimeS), Piece: f.Piece, Rule: f.Rule, Level: f.Level.String(),
		Margin: decimal(f.Margin), Low: decimal(f.Low), High: decimal(f.High), HoldN: decimal(f.HoldN),
		LoadN: decimal(f.LoadN), Message: f.Message, Remedy: f.Remedy}
}

func sampleJSON(s result.Sample) jsonSample {
	return jsonSample{TimeS: decimal(s.TimeS), Line: s.Line, HeldAreaMM2: decimal(s.HeldAreaMM2),
		FreedPieces: s.FreedPieces, VacuumKPa: decimal(s.VacuumKPa), LeakM3h: decimal(s.LeakM3h),
		LeastMargin: decimal(s.LeastMargin), LeastLow: decimal(s.LeastLow), LeastHigh: decimal(s.LeastHigh)}
}

func readingJSON(g result.Reading) jsonReading {
	return jsonReading{Line: g.Line, TimeS: decimal(g.TimeS), Event: g.Event.String(), VacuumKPa: three(g.VacuumKPa)}
}

func pieceJSON(p result.Piece) jsonPiece {
	none := decimal(math.NaN())
	row := jsonPiece{ID: p.ID, Origin: "stock", AreaMM2: decimal(p.AreaMM2), FinalAreaMM2: decimal(p.FinalAreaMM2),
		HeldAreaMM2: decimal(p.HeldAreaMM2), CentroidMM: [2]decimal{decimal(p.Centroid[0]), decimal(p.Centroid[1])},
		SizeMM: [2]decimal{decimal(p.SizeMM[0]), decimal(p.SizeMM[1])}, Chance: decimal(p.Chance),
		Least: jsonLeast{Margin: none, Low: none, High: none, Line: p.Least.Line, HoldN: decimal(p.Least.HoldN),
			LoadN: decimal(p.Least.LoadN)}}
	if p.Alike > 0 {
		row.Alike = &p.Alike
	}
	if p.Freed {
		row.Origin = "freed"
		row.Freed = &jsonFreed{Line: p.FreedLine, TimeS: decimal(p.FreedTimeS)}
	}
	if p.WebLine > 0 {
		row.Web = &jsonWeb{Line: p.WebLine, SectionMM2: decimal(p.WebMM2)}
	}
	if p.Least.Mode != result.NoMode {
		mode := p.Least.Mode.String()
		row.Least.Mode = &mode
		row.Least.Margin = decimal(p.Least.Margin)
		row.Least.Low, row.Least.High = decimal(p.Least.Low), decimal(p.Least.High)
	}
	return row
}

func jobFileJSON(s job.Source) jsonJobFile {
	return jsonJobFile{words.VisiblePath(s.File), listed(s.Keys)}
}
