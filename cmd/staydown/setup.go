package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/parse"
	"staydown/parse/units"
)

const setupHelp = `Drafts a job file for a program: extents, tools and feeds from the program and its comments. Everything else that
the shop's staydown.toml does not give is marked to fill in.

Example:
  staydown setup panels.nc && edit panels.toml && staydown check panels.nc`

func runSetup(args []string, s streams) int {
	f := newFlags("setup", "PROGRAM", setupHelp, s)
	out := f.StringP("out", "o", "", "write to `FILE` (default: the program's own name with .toml; - for standard "+
		"output)")
	var system units.System
	f.Func("units", unitsUsage, func(text string) error {
		var ok bool
		if system, ok = units.Named(text); !ok {
			return errNoUnits
		}
		return nil
	})
	force := f.Bool("force", false, "overwrite FILE if it exists")
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() != 1 {
		return misuse(s, "setup takes one program, not %d arguments", f.NArg())
	}
	path := f.Arg(0)
	name := *out
	if name == "" {
		name = ownJobFile(path)
	}
	if p := refuseDraft(path, name, *force); p != nil {
		complain(s.err, p)
		return p.status
	}
	draft, p := draftFor(path, name, system)
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	shown := filepath.ToSlash(name)
	if name == "-" {
		shown = "draft"
		if _, err := s.out.Write(draft.Text); err != nil {
			return broken(s, err)
		}
	} else if err := writeWhole(name, draft.Text); err != nil {
		complain(s.err, err)
		return exitUsage
	} else {
		mention(s.err, "wrote %s; values left to fill in: %d", shown, len(draft.Left))
	}
	for _, l := range draft.Left {
		fmt.Fprintln(s.err, gnuLine(fmt.Sprintf("%s:%d", shown, l.Line), result.LevelNote, l.Key+": "+l.Why))
	}
	return exitHeld
}

// refuseDraft returns a problem if the draft would overwrite the program or a file that may be filled in.
func refuseDraft(program, name string, force bool) *problem {
	if name == "-" {
		return nil
	}
	if p := refuseOverwrite(program, name); p != nil {
		return p
	}
	if _, err := os.Lstat(name); err == nil && !force {
		return misused(about(name, "already exists and may hold your own figures; choose another file with -o, or "+
			"overwrite it with --force"))
	}
	return nil
}

// draftFor drafts the job file called name for a program, beside what the shop's files give.
func draftFor(program, name string, system units.System) (*job.Draft, *problem) {
	src, p := readProgram(program)
	if p != nil {
		return nil, p
	}
	paths, err := findShopFiles(filepath.Dir(program))
	if err != nil {
		return nil, misused(about(program, "its folder cannot be found; give the program by its full path"))
	}
	paths = slices.DeleteFunc(paths, func(path string) bool { return sameFile(path, name) })
	shop, p := readFiles(paths)
	if p != nil {
		return nil, p
	}
	draft, err := job.NewDraft(parse.Read(src, parse.Options{Name: program}), src, program, system, shop...)
	if err != nil {
		return nil, &problem{status: exitUsage, err: err}
	}
	return draft, nil
}
