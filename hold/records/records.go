// Package records keeps what happened at a shop's machine and tells how likely that was, draw by draw of a sample of
// the doubtful inputs. A check that weights its sample so learns from the shop.
//
//	[[record]]                     one for each program that ran, each piece that moved, each gauge reading
//	date = 2026-05-04
//	program = "panels.nc"
//	outcome = "moved"              held, moved or gauge
//	piece = 7
//	  [[record.input]]             the doubtful inputs as they were then
//	  [[record.step]]              where the piece is nearest to moving, and what inputs change there
//
// A record holds all that is needed to use it later without its program. The likelihood of a record is that of survival
// or failure of a margin: P = Phi(ln m / s), where ln m moves with the inputs that a shop shares and s is the spread
// from all that is new in every job. Source: structural reliability updating with survival information, R. Rackwitz and
// K. Schrupp, "Quality control, proof testing and structural reliability", Structural Safety 2 (1985), and JCSS
// Probabilistic Model Code, part 1, annex C (both from memory).
//
// It knows nothing of programs, jobs and pressure.
package records

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"staydown/hold/doubt"
)

// Name is the name of the file of records, which stands beside the shop's job file.
const Name = "staydown.records.toml"

// Outcome is what was seen at the machine.
type Outcome string

// The outcomes.
const (
	Held  Outcome = "held"  // the whole program ran and nothing moved
	Moved Outcome = "moved" // one piece moved
	Gauge Outcome = "gauge" // the vacuum gauge was read
)

// Record is one thing that was seen.
type Record struct {
	Date    toml.LocalDate `toml:"date"`
	Program string         `toml:"program"`
	SHA256  string         `toml:"sha256"`
	Outcome Outcome        `toml:"outcome"`
	Piece   int            `toml:"piece,omitempty"` // that moved
	// at which it moved, or the gauge was read; 0: not known, or the start
	Line     int    `toml:"line,omitempty"`
	Layer    string `toml:"layer"`
	Material string `toml:"material"`
	Tools    []int  `toml:"tools"`
	// Chance is that of what was seen to move, as it was computed before this record; of the program where all held.
	Chance    float64 `toml:"chance,omitempty"`
	VacuumKPa float64 `toml:"vacuum_kpa,omitempty"` // that the gauge showed, below ambient
	Inputs    []Input `toml:"input"`
	Steps     []Step  `toml:"step"`
}

// Input is a doubtful input as it was when the record was made.
type Input struct {
	Name   string  `toml:"name"`
	Unit   string  `toml:"unit,omitempty"`
	Scope  string  `toml:"scope"`
	Law    string  `toml:"law"`
	Low    float64 `toml:"low"`
	Likely float64 `toml:"likely"`
	High   float64 `toml:"high"`
}

// Step is a step at which a piece is near to moving, or the moment of a gauge reading.
type Step struct {
	Piece     int     `toml:"piece,omitempty"`
	Margin    float64 `toml:"margin,omitempty"`     // likely margin of the piece
	VacuumKPa float64 `toml:"vacuum_kpa,omitempty"` // likely vacuum, for a gauge reading
	// Spread is the standard deviation of ln margin (of the vacuum in kPa, for a gauge) from all that is new in every
	// job.
	Spread float64 `toml:"spread"`
	// Changes of ln margin (of the vacuum, in kPa) by input, at the scores doubt.Knots.
	Changes map[string][]float64 `toml:"changes,inline"`
	// Interactions of these inputs in ln margin, toward a lower and a higher margin.
	Interactions []Interaction `toml:"interaction,omitempty"`
}

// Interaction is a doubt.Interaction with the names of its inputs.
type Interaction struct {
	Log    float64            `toml:"log"`
	Scores map[string]float64 `toml:"scores,inline"`
}

// file is the file of records.
type file struct {
	Records []Record `toml:"record"`
}

// ErrRecord says that a record cannot be used.
var ErrRecord = errors.New("this record cannot be used")

// Parse reads a file of records. It fails with the place of what is wrong, or with ErrRecord and the number and the
// date of the record.
func Parse(text []byte) ([]Record, error) {
	var f file
	d := toml.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&f); err != nil {
		var strict *toml.StrictMissingError
		var wrong *toml.DecodeError
		switch {
		case errors.As(err, &strict) && len(strict.Errors) > 0:
			line, column := strict.Errors[0].Position()
			return nil, fmt.Errorf("%d:%d: %q is not known here; take the line out", line, column,
				strings.Join(strict.Errors[0].Key(), "."))
		case errors.As(err, &wrong):
			line, column := wrong.Position()
			return nil, fmt.Errorf("%d:%d: %s; mend the line", line, column, strings.TrimPrefix(wrong.Error(),
				"toml: "))
		}
		return nil, err
	}
	for i := range f.Records {
		if err := f.Records[i].check(); err != nil {
			return nil, fmt.Errorf("record %d (%s): %w; mend it, or take it out", i+1, f.Records[i].Date, err)
		}
	}
	return f.Records, nil
}

