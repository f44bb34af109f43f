package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"staydown/cmd/staydown/store"
	"staydown/hold"
	"staydown/hold/job"
	"staydown/hold/records"
	"staydown/parse"
	"staydown/sweep"
)

// Size limits of input files.
const (
	maxProgramBytes = 1 << 30
	maxJobBytes     = 4 << 20
)

// settings are the command line's choices for every analysis.
type settings struct {
	setup  string  // job file for all programs; "": each has its own
	margin float64 // 0: from the job file
	cellMM float64 // 0: from the job file
	strict bool
	since  string   // day from which on records count; "": from the job file
	set    []string // single values of the job, KEY=VALUE
	// blockDelete is the machine's block delete switch.
	blockDelete bool

	jobs       int  // workers inside one analysis
	noPictures bool // nobody draws the kerf and the pressure
	noRemedies bool // of findings: they are added where they are asked for

	known *kept // of the last analysis of the same program; nil: nothing, and nothing is kept
}

// problem is an error with its exit status.
type problem struct {
	status   int
	err      error
	fleeting bool // may pass in another run on the same files
}

func (p *problem) Error() string { return p.err.Error() }
func (p *problem) Unwrap() error { return p.err }

func unanalysed(err error) *problem { return &problem{status: exitUnanalysed, err: err} }

func misused(err error) *problem { return &problem{status: exitUsage, err: err} }

// dryRun is everything known about one program. After a problem it holds what the analysis had reached.
type dryRun struct {
	path     string
	src      []byte
	edited   bool // src is not what the file holds
	inputs   inputs
	job      *job.Job
	records  []records.Record // of the shop, that count
	program  *parse.Program
	analysis *hold.Analysis
}

// inputs are all files that a result depends on: the same inputs give the same result.
type inputs struct {
	ProgramSHA string
	JobFiles   []jobFile    // outermost folder first
	Subs       []subprogram // in order of first use
	Records    string       // checksum of the records that count; "" for none
}

// jobFile is a job file that a result depends on, or the values given beside them.
type jobFile struct{ Path, SHA string }

// subprogram is a file beside the program that was opened, or was not found.
type subprogram struct {
	Name string
	SHA  string // "" if there was none
}

// readRegular reads a file of at most limit bytes; devices, pipes and folders are refused without opening them.
func readRegular(path string, limit int64) ([]byte, error) {
	file, err := store.OpenRegular(path)
	if err != nil {
		return nil, readable(path, err)
	}
	defer file.Close()
	data, err := readSized(file, limit)
	if err != nil {
		return nil, readable(path, err)
	}
	if int64(len(data)) > limit {
		return nil, about(path, "is larger than %d MiB; split it", limit>>20)
	}
	return data, nil
}

// readSized reads a file, at most one byte more than limit, into a buffer of its size: a growing buffer would need up
// to twice that.
func readSized(file *os.File, limit int64) ([]byte, error) {
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	data := bytes.NewBuffer(make([]byte, 0, min(info.Size(), limit)+bytes.MinRead))
	_, err = data.ReadFrom(io.LimitReader(file, limit+1))
	return data.Bytes(), err
}

// readProgram reads the bytes of a program and refuses files that are not text.
func readProgram(path string) ([]byte, *problem) {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return nil, misused(about(path, "is a folder; name one program in it"))
	}
	src, err := readRegular(path, maxProgramBytes)
	if err != nil {
		return nil, &problem{status: exitUnanalysed, err: err, fleeting: true}
	}
	if err := parse.IsText(src); err != nil {
		return src, unanalysed(about(path, "%v", err))
	}
	return src, nil
}

// jobPathsOf returns the job files of a program, outermost folder first.
func jobPathsOf(program string, s settings) ([]string, *problem) {
	found, err := findJobFiles(program, s.setup)
	if err != nil {
		return nil, misused(err)
	}
	if len(found) == 0 {
		return nil, misused(about(program, "no job file found; write %s (staydown setup %s drafts it) or a %s in its "+
			"folder or a folder above, or name one with --setup", ownJobFile(program), program, jobFileName))
	}
	return found, nil
}

// readJobFiles reads the layers of a program's job: its files, outermost folder first, and the single values over them.
func readJobFiles(program string, s settings) ([]job.File, *problem) {
	paths, p := jobPathsOf(program, s)
	if p != nil {
		return nil, p
	}
	files, p := readFiles(paths)
	if p != nil {
		return nil, p
	}
	return withSet(files, s)
}

// withSet puts the single values of the command line over the job files.
func withSet(files []job.File, s settings) ([]job.File, *problem) {
	if len(s.set) == 0 {
		return files, nil
	}
	set, err := job.Set(s.set...)
	if err != nil {
		return nil, misused(fmt.Errorf("--set %w", err))
	}
	for _, both := range []struct {
		given bool
		flag  string
		path  []string
	}{{s.margin > 0, "--margin", []string{"limits", "margin"}}, {s.cellMM > 0, "--cell", []string{"grid", "cell"}}} {
		if both.given && set.Gives(both.path...) {
			return nil, misused(fmt.Errorf("%s and --set %s give the same value; write only one of them", both.flag,
				strings.Join(both.path, ".")))
		}
	}
	return append(slices.Clip(files), set), nil
}

// readFiles reads job files.
func readFiles(paths []string) ([]job.File, *problem) {
	files := make([]job.File, len(paths))
	for i, path := range paths {
		data, err := readRegular(path, maxJobBytes)
		if err != nil {
			return nil, &problem{status: exitUsage, err: err, fleeting: true}
		}
		files[i] = job.File{Name: filepath.ToSlash(path), Data: data}
	}
	return files, nil
}

