package report

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"staydown/hold"
)

// Baseline holds the findings of an earlier run, to mark those of a later one against. It is not changed by its
// methods.
type Baseline struct {
	before map[string]sarifResult // by identity
	order  []string               // of the identities in the file
}

// Comparison tells how the findings of one program stand against a baseline.
type Comparison struct {
	States []string // of each finding, in their order: "new" or "unchanged"
	Absent []string // findings of the baseline that are gone from the program, in words
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
	b := &Baseline{before: make(map[string]sarifResult)}
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
				b.order = append(b.order, id)
			}
		}
	}
	return b, nil
}

// Compare tells how the findings of a program stand against the baseline. lines is what FindingLines gave for the
// program; without it findings are told apart less well, as by SARIF.
func (b *Baseline) Compare(r *hold.Result, lines Lines) Comparison {
	run := sarifRun{Artifacts: []sarifArtifact{{Location: sarifURI{sarifPath(r.Program.Path)}}}}
	seen := make(map[string]int)
	for _, f := range r.Findings {
		run.Results = append(run.Results, sarifFinding(f, run.Artifacts[0].Location.URI, lines, seen, nil))
	}
	b.mark(&run)
	var out Comparison
	for _, res := range run.Results {
		if res.BaselineState == stateAbsent {
			message, _, _ := strings.Cut(res.Message.Text, remedyLead) // what helped is of no use any more
			out.Absent = append(out.Absent, res.RuleID+": "+message)
			continue
		}
		out.States = append(out.States, res.BaselineState)
	}
	return out
}

// mark gives the results of a run their states and adds those that are gone.
func (b *Baseline) mark(run *sarifRun) {
	found := make(map[string]bool)
	for i := range run.Results {
		id := run.Results[i].identity()
		if _, known := b.before[id]; known {
			run.Results[i].BaselineState = stateUnchanged
			found[id] = true
		} else {
			run.Results[i].BaselineState = stateNew
		}
	}
	// Absent findings of programs that are not part of this run say nothing: they were not looked for.
	var looked []string
	for _, a := range run.Artifacts {
		looked = append(looked, a.Location.URI)
	}
	slices.Sort(looked)
	for _, id := range b.order {
		gone := b.before[id]
		if found[id] || len(gone.Locations) == 0 {
			continue
		}
		if _, part := slices.BinarySearch(looked, gone.Locations[0].PhysicalLocation.ArtifactLocation.URI); !part {
			continue
		}
		gone.BaselineState = stateAbsent
		gone.RuleIndex = nil // it counted in the other file's list of rules
		run.Results = append(run.Results, gone)
	}
}

func baselineError(err error) error {
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		return fmt.Errorf("the baseline is not JSON (byte %d); give the findings.sarif of an earlier run",
			syntax.Offset)
	}
	return errors.New("the baseline is JSON but not SARIF; give the findings.sarif of an earlier run")
}