// Append is the text of a file with a record more; what stands there stays as it is.
func Append(text []byte, r Record) ([]byte, error) {
	if err := r.check(); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	out.Write(text)
	switch {
	case len(text) == 0:
		out.WriteString("# What was seen at the machine. staydown check learns from it; see staydown record --help.\n")
	case !bytes.HasSuffix(text, []byte("\n")):
		out.WriteString("\n")
	}
	out.WriteString("\n")
	e := toml.NewEncoder(&out)
	e.SetIndentTables(true)
	if err := e.Encode(file{[]Record{r}}); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrRecord, err)
	}
	return out.Bytes(), nil
}

func (r *Record) check() error {
	if r.Outcome != Held && r.Outcome != Moved && r.Outcome != Gauge {
		return fmt.Errorf("%w: outcome %q is none of held, moved, gauge", ErrRecord, r.Outcome)
	}
	if len(r.Steps) == 0 {
		return fmt.Errorf("%w: it has no step", ErrRecord)
	}
	names := map[string]bool{}
	for _, in := range r.Inputs {
		names[in.Name] = true
		d, err := in.doubt()
		if err == nil {
			err = d.Check()
		}
		if err != nil {
			return fmt.Errorf("%w: %w", ErrRecord, err)
		}
	}
	for _, s := range r.Steps {
		if !(s.Spread > 0) || r.Outcome != Gauge && !(s.Margin > 0) {
			return fmt.Errorf("%w: a step needs a spread and a margin above 0", ErrRecord)
		}
		for name, at := range s.Changes {
			if !names[name] || len(at) != len(doubt.Knots) {
				return fmt.Errorf("%w: the changes with %q need an input of that name and %d numbers", ErrRecord, name,
					len(doubt.Knots))
			}
		}
		for _, x := range s.Interactions {
			for name, score := range x.Scores {
				if !names[name] || !(math.Abs(score) <= mostScore) {
					return fmt.Errorf("%w: the interaction with %q needs an input of that name and a score of at "+
						"most %g",
						ErrRecord, name, mostScore)
				}
			}
		}
	}
	return nil
}

// mostScore is how far from its likely value an input of an interaction may lie: its end, and rounding.
const mostScore = 1.645

// From is an input as records keep it.
func From(in doubt.Input) Input {
	return Input{in.Name, in.Unit, in.Scope.String(), in.Law.String(), in.Low, in.Likely, in.High}
}

func (in Input) doubt() (doubt.Input, error) {
	out := doubt.Input{Name: in.Name, Unit: in.Unit, Low: in.Low, Likely: in.Likely, High: in.High}
	scopes := []doubt.Scope{doubt.Shop, doubt.Material, doubt.Tool}
	i := slices.IndexFunc(scopes, func(s doubt.Scope) bool { return s.String() == in.Scope })
	if i < 0 {
		return out, fmt.Errorf("scope %q of %s is none of shop, material, tool", in.Scope, in.Name)
	}
	out.Scope = scopes[i]
	laws := []doubt.Law{doubt.Lognormal, doubt.Normal}
	if i = slices.IndexFunc(laws, func(l doubt.Law) bool { return l.String() == in.Law }); i < 0 {
		return out, fmt.Errorf("law %q of %s is none of lognormal, normal", in.Law, in.Name)
	}
	out.Law = laws[i]
	return out, nil
}

// Lasting reports whether inputs of a scope stay the same from job to job, so that records tell about them: those of
// the shop, of materials and of tools.
func Lasting(s doubt.Scope) bool { return s == doubt.Shop || s == doubt.Material || s == doubt.Tool }

// Since keeps the records of a day, as "2026-05-04", and later ones; "": all.
func Since(all []Record, day string) []Record {
	return slices.DeleteFunc(slices.Clone(all), func(r Record) bool { return r.Date.String() < day })
}

// Once drops what was recorded before: of one program on one day, that it held, and that one piece moved, count once
// each, and that it held not at all once something moved.
func Once(all []Record) []Record {
	type key struct {
		day, program string
		outcome      Outcome
		piece, line  int
	}
	seen, moved := map[key]bool{}, map[key]bool{}
	for _, r := range all {
		if r.Outcome == Moved {
			moved[key{day: r.Date.String(), program: r.SHA256}] = true
		}
	}
	var out []Record
	for _, r := range all {
		k := key{r.Date.String(), r.SHA256, r.Outcome, r.Piece, 0}
		if r.Outcome == Gauge {
			k.line = r.Line
		}
		if seen[k] || r.Outcome == Held && moved[key{day: k.day, program: k.program}] {
			continue
		}
		seen[k] = true
		out = append(out, r)
	}
	return out
}
