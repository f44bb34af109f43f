package report

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"staydown/hold/result"
)

// Baseline holds the findings of an earlier run, to compare those of a later one with. Its methods do not change it.
type Baseline struct {
	before map[string]sarifResult // by identity
	order  map[string][]string    // identities of each program, by its URI, as in the file
}

// Comparison holds the state of one program's findings against a baseline.
type Comparison struct {
	States []string // of each finding, in their order: "new" or "unchanged"
	Absent []string // findings of the baseline that are gone from the program, in words
	New    int      // warnings and errors that the baseline does not have
	Gone   int      // warnings and errors of the baseline that are absent
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
			"an earlier run", sarifVersion, Visible(old.Version))
	}
	b := &Baseline{before: make(map[string]sarifResult), order: make(map[string][]string)}
	for _, r := range old.Runs {
		if r.Tool.Driver.Name != driverName {
			continue
		}
		for _, res := range r.Results {
			if res.BaselineState == stateAbsent || res.PartialFingerprints[fingerprintName] == "" {
				continue
			}
			id := res.identity()
			if _, twice := b.before[id]; !twice {
				b.before[id] = res
				b.order[res.uri()] = append(b.order[res.uri()], id)
			}
		}
	}
	return b, nil
}

// Compare compares the findings of a program with the baseline. lines is what FindingLines returned for the program;
// without it fewer findings can be told apart (see SARIF).
func (b *Baseline) Compare(r *result.Result, lines Lines) Comparison {
	uri := sarifPath(r.Program.Path)
	found := sarifFindings(r, uri, lines, nil)
	absent := b.mark(found, uri)
	var out Comparison
	for i, f := range r.Findings {
		out.States = append(out.States, found[i].BaselineState)
		if f.Level >= result.LevelWarning && found[i].BaselineState == stateNew {
			out.New++
		}
	}
	for _, res := range absent {
		message, _, _ := strings.Cut(res.Message.Text, remedyLead) // an absent finding needs no remedy
		out.Absent = append(out.Absent, res.RuleID+": "+message)
		if res.Level != result.LevelNote.String() {
			out.Gone++
		}
	}
	return out
}

// mark sets the states of all results of one program and returns those of the baseline that are gone from it. Programs
// of the baseline that are not part of this run are never asked for: nobody looked for their findings.
func (b *Baseline) mark(results []sarifResult, uri string) (absent []sarifResult) {
	found := make(map[string]bool)
	for i := range results {
		id := results[i].identity()
		if _, known := b.before[id]; known {
			results[i].BaselineState = stateUnchanged
			found[id] = true
		} else {
			results[i].BaselineState = stateNew
		}
	}
	for _, id := range b.order[uri] {
		if found[id] {
			continue
		}
		gone := b.before[id]
		gone.BaselineState = stateAbsent
		gone.RuleIndex = nil // an index into the other file's list of rules
		absent = append(absent, gone)
	}
	return absent
}

func baselineError(err error) error {
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		return fmt.Errorf("the baseline is not JSON (byte %d); give the findings.sarif of an earlier run",
			syntax.Offset)
	}
	return errors.New("the baseline is JSON but not SARIF; give the findings.sarif of an earlier run")
}