// sums gives names and checksums of the layers of a job.
func sums(files []job.File) []jobFile {
	out := make([]jobFile, len(files))
	for i, f := range files {
		out[i] = jobFile{f.Name, store.Sum(f.Data)}
	}
	return out
}

// readJob reads the job that serves a program.
func readJob(program string, s settings) (*job.Job, *problem) {
	files, p := readJobFiles(program, s)
	if p != nil {
		return nil, p
	}
	return parseJob(files, s)
}

// parseJob reads a job from its layers, with what the command line asks for in its place.
func parseJob(files []job.File, s settings) (*job.Job, *problem) {
	j, err := job.ParseLayers(files...)
	if err != nil {
		return nil, &problem{status: exitUsage, err: err}
	}
	if s.margin > 0 {
		j.Limits.Margin = s.margin
	}
	if s.cellMM > 0 {
		j.CellMM = s.cellMM
	}
	return j, nil
}

// openSub opens a subprogram file of one folder, never one outside it, not even through a symbolic link.
func openSub(dir, name string) ([]byte, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	file, err := store.OpenRegularIn(root, name)
	if errors.Is(err, store.ErrIrregular) {
		err = os.ErrNotExist
	}
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(io.LimitReader(file, maxProgramBytes))
}

// noting returns a function that opens subprograms and notes each in in.
func (in *inputs) noting(dir string) func(name string) ([]byte, error) {
	seen := map[string]bool{}
	return func(name string) ([]byte, error) {
		data, err := openSub(dir, name)
		if !seen[name] {
			seen[name] = true
			in.Subs = append(in.Subs, subprogram{name, sumUnless(data, err)})
		}
		return data, err
	}
}

func sumUnless(data []byte, err error) string {
	if err != nil {
		return ""
	}
	return store.Sum(data)
}

// analyse runs one program through parse, sweep and hold. The dry run is never nil.
func analyse(path string, s settings) (*dryRun, *problem) {
	d := &dryRun{path: path}
	var p *problem
	d.src, p = readProgram(path)
	d.inputs.ProgramSHA = store.Sum(d.src)
	if p != nil {
		return d, p
	}
	return d, d.analyse(s)
}

// analyseEdited runs another text of a program through the same.
func analyseEdited(path string, src []byte, s settings) (*dryRun, *problem) {
	d := &dryRun{path: path, src: src, edited: true}
	d.inputs.ProgramSHA = store.Sum(src)
	return d, d.analyse(s)
}

// analyse runs the text at hand through parse, sweep and hold.
func (d *dryRun) analyse(s settings) (p *problem) {
	files, p := readJobFiles(d.path, s)
	if p != nil {
		return p
	}
	d.inputs.JobFiles = sums(files)
	if d.job, p = parseJob(files, s); p != nil {
		return p
	}
	if p = d.readRecords(s); p != nil {
		return p
	}
	if p = d.read(s); p != nil {
		return p
	}
	in := newSweepInput(d.job, d.program)
	if len(d.src) > keptTextBytes && !d.edited {
		d.dropText()
	}
	rec, p := s.known.sweep(in, d.program, s.jobs)
	if p != nil {
		return p
	}
	var err error
	opt := hold.Options{Workers: s.jobs, Records: d.records, NoPictures: s.noPictures, NoRemedies: s.noRemedies,
		Shared: s.known.air(), OtherLayers: func() []job.OtherLayer { return job.OtherLayers(files...) }}
	if d.program.Moves.Len() <= maxResweptMoves {
		opt.Resweep = in.over(d.program, s.jobs, s.known)
	}
	d.analysis, err = hold.Check(d.program, rec, d.job, opt)
	if err != nil {
		return unanalysed(about(d.path, "%v", err))
	}
	if d.src == nil {
		if p = d.readTextAgain(); p != nil {
			return p
		}
		d.analysis.NumberFindings()
	}
	return nil
}

// read reads the text as motion, with the job's tools, offsets and rates.
func (d *dryRun) read(s settings) *problem {
	opt := readOptions(d.path, d.job, s)
	opt.OpenSub = d.inputs.noting(filepath.Dir(d.path))
	d.program = parse.Read(d.src, opt)
	var missing []error
	for _, m := range d.job.MissingTools(d.program) {
		missing = append(missing, m)
	}
	if len(missing) > 0 {
		return &problem{status: exitUsage, err: errors.Join(missing...)}
	}
	return nil
}

// maxResweptMoves is the number of moves up to which a program is swept over a thinner or thicker sheet as well where
// that turns skins or cuts: the second record takes some 100 bytes a move beside the first.
const maxResweptMoves = 5_000_000

// keptTextBytes is the length from which a program's text is not held while moves and steps need the room.
const keptTextBytes = 64 << 20

// dropText lets go of the text, unless the program may have to be read in other units to tell which it is in.
func (d *dryRun) dropText() {
	noUnits := slices.ContainsFunc(d.program.Notes, func(n parse.Note) bool { return n.Kind == parse.NoUnits })
	if !noUnits {
		d.src = nil
		d.program.DropText()
	}
}

// readTextAgain brings back the text that was let go of.
func (d *dryRun) readTextAgain() (p *problem) {
	if d.src != nil {
		return nil
	}
	if d.src, p = readProgram(d.path); p != nil {
		return p
	}
	if err := d.program.TakeText(d.src); err != nil {
		return &problem{status: exitUnanalysed, err: about(d.path, "%v", err), fleeting: true}
	}
	return nil
}

// placed adds the file to an error of the sweep.
func placed(path string, err error) error {
	var e *sweep.Error
	if errors.As(err, &e) {
		return &fault{parse.Pos{File: path, Line: e.Line}, e.Message}
	}
	return about(path, "%v", err)
}
