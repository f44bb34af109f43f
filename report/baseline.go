package report

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse/units"
	"staydown/report/annotate"
	"staydown/report/words"
)

// Baseline holds the findings of an earlier run, to compare those of a later one with. Its methods do not change it.
type Baseline struct {
	before map[string][]sarifResult // of each program, by its URI, as in the file
}

// Comparison holds the state of one program's findings against a baseline.
type Comparison struct {
	// States of the findings, in their order: "new", "unchanged", or what a finding was that is better or worse now.
	States []string
	Gone   []string // findings of the baseline that are gone from the program, in words, those alike once
	// NewRisks counts warnings and errors that the baseline does not have, or has as less; GoneRisks those of the
	// baseline that are gone.
	NewRisks, GoneRisks int
}

// state is the state of the finding with index i; "" when nothing is compared.
func (c *Comparison) state(i int) string {
	if c == nil || i >= len(c.States) {
		return ""
	}
	return c.States[i]
}

// NewBaseline reads an earlier output of SARIF. It fails if data is no SARIF 2.1.0 file.
func NewBaseline(data []byte) (*Baseline, error) {
	var old sarifLog
	if err := json.Unmarshal(data, &old); err != nil {
		return nil, baselineError(err)
	}
	if old.Version != sarifVersion {
		return nil, fmt.Errorf("the baseline is not a SARIF %s file (its version is %q); give the findings.sarif of "+
			"an earlier run", sarifVersion, words.Visible(old.Version))
	}
	b := &Baseline{before: make(map[string][]sarifResult)}
	for _, r := range old.Runs {
		if r.Tool.Driver.Name != driverName {
			continue
		}
		for _, res := range r.Results {
			if res.BaselineState == stateAbsent || res.PartialFingerprints[fingerprintName] == "" {
				continue
			}
			b.before[res.uri()] = append(b.before[res.uri()], res)
		}
	}
	return b, nil
}

// Compare compares the findings of a program with the baseline. lines is what FindingLines returned for the program;
// without it fewer findings can be told apart (see SARIF).
func (b *Baseline) Compare(r *result.Result, lines annotate.Lines) Comparison {
	uri := sarifPath(r.Program.Path)
	found := sarifFindings(r, uri, lines, nil)
	gone := b.mark(found, uri)
	var out Comparison
	for i, f := range r.Findings {
		state, was := found[i].BaselineState, found[i].former
		worse := state == stateUpdated && f.Level > levelNamed(was)
		switch {
		case worse:
			state = "worse: was " + withArticle(was)
		case state == stateUpdated:
			state = "better: was " + withArticle(was)
		}
		out.States = append(out.States, state)
		if f.Level >= result.LevelWarning && (state == stateNew || worse) {
			out.NewRisks++
		}
	}
	for _, res := range gone {
		if levelNamed(res.Level) >= result.LevelWarning {
			out.GoneRisks++
		}
	}
	out.Gone = goneInWords(gone, r.Units)
	return out
}

func levelNamed(name string) result.Level {
	for _, l := range []result.Level{result.LevelError, result.LevelWarning} {
		if l.String() == name {
			return l
		}
	}
	return result.LevelNote
}

func withArticle(level string) string {
	if level == result.LevelError.String() {
		return "an " + level
	}
	return "a " + level
}

// goneInWords tells findings that are gone: those of pieces alike once, with their places, since numbers of pieces and
// lines are those of another program.
func goneInWords(gone []sarifResult, shop units.System) []string {
	var out []string
	told := make([]bool, len(gone))
	for i := range gone {
		res := &gone[i]
		if told[i] {
			continue
		}
		if !res.onPiece() || !result.AboutMargin(res.RuleID) {
			message, _, _ := strings.Cut(res.Message.Text, remedyLead) // what is gone needs no remedy
			out = append(out, res.RuleID+": "+message)
			continue
		}
		var places []string
		for k := i; k < len(gone); k++ {
			if !gone[k].alikeOn(res) {
				continue
			}
			told[k] = true
			place := gone[k].Properties.Place
			if at := shop.Spot(float64(place[0]), float64(place[1])); !slices.Contains(places, at) {
				places = append(places, at)
			}
		}
		out = append(out, piecesGone(res, places, shop))
	}
	return out
}

// piecesGone says what is gone of pieces alike in some places.
func piecesGone(res *sarifResult, places []string, shop units.System) string {
	n, more, was := len(places), "", "was at risk"
	switch {
	case res.Level == result.LevelError.String():
		was = "came loose"
	case n > 1:
		was = "were at risk"
	}
	if n > maxGonePlaces {
		places, more = places[:maxGonePlaces], ", ..."
	}
	size := res.Properties.Size
	return fmt.Sprintf("%s of %s (%s%s) %s, %s", wording.Count(n, "piece", "pieces"),
		shop.Size(float64(size[0]), float64(size[1])), strings.Join(places, ", "), more, was, res.RuleID)
}

// maxGonePlaces is how many places of pieces that are alike are named.
const maxGonePlaces = 3

// mark sets the states of all results of one program and returns those of the baseline that are gone from it. Programs
// of the baseline that are not part of this run are never asked for: nobody looked for their findings.
func (b *Baseline) mark(results []sarifResult, uri string) (absent []sarifResult) {
	before := b.before[uri]
	used := make([]bool, len(before))
	for i := range results {
		now := &results[i]
		now.BaselineState = stateNew
		for k := range before {
			if used[k] || !now.sameFinding(&before[k]) {
				continue
			}
			used[k], now.BaselineState = true, stateUnchanged
			if now.former = before[k].Level; now.former != now.Level {
				now.BaselineState = stateUpdated
			}
			break
		}
	}
	for k, gone := range before {
		if used[k] {
			continue
		}
		gone.BaselineState = stateAbsent
		gone.RuleIndex = nil // an index into the other file's list of rules
		absent = append(absent, gone)
	}
	return absent
}

// samePlaceMM is how far a piece may lie from where it was, or its size be off, to count as the same one.
const samePlaceMM = 2.0

// sameFinding tells whether two results say the same of one thing: of a piece that lies where it lay, whatever its
// number and its line; of the program, what is only noted; else of a block, by its fingerprint.
func (r *sarifResult) sameFinding(o *sarifResult) bool {
	if r.RuleID != o.RuleID {
		return false
	}
	if note := result.LevelNote.String(); r.Level == note && o.Level == note {
		return true
	}
	if r.onPiece() && o.onPiece() {
		return near(r.Properties.Place, o.Properties.Place) && near(r.Properties.Size, o.Properties.Size)
	}
	return r.PartialFingerprints[fingerprintName] == o.PartialFingerprints[fingerprintName]
}

// onPiece tells whether the result says where the piece lies and how large it is.
func (r *sarifResult) onPiece() bool {
	return r.Properties != nil && r.Properties.Place != nil && r.Properties.Size != nil
}

// alikeOn tells whether two results say the same of pieces of one size.
func (r *sarifResult) alikeOn(o *sarifResult) bool {
	return r.RuleID == o.RuleID && r.Level == o.Level && r.onPiece() && o.onPiece() &&
		near(r.Properties.Size, o.Properties.Size)
}

func near(a, b *[2]decimal) bool {
	return math.Abs(float64(a[0]-b[0])) <= samePlaceMM && math.Abs(float64(a[1]-b[1])) <= samePlaceMM
}

func baselineError(err error) error {
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		return fmt.Errorf("the baseline is not JSON (byte %d); give the findings.sarif of an earlier run",
			syntax.Offset)
	}
	return errors.New("the baseline is JSON but not SARIF; give the findings.sarif of an earlier run")
}
