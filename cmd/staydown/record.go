package main

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"

	"staydown/cmd/staydown/store"
	"staydown/hold"
	"staydown/hold/job"
	"staydown/hold/records"
	"staydown/hold/result"
	"staydown/hold/wording"
)

// maxRecordsBytes bounds the file of records: some 10,000 of them.
const maxRecordsBytes = 32 << 20

func runRecord(args []string, s streams) int {
	f := newFlags("record", "PROGRAM", `Keeps what happened when a program ran at the machine; later checks learn from it. The records are kept in
`+records.Name+` beside the shop's `+jobFileName+`, or beside the program.

Example:
  staydown record part.nc --moved 7@412`, s)
	var set settings
	addAnalysisFlags(f, &set)
	held := f.Bool("held", false, "the whole program ran and nothing moved")
	moved := f.StringArray("moved", nil, "`PIECE` moved: its number, with @LINE where the block is known, as 7@412")
	gauge := f.StringArray("gauge", nil, "`READING` of the vacuum gauge with @LINE, 0 before the start, as \"680 "+
		"mbar@0\"")
	date := f.String("date", "", "`DAY` it happened, as 2026-05-04; default today")
	list := f.Bool("list", false, "list the records of the program's shop, and what each changed")
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() != 1 {
		return misuse(s, "record takes one program, not %d arguments", f.NArg())
	}
	path := f.Arg(0)
	if *list {
		return listRecords(path, s)
	}
	seen, err := readObservations(*held, *moved, *gauge, *date)
	if err != nil {
		return misuse(s, "%v", err)
	}
	if err := keep(path, set, seen, s); err != nil {
		complain(s.err, err)
		return statusOfProblem(err)
	}
	return exitHeld
}

// statusOfProblem is the exit status that goes with an error: wrong usage unless it says otherwise.
func statusOfProblem(err error) int {
	var p *problem
	if errors.As(err, &p) {
		return p.status
	}
	return exitUsage
}

var (
	movedForm = regexp.MustCompile(`^([0-9]+)(?:@([0-9]+))?$`)
	gaugeForm = regexp.MustCompile(`^(.+)@([0-9]+)$`)
)

// readObservations reads the flags that say what was seen.
func readObservations(held bool, moved, gauge []string, date string) ([]hold.Observation, error) {
	day := toml.LocalDate{}
	if date == "" {
		date = time.Now().Format(time.DateOnly)
	}
	if err := day.UnmarshalText([]byte(date)); err != nil {
		return nil, fmt.Errorf("--date %q is no day; write it as 2026-05-04", date)
	}
	if held && len(moved) > 0 {
		return nil, errors.New("--held and --moved do not go together: what moved did not hold")
	}
	var out []hold.Observation
	if held {
		out = append(out, hold.Observation{Outcome: records.Held})
	}
	for _, text := range moved {
		m := movedForm.FindStringSubmatch(text)
		if m == nil {
			return nil, fmt.Errorf("--moved %q is not known; write the number of the piece, as 7, or 7@412 with the "+
				"line",
				text)
		}
		piece, errPiece := strconv.Atoi(m[1])
		line, errLine := strconv.Atoi(cmp.Or(m[2], "0"))
		if errPiece != nil || errLine != nil {
			return nil, fmt.Errorf("--moved %q has a number that is too large", text)
		}
		out = append(out, hold.Observation{Outcome: records.Moved, Piece: piece, Line: line})
	}
	for _, text := range gauge {
		m := gaugeForm.FindStringSubmatch(text)
		if m == nil {
			return nil, fmt.Errorf("--gauge %q is not known; write reading and line, as \"680 mbar@0\"", text)
		}
		pa, err := job.VacuumPa(m[1])
		if err != nil {
			return nil, fmt.Errorf("--gauge %q: %w", text, err)
		}
		line, err := strconv.Atoi(m[2])
		if err != nil {
			return nil, fmt.Errorf("--gauge %q has a number that is too large", text)
		}
		out = append(out, hold.Observation{Outcome: records.Gauge, Line: line, VacuumKPa: pa / 1000})
	}
	if len(out) == 0 {
		return nil, errors.New("nothing is said to have happened; use --held, --moved PIECE or --gauge READING@LINE")
	}
	for i := range out {
		out[i].Date = day
	}
	return out, nil
}

// recordsPath is the file of records for a program: beside the nearest staydown.toml, else beside the program.
func recordsPath(program string) string {
	folder := filepath.Dir(program)
	if shop, err := findShopFiles(folder); err == nil && len(shop) > 0 {
		folder = filepath.Dir(shop[len(shop)-1])
	}
	return filepath.Join(folder, records.Name)
}

// readRecords reads the records for a program that count from a day on ("": all), with the text of their file, which
// need not be there.
func readRecords(program, since string) (known []records.Record, text []byte, err error) {
	path := recordsPath(program)
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if text, err = readRegular(path, maxRecordsBytes); err != nil {
		return nil, nil, err
	}
	if known, err = records.Parse(text); err != nil {
		return nil, nil, about(path, "%v", err)
	}
	return countedRecords(known, since), text, nil
}

// countedRecords are the records that count from a day on, each once.
func countedRecords(all []records.Record, since string) []records.Record {
	return records.Once(records.Since(all, since))
}

// recordsFor reads the records of the shop that count for a job, found from a path beside or below the shop's file.
func recordsFor(path string, s settings, j *job.Job) ([]records.Record, *problem) {
	known, _, err := readRecords(path, recordsSince(s, j))
	if err != nil {
		return nil, misused(err)
	}
	return known, nil
}

