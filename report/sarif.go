package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"net/url"
	"path"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"staydown/hold/result"
	"staydown/report/annotate"
	"staydown/report/words"
)

// The sarifX structs are the part of SARIF 2.1.0 (OASIS, with errata 01) that is written. They are plain structs
// because the writer in github.com/owenrumney/go-sarif/v3 (v3.3.1) always puts a rank of 0 and empty lists into each
// result and turns unknown members of a baseline into its own; the tests read every file back with that library.
type (
	sarifLog struct {
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
	sarifRun struct {
		Tool        sarifTool         `json:"tool"`
		Invocations []sarifInvocation `json:"invocations,omitempty"`
		Artifacts   []sarifArtifact   `json:"artifacts,omitempty"`
		ColumnKind  string            `json:"columnKind,omitempty"`
		Results     []sarifResult     `json:"results"`
		Properties  map[string]string `json:"properties,omitempty"`
	}
	sarifTool struct {
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct {
		Name            string      `json:"name"`
		Version         string      `json:"version,omitempty"`
		FullDescription *sarifText  `json:"fullDescription,omitempty"`
		Rules           []sarifRule `json:"rules,omitempty"`
	}
	sarifRule struct {
		ID                   string             `json:"id"`
		ShortDescription     sarifText          `json:"shortDescription"`
		Help                 sarifText          `json:"help"`
		DefaultConfiguration sarifConfiguration `json:"defaultConfiguration"`
	}
	sarifConfiguration struct {
		Level string `json:"level"`
	}
	sarifText struct {
		Text string `json:"text"`
	}
	sarifInvocation struct {
		ExecutionSuccessful bool `json:"executionSuccessful"`
	}
	sarifArtifact struct {
		Location   sarifURI          `json:"location"`
		Hashes     map[string]string `json:"hashes,omitempty"`
		Properties *sarifActions     `json:"properties,omitempty"`
	}
	// sarifActions is what to do for a whole program, as in the result file.
	sarifActions struct {
		Actions []jsonAction `json:"actions"`
	}
	sarifURI struct {
		URI string `json:"uri"`
	}
	sarifResult struct {
		RuleID              string            `json:"ruleId"`
		RuleIndex           *int              `json:"ruleIndex,omitempty"`
		Level               string            `json:"level,omitempty"`
		Message             sarifText         `json:"message"`
		Locations           []sarifLocation   `json:"locations,omitempty"`
		PartialFingerprints map[string]string `json:"partialFingerprints,omitempty"`
		BaselineState       string            `json:"baselineState,omitempty"`
		Properties          *sarifFigures     `json:"properties,omitempty"`

		former string // level in the baseline
	}
	sarifLocation struct {
		PhysicalLocation sarifPhysical `json:"physicalLocation"`
	}
	sarifPhysical struct {
		ArtifactLocation sarifURI     `json:"artifactLocation"`
		Region           *sarifRegion `json:"region,omitempty"`
	}
	sarifRegion struct {
		StartLine   int        `json:"startLine"`
		StartColumn int        `json:"startColumn,omitempty"`
		EndLine     int        `json:"endLine,omitempty"`
		Snippet     *sarifText `json:"snippet,omitempty"`
	}
	sarifFigures struct {
		Piece int `json:"piece,omitempty"`
		// Place and Size of the piece, along X and Y
		Place  *[2]decimal `json:"place_mm,omitempty"`
		Size   *[2]decimal `json:"size_mm,omitempty"`
		Tool   int         `json:"tool,omitempty"`
		TimeS  decimal     `json:"time_s"`
		Margin *decimal    `json:"margin,omitempty"`
		Low    *decimal    `json:"margin_low,omitempty"`
		High   *decimal    `json:"margin_high,omitempty"`
		Chance *decimal    `json:"chance,omitempty"`
		HoldN  *decimal    `json:"hold_n,omitempty"`
		LoadN  *decimal    `json:"load_n,omitempty"`
		Remedy string      `json:"remedy,omitempty"`
	}
)

const (
	sarifSchema  = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
	sarifVersion = "2.1.0"
	driverName   = "staydown"
	// fingerprintName versions how a fingerprint is made; older ones are then not matched by mistake.
	fingerprintName = "ruleBlockPiece/v1"
	// remedyLead stands between the message and the remedy of a result.
	remedyLead = ". Remedy: "
)

// The states of a result against a baseline (SARIF 2.1.0, 3.27.24). A finding whose level is another is updated, one
// whose figures alone are others is unchanged.
const (
	stateNew       = "new"
	stateUnchanged = "unchanged"
	stateUpdated   = "updated"
	stateAbsent    = "absent"
)

// SARIF renders the findings of a run as SARIF 2.1.0. lines holds, for each result, what FindingLines returned (nil
// where it is not known). A fingerprint is made of the rule, the piece and the text of the block without its N word, so
// that it survives renumbering and lines added above; where the text is not known it is made of rule and piece alone.
//
// With a baseline (nil for none) each result is marked new, unchanged, or updated where its level is another, and
// results of the baseline that are gone from a program of this run are added as absent.
func SARIF(results []*result.Result, lines []annotate.Lines, baseline *Baseline, version string) ([]byte, error) {
	run := sarifRun{
		Tool: sarifTool{sarifDriver{Name: driverName, Version: version,
			FullDescription: &sarifText{"Computes whether vacuum holds every piece while a milling program runs. " +
				words.Caution},
			Rules: sarifRules()}},
		Invocations: []sarifInvocation{{ExecutionSuccessful: true}},
		ColumnKind:  "unicodeCodePoints",
		Results:     []sarifResult{},
		Properties:  map[string]string{"caution": words.Caution},
	}
	var absent []sarifResult
	index := make(map[string]int)
	for i, r := range run.Tool.Driver.Rules {
		index[r.ID] = i
	}
	for k, r := range results {
		uri := sarifPath(r.Program.Path)
		artifact := sarifArtifact{Location: sarifURI{uri}}
		if r.Program.SHA256 != "" {
			artifact.Hashes = map[string]string{"sha-256": r.Program.SHA256}
		}
		if len(r.Actions) > 0 {
			artifact.Properties = &sarifActions{rows(r.Actions, actionJSON)}
		}
		run.Artifacts = append(run.Artifacts, artifact)
		var known annotate.Lines
		if k < len(lines) {
			known = lines[k]
		}
		found := sarifFindings(r, uri, known, index)
		if baseline != nil {
			absent = append(absent, baseline.mark(found, uri)...)
		}
		run.Results = append(run.Results, found...)
		if slices.ContainsFunc(r.Findings, func(f result.Finding) bool { return f.Rule == result.RuleUnanalysed }) {
			run.Invocations[0].ExecutionSuccessful = false
		}
	}
	run.Results = append(run.Results, absent...)
	var b bytes.Buffer
	if err := encode(&b, sarifLog{Schema: sarifSchema, Version: sarifVersion, Runs: []sarifRun{run}}); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func sarifRules() []sarifRule {
	var out []sarifRule
	for _, r := range result.Rules() {
		out = append(out, sarifRule{ID: r.ID, ShortDescription: sarifText{words.Sentence(r.Meaning)},
			Help:                 sarifText{words.Sentence(r.Meaning) + " What to do: " + words.Sentence(r.Advice)},
			DefaultConfiguration: sarifConfiguration{r.Level.String()}})
	}
	return out
}

// sarifFindings renders the findings of one program. index holds the place of each rule in the list of rules.
func sarifFindings(r *result.Result, uri string, lines annotate.Lines, index map[string]int) []sarifResult {
	var out []sarifResult
	seen := make(map[string]int)
	for _, f := range r.Findings {
		one := sarifFinding(f, uri, lines, seen, index)
		if f.Piece > 0 && f.Piece <= len(r.Pieces) {
			p := &r.Pieces[f.Piece-1]
			one.Properties.Place = &[2]decimal{decimal(p.Centroid[0]), decimal(p.Centroid[1])}
			one.Properties.Size = &[2]decimal{decimal(p.SizeMM[0]), decimal(p.SizeMM[1])}
		}
		out = append(out, one)
	}
	return out
}

func sarifFinding(f result.Finding, uri string, lines annotate.Lines, seen map[string]int,
	index map[string]int) sarifResult {
	text, known := lines[f.Line]
	out := sarifResult{RuleID: f.Rule, Level: f.Level.String(), Message: sarifText{f.Message},
		Locations: []sarifLocation{{sarifPhysical{ArtifactLocation: sarifURI{uri}}}},
		Properties: &sarifFigures{Piece: f.Piece, Tool: f.Tool, TimeS: decimal(f.TimeS), Margin: finiteFigure(f.Margin),
			Low: finiteFigure(f.Low), High: finiteFigure(f.High), Chance: finiteFigure(f.Chance),
			HoldN: finiteFigure(f.HoldN), LoadN: finiteFigure(f.LoadN), Remedy: f.Remedy}}
	if i, ok := index[f.Rule]; ok {
		out.RuleIndex = &i
	}
	if f.Remedy != "" {
		out.Message.Text += remedyLead + f.Remedy
	}
	if f.Line > 0 {
		region := &sarifRegion{StartLine: f.Line}
		if f.LastLine > f.Line {
			region.EndLine = f.LastLine
		}
		if known {
			region.Snippet = &sarifText{text}
		}
		if f.Column > 0 {
			region.StartColumn = f.Column
			if known && f.Column-1 <= len(text) {
				// columns of SARIF are code points here, ours are bytes
				region.StartColumn = utf8.RuneCountInString(text[:f.Column-1]) + 1
			}
		}
		out.Locations[0].PhysicalLocation.Region = region
	}
	print := fingerprint(f.Rule, f.Piece, text)
	seen[print]++
	// The same block may be found more than once for a piece; its occurrences are told apart by their order.
	out.PartialFingerprints = map[string]string{fingerprintName: print + ":" + strconv.Itoa(seen[print])}
	return out
}

func finiteFigure(v float64) *decimal {
	if words.Number(v) == "" {
		return nil
	}
	d := decimal(v)
	return &d
}

// fingerprint names a finding by what stays when lines are added, taken out or renumbered elsewhere.
func fingerprint(rule string, piece int, text string) string {
	sum := sha256.Sum256([]byte(rule + "\x00" + strconv.Itoa(piece) + "\x00" + annotate.WithoutNumber(text)))
	return hex.EncodeToString(sum[:16])
}

// sarifPath turns a path with forward slashes into a URI reference (RFC 3986).
func sarifPath(p string) string {
	drive := len(p) > 2 && p[1] == ':' && p[2] == '/'
	server, share := strings.CutPrefix(p, "//") // a folder shared by a Windows machine: //server/share/...
	switch {
	case share:
		host, rest, _ := strings.Cut(server, "/")
		return (&url.URL{Scheme: "file", Host: host, Path: "/" + rest}).String()
	case drive:
		return (&url.URL{Scheme: "file", Path: "/" + p}).String()
	case path.IsAbs(p):
		return (&url.URL{Scheme: "file", Path: p}).String()
	default:
		return (&url.URL{Path: p}).String()
	}
}

// uri is the program that a result belongs to; "" when it names none.
func (r sarifResult) uri() string {
	if len(r.Locations) == 0 {
		return ""
	}
	return r.Locations[0].PhysicalLocation.ArtifactLocation.URI
}
