package main

import (
	"strconv"
	"strings"

	"staydown/parse"
	"staydown/report/words"
)

const whyHelp = `Shows the full calculation at one block: engagement, forces, pressures, areas, each margin.

Example:
  staydown why panels.nc:318`

func runWhy(args []string, s streams) int {
	f := newFlags("why", "PROGRAM:LINE", whyHelp, s)
	var set settings
	addAnalysisFlags(f, &set)
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() != 1 {
		return misuse(s, "why takes one PROGRAM:LINE, not %d arguments", f.NArg())
	}
	path, line, ok := splitLine(f.Arg(0))
	if !ok {
		return misuse(s, "%q has no line number; write PROGRAM:LINE, as in part.nc:412", f.Arg(0))
	}
	d, p := analyse(path, set)
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	working, err := d.analysis.Explain(line)
	if err != nil {
		complain(s.err, &fault{parse.Pos{File: path, Line: line}, err.Error()})
		return exitUsage
	}
	if err := words.Working(s.out, working); err != nil {
		return broken(s, err)
	}
	return exitHeld
}

// splitLine splits "part.nc:412" at its last colon.
func splitLine(arg string) (path string, line int, ok bool) {
	i := strings.LastIndexByte(arg, ':')
	if i <= 0 {
		return "", 0, false
	}
	line, err := strconv.Atoi(arg[i+1:])
	return arg[:i], line, err == nil && line > 0
}
