package main

import (
	"cmp"
	"os"
	"path/filepath"

	"staydown/hold/wording"
	"staydown/report/annotate"
)

const annotateHelp = `Writes a copy of the program with a comment at each risky block; the motion is unchanged.
With --ease-feeds the feeds of risky blocks are lowered where that makes them hold; the head of the copy
names every changed F and the verdict of the copy, which also decides the exit status.

Examples:
  staydown annotate panels.nc -o panels.marked.nc --comments semicolon
  staydown annotate panels.nc -o panels.eased.nc --ease-feeds`

func runAnnotate(args []string, s streams) int {
	f := newFlags("annotate", "PROGRAM", annotateHelp, s)
	var set settings
	addAnalysisFlags(f, &set)
	out := f.StringP("out", "o", "", "write to `FILE` (default: NAME.annotated.EXT beside the program; - for "+
		"standard output)")
	style := f.String("comments", "parentheses", "comment `STYLE`: parentheses or semicolon")
	stop := f.Bool("stop-when-free", false, "add an optional stop (M1) at the first retract after each block that "+
		"frees a piece; this changes the program")
	ease := f.Bool("ease-feeds", false, "lower the feeds of risky blocks where that makes them hold, and restore them "+
		"behind; this changes the program")
	force := f.Bool("force", false, "overwrite FILE if it exists")
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() != 1 {
		return misuse(s, "annotate takes one program, not %d arguments", f.NArg())
	}
	styles := map[string]annotate.CommentStyle{"parentheses": annotate.ParenthesisComments,
		"semicolon": annotate.SemicolonComments}
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
	opt := annotate.Options{Style: comments, StopWhenFree: *stop}
	if *ease {
		opt.Before = d.analysis.Result.Verdict
		if d, opt.Eased, p = easeFeeds(d, set, s); p != nil {
			complain(s.err, p)
			return p.status
		}
	}
	d.analysis.AddActions(nil)
	annotated, err := annotate.Program(d.src, d.analysis.Result, opt)
	if err != nil {
		complain(s.err, about(path, "%v", err))
		return exitUnanalysed
	}
	if status := writeCopy(name, annotated, s); status != exitHeld {
		return status
	}
	return statusOf(d.analysis.Result)
}

// writeCopy writes an annotated copy to a file, or to standard output for "-"; it returns exitHeld once that is done.
func writeCopy(name string, annotated []byte, s streams) int {
	if name == "-" {
		if _, err := s.out.Write(annotated); err != nil {
			return broken(s, err)
		}
		return exitHeld
	}
	if err := writeWhole(name, annotated); err != nil {
		complain(s.err, err)
		return exitUsage
	}
	mention(s.err, "wrote %s", filepath.ToSlash(name))
	return exitHeld
}

// easeFeeds lowers the feeds of the risky blocks, runs the program with them and says what came of it.
func easeFeeds(d *dryRun, set settings, s streams) (*dryRun, *annotate.EasedFeeds, *problem) {
	eased, err := annotate.EaseFeeds(d.src, d.program, d.analysis.Result)
	if err != nil {
		return nil, nil, unanalysed(about(d.path, "%v", err))
	}
	for _, why := range eased.WhyLeft() {
		mention(s.err, "the feed stays as it is %s", why)
	}
	if len(eased.Changes) == 0 {
		mention(s.err, "no feed is lowered; verdict: %s", d.analysis.Result.Verdict)
		return d, &eased, nil
	}
	copied, p := analyseEdited(d.path, eased.Text, set)
	if p != nil {
		return nil, nil, p
	}
	mention(s.err, "%s changed; verdict of the program: %s, of the copy: %s",
		wording.Count(len(eased.Changes), "F word", "F words"), d.analysis.Result.Verdict,
		copied.analysis.Result.Verdict)
	return copied, &eased, nil
}
