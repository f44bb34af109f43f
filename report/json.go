package report

import (
	"bytes"
	"encoding/json"
	"math"

	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/report/words"
)

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
		Chance   words.Decimal `json:"chance"`
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
		Path        string        `json:"path"`
		SHA256      string        `json:"sha256"`
		Lines       int           `json:"lines"`
		Blocks      int           `json:"blocks"`
		DurationS   words.Decimal `json:"duration_s"`
		CutLengthMM words.Decimal `json:"cut_length_mm"`
	}
	jsonJobFile struct {
		Path  string   `json:"path"`
		Gives []string `json:"gives"`
	}
	jsonGrid struct {
		CellMM words.Decimal `json:"cell_mm"`
		NX     int           `json:"nx"`
		NY     int           `json:"ny"`
	}
	jsonAction struct {
		What        string           `json:"what"`
		Lines       []int            `json:"lines"`
		Verdict     string           `json:"verdict"`
		LeastMargin [3]words.Decimal `json:"least_margin"`
		LeftLoose   []int            `json:"left_loose"`
	}
	jsonPiece struct {
		ID           int              `json:"id"`
		Origin       string           `json:"origin"`
		AreaMM2      words.Decimal    `json:"area_mm2"`
		FinalAreaMM2 words.Decimal    `json:"final_area_mm2"`
		HeldAreaMM2  words.Decimal    `json:"held_area_mm2"`
		CentroidMM   [2]words.Decimal `json:"centroid_mm"`
		SizeMM       [2]words.Decimal `json:"size_mm"`
		Chance       words.Decimal    `json:"chance"`
		Alike        *int             `json:"alike"`
		Freed        *jsonFreed       `json:"freed"`
		Web          *jsonWeb         `json:"web"`
		Least        jsonLeast        `json:"least"`
	}
	jsonFreed struct {
		Line  int           `json:"line"`
		TimeS words.Decimal `json:"time_s"`
	}
	jsonWeb struct {
		Line       int           `json:"line"`
		SectionMM2 words.Decimal `json:"section_mm2"`
	}
	jsonLeast struct {
		Mode   *string       `json:"mode"`
		Margin words.Decimal `json:"margin"`
		Low    words.Decimal `json:"low"`
		High   words.Decimal `json:"high"`
		Line   int           `json:"line"`
		HoldN  words.Decimal `json:"hold_n"`
		LoadN  words.Decimal `json:"load_n"`
	}
	jsonDoubt struct {
		Input   string        `json:"input"`
		Low     words.Decimal `json:"low"`
		Likely  words.Decimal `json:"likely"`
		High    words.Decimal `json:"high"`
		Unit    string        `json:"unit"`
		Slope   words.Decimal `json:"slope"`
		Share   words.Decimal `json:"share"`
		Source  string        `json:"source"`
		Measure string        `json:"measure"`
	}
	jsonLeaks struct {
		Bare     words.Decimal `json:"bare"`
		Kerfs    words.Decimal `json:"kerfs"`
		Holes    words.Decimal `json:"holes"`
		Rim      words.Decimal `json:"rim"`
		Work     words.Decimal `json:"work"`
		LayerRim words.Decimal `json:"layer_rim"`
		Gaskets  words.Decimal `json:"gaskets"`
		Hoses    words.Decimal `json:"hoses"`
	}
	jsonFinding struct {
		Line    int           `json:"line"`
		TimeS   words.Decimal `json:"time_s"`
		Piece   int           `json:"piece"`
		Rule    string        `json:"rule"`
		Level   string        `json:"level"`
		Margin  words.Decimal `json:"margin"`
		Low     words.Decimal `json:"low"`
		High    words.Decimal `json:"high"`
		HoldN   words.Decimal `json:"hold_n"`
		LoadN   words.Decimal `json:"load_n"`
		Message string        `json:"message"`
		Remedy  string        `json:"remedy"`
	}
	jsonSample struct {
		TimeS       words.Decimal `json:"time_s"`
		Line        int           `json:"line"`
		HeldAreaMM2 words.Decimal `json:"held_area_mm2"`
		FreedPieces int           `json:"freed_pieces"`
		VacuumKPa   words.Decimal `json:"vacuum_kpa"`
		LeakM3h     words.Decimal `json:"leak_m3h"`
		LeastMargin words.Decimal `json:"least_margin"`
		LeastLow    words.Decimal `json:"least_low"`
		LeastHigh   words.Decimal `json:"least_high"`
	}
	jsonVacuum struct {
		AmbientKPa       words.Decimal `json:"ambient_kpa"`
		StartKPa         words.Decimal `json:"start_kpa"`
		LeastKPa         words.Decimal `json:"least_kpa"`
		AlarmSetpointKPa words.Decimal `json:"alarm_setpoint_kpa"`
		NeverBelowKPa    words.Decimal `json:"never_below_kpa"`
		PumpNeededM3h    words.Decimal `json:"pump_needed_m3h"`
	}
	jsonReading struct {
		Line      int              `json:"line"`
		TimeS     words.Decimal    `json:"time_s"`
		Event     string           `json:"event"`
		VacuumKPa [3]words.Decimal `json:"vacuum_kpa"`
	}
)

