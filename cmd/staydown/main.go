// Command staydown checks whether a vacuum table holds every piece while a posted RS-274 program runs.
//
//	arguments -> find programs -> worker: parse, sweep, hold, report -> terminal, output folder, exit status
//	                              (one process per program)
//
// Exit status, the same for every output format: 0 everything holds with the required margin, 1 at least one finding, 2
// wrong usage or job file, 3 a program could not be analyzed (the others were). The highest one applies.
//
// It knows nothing of how programs are read or holds computed; the packages below it do.
package main

import (
	"fmt"
	"io"
	"os"
	"os/signal"
	"staydown/hold/wording"
	"strings"
	"syscall"
)

// version is printed by --version and stored in results and caches.
const version = "0.1.0"

// Exit statuses, worst last.
const (
	exitHeld       = 0
	exitFinding    = 1
	exitUsage      = 2
	exitUnanalysed = 3
)

// streams are standard input, output and error; tests use buffers.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// command is a subcommand.
type command struct {
	name, args, does string
	run              func(args []string, s streams) int
}

func commands() []command {
	return []command{
		{"check", "PATH...", "dry-run programs or folders of programs and report; the main job", runCheck},
		{"annotate", "PROGRAM", "write a copy of the program with a comment at each risky block; motion unchanged",
			runAnnotate},
		{"why", "PROGRAM:LINE", "show the full calculation at one block", runWhy},
		{"vary", "PROGRAM KEY=VALUES...", "what if: check a program with several values of its job", runVary},
		{"chart", "JOB", "draw what holds on a table: the smallest part by depth and feed of the closing pass",
			runChart},
		{"setup", "PROGRAM", "draft a job file for a program, to fill in", runSetup},
		{"outline", "DRAWING", "say which parts of a drawing would hold, before there is a program", runOutline},
		{"record", "PROGRAM", "keep what happened at the machine (held, moved, gauge); later checks learn from it",
			runRecord},
		{"join", "OUT...", "combine the output folders of a run that was split with --shard", runJoin},
		{"materials", "", "list the built-in material, layer and pump data with the source of each figure",
			runMaterials},
	}
}

func main() { os.Exit(runCommand(os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr}, analyse)) }

// runCommand runs the command line and returns its exit status; work is what workers run.
func runCommand(args []string, s streams, work analyser) int {
	// A closed pipe (staydown check ... | head) is an error to report, not a reason to die half-way.
	signal.Ignore(syscall.SIGPIPE)
	if len(args) == 0 {
		usage(s.err)
		return exitUsage
	}
	switch args[0] {
	case workerVerb:
		return serveRequests(s, work)
	case "-h", "--help", "help":
		usage(s.out)
		return exitHeld
	case "--version", "version":
		fmt.Fprintln(s.out, "staydown", version)
		return exitHeld
	}
	for _, c := range commands() {
		if c.name == args[0] {
			return c.run(args[1:], s)
		}
	}
	names := make([]string, 0, len(commands()))
	for _, c := range commands() {
		names = append(names, c.name)
	}
	if near, distance := wording.Nearest(args[0], names); distance <= wording.CloseEnough(args[0]) {
		return misuse(s, "%q is not a command; did you mean %s?", args[0], near)
	}
	return misuse(s, "%q is not a command; use one of %s", args[0], strings.Join(names, ", "))
}

// misuse reports wrong usage and returns its exit status.
func misuse(s streams, format string, args ...any) int {
	complain(s.err, fmt.Errorf(format, args...))
	fmt.Fprintln(s.err, "try: staydown --help")
	return exitUsage
}

func usage(w io.Writer) {
	fmt.Fprint(w, `staydown checks whether a vacuum table holds every piece while a posted RS-274 program runs.

usage: staydown COMMAND [FLAGS] [ARGUMENTS]

`)
	for _, c := range commands() {
		fmt.Fprintf(w, "  %-10s %-21s %s\n", c.name, c.args, c.does)
	}
	fmt.Fprint(w, `
  staydown COMMAND --help lists the flags of a command; staydown --version prints the version.

example:
  staydown setup part.nc && edit part.toml && staydown check part.nc -o out

exit status: 0 everything holds with the required margin, 1 at least one finding, 2 wrong usage or job file,
3 a program could not be analyzed (the others were); the highest one applies.
`)
}
