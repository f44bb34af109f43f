package report

import (
	"bytes"
	_ "embed" // the schema is a file of its own, so that other programs can read it
	"encoding/json"
	"math"

	"staydown/hold"
)

// schemaName is the version of the result file. It changes whenever a field changes its meaning or goes away.
const schemaName = "staydown/1"

//go:embed schema/result.schema.json
var resultSchema []byte

// Schema returns the JSON Schema (draft 2020-12) that every output of JSON satisfies.
func Schema() []byte { return bytes.Clone(resultSchema) }

// decimal is a number of the result file: nine significant digits, null where there is no finite value.
type decimal float64

// MarshalJSON implements json.Marshaler.
func (d decimal) MarshalJSON() ([]byte, error) {
	if s := number(float64(d)); s != "" {
		return []byte(s), nil
	}
	return []byte("null"), nil
}

// The jsonX structs fix names and order of the fields; the contract of the result file is spelt here and in the schema.
type (
	jsonResult struct {
		Schema   string        `json:"schema"`
		Program  jsonProgram   `json:"program"`
		Grid     jsonGrid      `json:"grid"`
		Verdict  string        `json:"verdict"`
		Assumed  []string      `json:"assumed"`
		Pieces   []jsonPiece   `json:"pieces"`
		Findings []jsonFinding `json:"findings"`
		Timeline []jsonSample  `json:"timeline"`
		Vacuum   jsonVacuum    `json:"vacuum"`
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
	jsonGrid struct {
		CellMM decimal `json:"cell_mm"`
		NX     int     `json:"nx"`
		NY     int     `json:"ny"`
	}
	jsonPiece struct {
		ID          int        `json:"id"`
		Origin      string     `json:"origin"`
		AreaMM2     decimal    `json:"area_mm2"`
		HeldAreaMM2 decimal    `json:"held_area_mm2"`
		CentroidMM  [2]decimal `json:"centroid_mm"`
		Freed       *jsonFreed `json:"freed"`
		Web         *jsonWeb   `json:"web"`
		Least       jsonLeast  `json:"least"`
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
		Line   int     `json:"line"`
		HoldN  decimal `json:"hold_n"`
		LoadN  decimal `json:"load_n"`
	}
	jsonFinding struct {
		Line    int     `json:"line"`
		TimeS   decimal `json:"time_s"`
		Piece   int     `json:"piece"`
		Rule    string  `json:"rule"`
		Level   string  `json:"level"`
		Margin  decimal `json:"margin"`
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
	}
	jsonVacuum struct {
		AmbientKPa       decimal `json:"ambient_kpa"`
		StartKPa         decimal `json:"start_kpa"`
		LeastKPa         decimal `json:"least_kpa"`
		AlarmSetpointKPa decimal `json:"alarm_setpoint_kpa"`
		PumpNeededM3h    decimal `json:"pump_needed_m3h"`
	}
)

// JSON renders the result file: indented, fields in the order of the contract, a newline at the end, the same bytes for
// the same result.
func JSON(r *hold.Result) ([]byte, error) {
	out := jsonResult{
		Schema: schemaName,
		Program: jsonProgram{Path: r.Program.Path, SHA256: r.Program.SHA256, Lines: r.Program.Lines, Blocks: r.Program.Blocks,
			DurationS: decimal(r.Program.DurationS), CutLengthMM: decimal(r.Program.CutLengthMM)},
		Grid:     jsonGrid{CellMM: decimal(r.Grid.CellMM), NX: r.Grid.NX, NY: r.Grid.NY},
		Verdict:  r.Verdict.String(),
		Assumed:  append([]string{}, r.Assumed...), // an empty list, never null
		Pieces:   make([]jsonPiece, 0, len(r.Pieces)),
		Findings: make([]jsonFinding, 0, len(r.Findings)),
		Timeline: make([]jsonSample, 0, len(r.Timeline)),
		Vacuum: jsonVacuum{AmbientKPa: decimal(r.Vacuum.AmbientKPa), StartKPa: decimal(r.Vacuum.StartKPa),
			LeastKPa: decimal(r.Vacuum.LeastKPa), AlarmSetpointKPa: decimal(r.Vacuum.AlarmSetpointKPa),
			PumpNeededM3h: decimal(r.Vacuum.PumpNeededM3h)},
		Caution: Caution,
	}
	for _, p := range r.Pieces {
		out.Pieces = append(out.Pieces, pieceRow(p))
	}
	for _, f := range r.Findings {
		out.Findings = append(out.Findings, jsonFinding{Line: f.Line, TimeS: decimal(f.TimeS), Piece: f.Piece, Rule: f.Rule,
			Level: f.Level.String(), Margin: decimal(f.Margin), HoldN: decimal(f.HoldN), LoadN: decimal(f.LoadN),
			Message: f.Message, Remedy: f.Remedy})
	}
	for _, s := range r.Timeline {
		out.Timeline = append(out.Timeline, jsonSample{TimeS: decimal(s.TimeS), Line: s.Line, HeldAreaMM2: decimal(s.HeldAreaMM2),
			FreedPieces: s.FreedPieces, VacuumKPa: decimal(s.VacuumKPa), LeakM3h: decimal(s.LeakM3h),
			LeastMargin: decimal(s.LeastMargin)})
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

func pieceRow(p hold.Piece) jsonPiece {
	row := jsonPiece{ID: p.ID, Origin: "stock", AreaMM2: decimal(p.AreaMM2), HeldAreaMM2: decimal(p.HeldAreaMM2),
		CentroidMM: [2]decimal{decimal(p.Centroid[0]), decimal(p.Centroid[1])},
		Least: jsonLeast{Margin: decimal(math.Inf(1)), Line: p.Least.Line, HoldN: decimal(p.Least.HoldN),
			LoadN: decimal(p.Least.LoadN)}}
	if p.Freed {
		row.Origin = "freed"
		row.Freed = &jsonFreed{Line: p.FreedLine, TimeS: decimal(p.FreedTimeS)}
	}
	if p.WebLine > 0 {
		row.Web = &jsonWeb{Line: p.WebLine, SectionMM2: decimal(p.WebMM2)}
	}
	if p.Least.Mode != hold.NoMode {
		mode := p.Least.Mode.String()
		row.Least.Mode = &mode
		row.Least.Margin = decimal(p.Least.Margin)
	}
	return row
}
