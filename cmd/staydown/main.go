// Command staydown tells whether a vacuum table holds every piece while a posted RS-274 program runs.
//
// Every program is analysed in a process of its own, which this command starts from itself.
//
// Exit status: 0 when everything holds with the asked-for margin, 1 when there is at least one finding, 2 for
// wrong usage or a wrong job file, 3 when a program could not be analysed (the others still were). The highest one
// wins, whatever the output format.
package main

import (
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
)

// version is what --version prints and what results and caches carry.
const version = "0.1.0"

// Exit statuses, worst last.
const (
	exitHeld       = 0
	exitFinding    = 1
	exitUsage      = 2
	exitUnanalysed = 3
)

// streams are the three doors of a command line program; tests put buffers there.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// command is one verb of the command line.
type command struct {
	name, args, does string
	run              func(args []string, s streams) int
}

func commands() []command {
	return []command{
		{"check", "PATH...", "dry-run programs or folders of programs and report; the main job", runCheck},
		{"annotate", "PROGRAM", "write a copy of the program with a comment at every risky block; motion unchanged",
			runAnnotate},
		{"why", "PROGRAM:LINE", "show the full working at one block", runWhy},
		{"setup", "PROGRAM", "draft a job file for a program, to be filled in", runSetup},
		{"join", "OUT...", "put the output folders of the parts of a shared-out run together", runJoin},
		{"materials", "", "list the built-in material, layer and pump data with the source of each figure",
			runMaterials},
	}
}

func main() { os.Exit(obey(os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr}, analyse)) }

// obey does what the command line asks for; work is what workers do.
func obey(args []string, s streams, work analyser) int {
	// A reader that goes away (staydown check ... | head) is an error to report, not a reason to die half-way.
	signal.Ignore(syscall.SIGPIPE)
	if len(args) == 0 {
		usage(s.err)
		return exitUsage
	}
	switch args[0] {
	case workerVerb:
		return runWorker(s, work)
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
	return misuse(s, "%q is not a command; use one of %v", args[0], names)
}

// misuse reports wrong usage and gives its exit status.
func misuse(s streams, format string, args ...any) int {
	complain(s.err, fmt.Errorf(format, args...))
	fmt.Fprintln(s.err, "try: staydown --help")
	return exitUsage
}

func usage(w io.Writer) {
	fmt.Fprint(w, `staydown tells whether a vacuum table holds every piece while a posted RS-274 program runs.

usage: staydown COMMAND [FLAGS] [ARGUMENTS]

`)
	for _, c := range commands() {
		fmt.Fprintf(w, "  %-10s %-13s %s\n", c.name, c.args, c.does)
	}
	fmt.Fprint(w, `
  staydown COMMAND --help lists the flags of a command; staydown --version prints the version.

exit status: 0 everything holds with the asked-for margin, 1 at least one finding, 2 wrong usage or job file,
3 a program could not be analysed (the others still were); the highest one wins.
`)
}