// JSON renders the result file: indented, fields in the order of the contract, a newline at the end, the same bytes for
// the same result.
func JSON(r *result.Result) ([]byte, error) {
	v := r.Vacuum
	out := jsonResult{
		Schema: schemaName,
		Program: jsonProgram{Path: words.VisiblePath(r.Program.Path), SHA256: r.Program.SHA256, Lines: r.Program.Lines,
			Blocks: r.Program.Blocks, DurationS: words.Decimal(r.Program.DurationS),
			CutLengthMM: words.Decimal(r.Program.CutLengthMM)},
		Grid:     jsonGrid{CellMM: words.Decimal(r.Grid.CellMM), NX: r.Grid.NX, NY: r.Grid.NY},
		Verdict:  r.Verdict.String(),
		Chance:   words.Decimal(r.Chance),
		JobFiles: rows(r.Job.Sources, jobFileJSON),
		Assumed:  listed(r.Assumed),
		Actions:  rows(r.Actions, actionJSON),
		Pieces:   rows(r.Pieces, pieceJSON),
		Doubt:    rows(r.Doubts, doubtJSON),
		LeakM3h:  leakJSON(r.LeakM3h),
		Findings: rows(r.Findings, findingJSON),
		Timeline: rows(r.Timeline, sampleJSON),
		Vacuum: jsonVacuum{AmbientKPa: words.Decimal(v.AmbientKPa), StartKPa: words.Decimal(v.StartKPa),
			LeastKPa: words.Decimal(v.LeastKPa), AlarmSetpointKPa: words.Decimal(v.AlarmSetpointKPa),
			NeverBelowKPa: words.Decimal(v.NeverBelowKPa), PumpNeededM3h: words.Decimal(v.PumpNeededM3h)},
		Gauge:   rows(r.Gauge, readingJSON),
		Caution: words.Caution,
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // the file is read by people too; HTML escapes for itself
	e.SetIndent("", "  ")
	if err := e.Encode(out); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
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

func three(r result.Range) [3]words.Decimal {
	return [3]words.Decimal{words.Decimal(r.Low), words.Decimal(r.Likely), words.Decimal(r.High)}
}

func actionJSON(a result.Action) jsonAction {
	return jsonAction{What: a.What, Lines: listed(a.Lines), Verdict: a.Verdict.String(),
		LeastMargin: three(a.LeastMargin), LeftLoose: listed(a.LeftLoose)}
}

func doubtJSON(d result.Doubt) jsonDoubt {
	return jsonDoubt{Input: d.Input, Low: words.Decimal(d.Range.Low), Likely: words.Decimal(d.Range.Likely),
		High: words.Decimal(d.Range.High), Unit: d.Unit, Slope: words.Decimal(d.Slope), Share: words.Decimal(d.Share), Source: d.Source,
		Measure: d.Measure}
}

func leakJSON(l result.Leaks) jsonLeaks {
	return jsonLeaks{Bare: words.Decimal(l.Bare), Kerfs: words.Decimal(l.Kerfs), Holes: words.Decimal(l.Holes), Rim: words.Decimal(l.Rim),
		Work: words.Decimal(l.Work), LayerRim: words.Decimal(l.LayerRim), Gaskets: words.Decimal(l.Gaskets), Hoses: words.Decimal(l.Hoses)}
}

func findingJSON(f result.Finding) jsonFinding {
	return jsonFinding{Line: f.Line, TimeS: words.Decimal(f.TimeS), Piece: f.Piece, Rule: f.Rule, Level: f.Level.String(),
		Margin: words.Decimal(f.Margin), Low: words.Decimal(f.Low), High: words.Decimal(f.High), HoldN: words.Decimal(f.HoldN),
		LoadN: words.Decimal(f.LoadN), Message: f.Message, Remedy: f.Remedy}
}

func sampleJSON(s result.Sample) jsonSample {
	return jsonSample{TimeS: words.Decimal(s.TimeS), Line: s.Line, HeldAreaMM2: words.Decimal(s.HeldAreaMM2),
		FreedPieces: s.FreedPieces, VacuumKPa: words.Decimal(s.VacuumKPa), LeakM3h: words.Decimal(s.LeakM3h),
		LeastMargin: words.Decimal(s.LeastMargin), LeastLow: words.Decimal(s.LeastLow), LeastHigh: words.Decimal(s.LeastHigh)}
}

func readingJSON(g result.Reading) jsonReading {
	return jsonReading{Line: g.Line, TimeS: words.Decimal(g.TimeS), Event: g.Event.String(), VacuumKPa: three(g.VacuumKPa)}
}

func pieceJSON(p result.Piece) jsonPiece {
	none := words.Decimal(math.NaN())
	row := jsonPiece{ID: p.ID, Origin: "stock", AreaMM2: words.Decimal(p.AreaMM2), FinalAreaMM2: words.Decimal(p.FinalAreaMM2),
		HeldAreaMM2: words.Decimal(p.HeldAreaMM2), CentroidMM: [2]words.Decimal{words.Decimal(p.Centroid[0]), words.Decimal(p.Centroid[1])},
		SizeMM: [2]words.Decimal{words.Decimal(p.SizeMM[0]), words.Decimal(p.SizeMM[1])}, Chance: words.Decimal(p.Chance),
		Least: jsonLeast{Margin: none, Low: none, High: none, Line: p.Least.Line, HoldN: words.Decimal(p.Least.HoldN),
			LoadN: words.Decimal(p.Least.LoadN)}}
	if p.Alike > 0 {
		row.Alike = &p.Alike
	}
	if p.Freed {
		row.Origin = "freed"
		row.Freed = &jsonFreed{Line: p.FreedLine, TimeS: words.Decimal(p.FreedTimeS)}
	}
	if p.WebLine > 0 {
		row.Web = &jsonWeb{Line: p.WebLine, SectionMM2: words.Decimal(p.WebMM2)}
	}
	if p.Least.Mode != result.NoMode {
		mode := p.Least.Mode.String()
		row.Least.Mode = &mode
		row.Least.Margin = words.Decimal(p.Least.Margin)
		row.Least.Low, row.Least.High = words.Decimal(p.Least.Low), words.Decimal(p.Least.High)
	}
	return row
}

func jobFileJSON(s job.Source) jsonJobFile {
	return jsonJobFile{words.VisiblePath(s.File), listed(s.Keys)}
}
