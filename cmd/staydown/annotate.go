package main

import (
	"cmp"
	"os"
	"path/filepath"

	"staydown/report"
)

const annotateHelp = `Writes a copy of the program with a comment at each risky block; the motion is unchanged.

Example:
  staydown annotate panels.nc -o panels.marked.nc --comments semicolon`

func runAnnotate(args []string, s streams) int {
	f := newFlags("annotate", "PROGRAM", annotateHelp, s)
	var set settings
	addAnalysisFlags(f, &set)
	out := f.StringP("out", "o", "", "write to `FILE` (default: NAME.annotated.EXT beside the program; - for "+
		"standard output)")
	style := f.String("comments", "parentheses", "comment `STYLE`: parentheses or semicolon")
	stop := f.Bool("stop-when-free", false, "add an optional stop (M1) at the first retract after each block that "+
		"frees a piece; this changes the program")
	force := f.Bool("force", false, "overwrite FILE if it exists")
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() != 1 {
		return misuse(s, "annotate takes one program, not %d arguments", f.NArg())
	}
	styles := map[string]report.CommentStyle{"parentheses": report.ParenthesisComments,
		"semicolon": report.SemicolonComments}
	comments, known := styles[*style]
	if !known {
		return misuse(s, "--comments %q is unknown; use parentheses or semicolon", *style)
	}
	path := f.Arg(0)
	name := cmp.Or(*out, annotatedName(path, path))
	if p := refuseOverwrite(path, name); p != nil {
		complain(s.err, p)
		return p.status
	}
	if _, err := os.Lstat(name); err == nil && name != "-" && !*force {
		complain(s.err, about(name, "already exists; choose another file with -o, or overwrite it with --force"))
		return exitUsage
	}
	d, p := analyse(path, set)
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	d.analysis.AddActions()
	annotated, err := report.Annotate(d.src, d.analysis.Result, report.AnnotateOptions{Style: comments,
		StopWhenFree: *stop})
	if err != nil {
		complain(s.err, about(path, "%v", err))
		return exitUnanalysed
	}
	status := statusOf(d.analysis.Result)
	if name == "-" {
		if _, err := s.out.Write(annotated); err != nil {
			return broken(s, err)
		}
		return status
	}
	if err := writeWhole(name, annotated); err != nil {
		complain(s.err, err)
		return exitUsage
	}
	mention(s.err, "wrote %s", filepath.ToSlash(name))
	return status
}