// readRecords reads the records that count for the program and notes their file.
func (d *dryRun) readRecords(s settings) *problem {
	known, text, err := readRecords(d.path, recordsSince(s, d.job))
	if err != nil {
		return misused(err)
	}
	d.records, d.inputs.Records = known, sumOfRecords(text)
	return nil
}

// recordsSince is the day from which on records count for a job; "": all.
func recordsSince(s settings, j *job.Job) string { return cmp.Or(s.since, j.RecordsSince) }

// sumOfRecords is the checksum of a file of records; "" where there is none.
func sumOfRecords(text []byte) string {
	if len(text) == 0 {
		return ""
	}
	return store.Sum(text)
}

// keep adds records to the shop's file and says what they change for the program.
func keep(path string, set settings, seen []hold.Observation, s streams) error {
	before, p := analyse(path, set)
	if p != nil {
		return p
	}
	name := recordsPath(path)
	_, text, err := readRecords(path, "")
	if err != nil {
		return err
	}
	for _, one := range seen {
		r, err := before.analysis.Record(one)
		if err != nil {
			return about(path, "%v", err)
		}
		r.Program = filepath.ToSlash(filepath.Base(path))
		if text, err = records.Append(text, r); err != nil {
			return about(name, "%v", err)
		}
		if text := contradiction(r); text != "" {
			fmt.Fprintf(s.out, "%s: that contradicts the job file; measure what decides (%s)\n", text,
				mostDoubtful(before.analysis.Result))
		}
	}
	if err := store.WriteFile(name, text); err != nil {
		return err
	}
	mention(s.err, "wrote %s", filepath.ToSlash(name))
	all, err := records.Parse(text)
	if err != nil {
		return about(name, "%v", err)
	}
	after, err := before.analysis.With(countedRecords(all, recordsSince(set, before.job)))
	if err != nil {
		return about(path, "%v", err)
	}
	describeChange(s, before.analysis.Result, after.Result)
	return nil
}

// unlikely is a chance at which a record contradicts what was computed.
const unlikely = 0.01

// contradiction says what was seen although it was unlikely; "" for what was to be expected.
func contradiction(r records.Record) string {
	switch {
	case r.Outcome == records.Moved && r.Chance <= unlikely:
		return fmt.Sprintf("piece %d moved although its chance to do so was %.1g", r.Piece, r.Chance)
	case r.Outcome == records.Held && r.Chance >= 1-unlikely:
		return fmt.Sprintf("everything held although the chance that a piece moves was %.3g", r.Chance)
	}
	return ""
}

func mostDoubtful(r *result.Result) string {
	if len(r.Doubts) == 0 {
		return "nothing is in doubt"
	}
	return r.Doubts[0].Input
}

// describeChange says what records change for a program.
func describeChange(s streams, before, after *result.Result) {
	fmt.Fprintf(s.out, "verdict %s, was %s\n", after.Verdict, before.Verdict)
	old, ok := before.LeastPiece()
	now, still := after.LeastPiece()
	if ok && still {
		fmt.Fprintf(s.out, "least margin %s of piece %d, was %s of piece %d\n",
			wording.MarginRange(now.Least.Low, now.Least.Margin, now.Least.High), now.ID,
			wording.MarginRange(old.Least.Low, old.Least.Margin, old.Least.High), old.ID)
		fmt.Fprintf(s.out, "a piece moves in %s such jobs, was %s\n", wording.Chance(after.Chance),
			wording.Chance(before.Chance))
	}
}

// listRecords lists the records of a program's shop.
func listRecords(path string, s streams) int {
	known, _, err := readRecords(path, "")
	if err != nil {
		complain(s.err, err)
		return exitUsage
	}
	if len(known) == 0 {
		fmt.Fprintf(s.out, "%s: no records\n", filepath.ToSlash(recordsPath(path)))
		return exitHeld
	}
	changes := records.Changes(known)
	for i, r := range known {
		fmt.Fprintf(s.out, "%s %s: %s (%s on %s, tools %s)\n", r.Date, r.Program, outcomeText(r), r.Material, r.Layer,
			strings.Trim(fmt.Sprint(r.Tools), "[]"))
		if len(changes[i]) == 0 {
			fmt.Fprintln(s.out, "    changes nothing by more than a tenth of its spread")
		}
		for _, c := range changes[i] {
			fmt.Fprintf(s.out, "    %s: likely %.3g with it, %.3g without (range %.3g to %.3g%s)\n", c.Input.Name,
				c.With,
				c.Without, c.Input.Low, c.Input.High, strings.TrimRight(" "+c.Input.Unit, " "))
		}
	}
	return exitHeld
}

func outcomeText(r records.Record) string {
	switch r.Outcome {
	case records.Moved:
		text := fmt.Sprintf("piece %d moved", r.Piece)
		if r.Line > 0 {
			text += fmt.Sprintf(" in line %d", r.Line)
		}
		return fmt.Sprintf("%s, which had a chance of %.2g", text, r.Chance)
	case records.Gauge:
		return fmt.Sprintf("gauge at %.1f kPa after line %d, likely %.1f", r.VacuumKPa, r.Line, r.Steps[0].VacuumKPa)
	}
	return fmt.Sprintf("held, with a chance of %.2g that a piece moves", r.Chance)
}
