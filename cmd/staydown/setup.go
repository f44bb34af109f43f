package main

import (
	"os"

	"staydown/hold/job"
	"staydown/parse"
)

func runSetup(args []string, s streams) int {
	f := newFlags("setup", "PROGRAM", "Drafts a job file for a program on standard output: extents, tools, feeds "+
		"found, everything else marked to fill in.", s)
	out := f.StringP("out", "o", "", "write to `FILE` instead of standard output")
	force := f.Bool("force", false, "overwrite FILE if there is one")
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() != 1 {
		return misuse(s, "setup takes one program, not %d arguments", f.NArg())
	}
	path := f.Arg(0)
	src, p := readProgram(path)
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	draft := job.Draft(parse.Read(src, parse.Options{Name: path}), path)
	if *out != "" {
		if p := sparing(path, *out); p != nil {
			complain(s.err, p)
			return p.status
		}
		if _, err := os.Lstat(*out); err == nil && !*force {
			complain(s.err, about(*out, "is there already and may hold your own figures; choose another file, or "+
				"overwrite it with --force"))
			return exitUsage
		}
		if err := writeWhole(*out, draft); err != nil {
			complain(s.err, err)
			return exitUsage
		}
		return exitHeld
	}
	if _, err := s.out.Write(draft); err != nil {
		return broken(s, err)
	}
	return exitHeld
}
