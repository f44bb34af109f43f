package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"staydown/hold"
	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

// maxProgramBytes bounds what is read of one program.
const maxProgramBytes = 1 << 30

// settings are what the command line says about every analysis.
type settings struct {
	setup  string  // job file for all programs; "" finds each one's own
	margin float64 // 0: as the job file says
	cell   string  // as written on the command line
	cellMM float64 // 0: as the job file says
	strict bool
	jobs   int // workers inside one analysis
}

// problem is an error with the exit status that it brings.
type problem struct {
	status int
	err    error
}

func (p *problem) Error() string { return p.err.Error() }
func (p *problem) Unwrap() error { return p.err }

func unanalysed(format string, args ...any) *problem {
	return &problem{exitUnanalysed, fmt.Errorf(format, args...)}
}

// dryRun is everything that is known of one program.
type dryRun struct {
	path     string
	src      []byte
	job      *job.Job
	program  *parse.Program
	analysis *hold.Analysis
}

// readProgram reads the bytes of a program and refuses what is none.
func readProgram(path string) ([]byte, *problem) {
	file, err := os.Open(path)
	if err != nil {
		return nil, &problem{exitUnanalysed, readable(path, err)}
	}
	defer file.Close()
	if info, err := file.Stat(); err == nil && info.IsDir() {
		return nil, &problem{exitUsage, fmt.Errorf("%s: is a folder; this command takes one program", path)}
	}
	src, err := io.ReadAll(io.LimitReader(file, maxProgramBytes+1))
	if err != nil {
		return nil, &problem{exitUnanalysed, readable(path, err)}
	}
	if len(src) > maxProgramBytes {
		return nil, unanalysed("%s: is larger than %d MiB; split the program", path, maxProgramBytes>>20)
	}
	if err := parse.IsText(src); err != nil {
		return nil, unanalysed("%s: %v", path, err)
	}
	return src, nil
}

// readJob reads the job file that serves a program.
func readJob(program string, s settings) (*job.Job, *problem) {
	path := s.setup
	if path == "" {
		found, err := findJobFile(program)
		if err != nil {
			return nil, &problem{exitUsage, err}
		}
		if found == "" {
			own := program[:len(program)-len(filepath.Ext(program))] + ".toml"
			return nil, &problem{exitUsage, fmt.Errorf("%s: no job file found; write %s (staydown setup %s drafts it) or a %s in its folder or a folder above, or name one with --setup",
				program, own, program, jobFileName)}
		}
		path = found
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, &problem{exitUsage, readable(path, err)}
	}
	j, err := job.Parse(filepath.ToSlash(path), data)
	if err != nil {
		return nil, &problem{exitUsage, err}
	}
	if s.margin > 0 {
		j.Limits.Margin = s.margin
	}
	if s.cellMM > 0 {
		j.CellMM = s.cellMM
	}
	return j, nil
}

// parseProgram reads the text as motion, with what the job says of tools, offsets and rates.
func parseProgram(path string, src []byte, j *job.Job, strict bool) *parse.Program {
	opt := parse.Options{
		Name: path, Strict: strict, RapidMMMin: j.Machine.RapidMMMin,
		Tools: map[int]parse.Tool{}, Origins: map[string]parse.Point{}, OpenSub: subprograms(filepath.Dir(path)),
	}
	for n, t := range j.Tools {
		opt.Tools[n] = parse.Tool{DiameterMM: t.DiameterMM, InPath: t.InPath}
	}
	for name, o := range j.Origins {
		opt.Origins[name] = parse.Point{X: o.X, Y: o.Y, Z: o.Z}
	}
	return parse.Read(src, opt)
}

// subprograms opens subprogram files of one folder and nothing outside it, symbolic links that lead out included.
func subprograms(dir string) func(name string) ([]byte, error) {
	return func(name string) ([]byte, error) {
		root, err := os.OpenRoot(dir)
		if err != nil {
			return nil, err
		}
		defer root.Close()
		file, err := root.Open(name)
		if err != nil {
			return nil, err
		}
		defer file.Close()
		if info, err := file.Stat(); err != nil || !info.Mode().IsRegular() {
			return nil, os.ErrNotExist
		}
		return io.ReadAll(io.LimitReader(file, maxProgramBytes))
	}
}

// analyse runs one program through the four rooms.
func analyse(path string, s settings) (*dryRun, *problem) {
	src, p := readProgram(path)
	if p != nil {
		return nil, p
	}
	j, p := readJob(path, s)
	if p != nil {
		return nil, p
	}
	d := &dryRun{path: path, src: src, job: j}
	d.program = parseProgram(path, src, j, s.strict)
	if missing := j.MissingTools(d.program); len(missing) > 0 {
		var all []error
		for _, m := range missing {
			all = append(all, m)
		}
		return nil, &problem{exitUsage, errors.Join(all...)}
	}
	tools := map[int]sweep.Tool{}
	for n, t := range j.Tools {
		tools[n] = t.Tool
	}
	opt := sweep.Options{CellMM: j.CellMM, WebMM: j.WebMM, Jobs: s.jobs}
	if j.Layer != nil {
		opt.LayerMM = j.Layer.ThicknessMM
	}
	rec, err := sweep.Run(d.program.Moves, tools, j.Stock.Stock, opt)
	if err != nil {
		return nil, unanalysed("%s: %v", path, err)
	}
	d.analysis, err = hold.Check(d.program, rec, j, hold.Options{Workers: s.jobs})
	if err != nil {
		return nil, unanalysed("%s: %v", path, err)
	}
	return d, nil
}
