package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
)

// Wrong usage says what to do instead, prints nothing else, and exits with 2.
func TestWrongUsage(t *testing.T) {
	t.Chdir("testdata")
	for _, c := range []struct {
		args string // between single spaces
		says string // on standard error
	}{
		{"", "usage: staydown COMMAND"},
		{"chekc small/scores.nc", `"chekc" is not a command; did you mean check?`},
		{"explain small/scores.nc:4", `"explain" is not a command; use one of check, annotate`},
		{"check", "check needs at least one program or folder"},
		{"check --fromat json small", "unknown flag: --fromat; did you mean --format?"},
		{"check --fromat json small", "try: staydown check --help"},
		{"check --format xml small", `--format "xml" is unknown; use text, json, sarif or csv`},
		{"check -j 0 small", "--jobs 0 is too few; use 1 or more"},
		{"check --limit -3s small", "--limit -3s is negative"},
		{"check --memory 2 small", `--memory "2" has no unit; write 2GiB or 800MiB`},
		{"check --margin -1 small", `"--margin" flag: -1 is out of range; write a number at least 1 and at most 1000`},
		{"annotate --margin 0.5 small/frees.nc",
			`"--margin" flag: 0.5 is out of range; write a number at least 1 and at most 1000`},
		{"why --margin two small/frees.nc:7",
			`"--margin" flag: two is not a plain decimal number; write digits and a point`},
		{"check --margin= small", `"--margin" flag: the number is missing; write a number at least 1 and at most 1000`},
		{"check --cell 0.5 small", `"--cell" flag: "0.5" has no unit; write "0.5 mm"`},
		{"check --cell 0.001mm small",
			`"--cell" flag: "0.001mm" is out of range; write at least 0.01 mm and at most 50 mm`},
		{"check --cell 51mm small", `"--cell" flag: "51mm" is out of range`},
		{"check --setup= small", `"-s, --setup" flag: the name is empty; name a job file or leave the flag out`},
		{"check ", "staydown: error: an argument is empty; name a file or folder"},
		{"check small -o ", "staydown: error: --out is empty; give it a value or leave it out"},
		{"join small -o ", "--out is empty"},
		{"annotate small/frees.nc -o ", "--out is empty"},
		{"setup small/frees.nc --out=", "--out is empty"},
		{"check small --baseline= --shard=", "is empty; give it a value"},
		{"why ", "an argument is empty"},
		{"check --shard 0/4 small", `--shard "0/4" is not K/N with K from 1 to N`},
		{"check --shard 5/4 small", `--shard "5/4" is not K/N with K from 1 to N`},
		{"why small/scores.nc", "has no line number; write PROGRAM:LINE"},
		{"annotate", "annotate takes one program"},
		{"annotate --comments braces small/scores.nc", "use parentheses or semicolon"},
		{"setup small", "small: error: is a folder; name one program in it"},
		{"materials aluminium", "materials takes no arguments"},
		{"join small", "join needs -o DIR"},
		{"chart", "takes one job file, not 0"},
		{"chart small/staydown.toml --tool 7", "the job has no tool 7"},
		{"chart small/staydown.toml --open-share 95", "from 0 to 90"},
		{"chart small/staydown.toml --thickness 3", "thickness"},
		{"chart none.toml", "none.toml"},
		{"vary small/frees.nc", "at least one KEY=VALUES"},
		{"vary small/frees.nc pump.flow", "no equals sign"},
		{"vary small/frees.nc pump.flow=40m3/h;", "an empty value"},
		{"vary small/frees.nc pump.flwo=40m3/h", "the nearest known one is pump.flow"},
		{"vary small/frees.nc pump.flow=40m3/h --set pump.flow=50m3/h", "give the same value"},
		{"vary small/frees.nc limits.margin=1;2 --margin 2", "--margin and --set limits.margin give the same value"},
		{"record small/frees.nc", "nothing is said to have happened"},
		{"record small/frees.nc --moved seven", "write the number of the piece"},
		{"record small/frees.nc --gauge 600mbar", "write reading and line"},
		{"record small/frees.nc --held --moved 2", "do not go together"},
		{"record small/frees.nc --held --date yesterday", "is no day"},
		{"check small/frees.nc --since soon", "this is no day"},
		{"why small/frees.nc:9 --set pump.flow=40", `--set pump.flow=40: error: flow: 40 has no unit; write "40 m3/h"`},
		{"check small/frees.nc --set pump.flow", "no equals sign"},
		{"why small/frees.nc:9 --margin 2 --set limits.margin=3", "--margin and --set limits.margin give the same " +
			"value; write only one of them"},
	} {
		var args []string // an empty one stands behind a space at the end
		if c.args != "" {
			args = strings.Split(c.args, " ")
		}
		got := usedHere(t, args...)
		if got.status != exitUsage || got.out != "" || !strings.Contains(got.stderr, c.says) {
			t.Errorf("staydown %s: status %d, standard error %q lacks %q; standard output %q", c.args, got.status,
				got.stderr, c.says, got.out)
		}
	}
}

// Help goes to standard output and is no mistake.
func TestHelpIsNoMistake(t *testing.T) {
	t.Chdir("testdata")
	for args, says := range map[string]string{"--help": "exit status: 0", "check --help": "--baseline FILE",
		"--version": "staydown " + version} {
		got := usedHere(t, strings.Split(args, " ")...)
		if got.status != exitHeld || got.stderr != "" || !strings.Contains(got.out, says) {
			t.Errorf("staydown %s: status %d, standard output %q, standard error %q", args, got.status, got.out,
				got.stderr)
		}
	}
}

// usedHere runs a command line that analyzes nothing, without a process of its own.
func usedHere(t *testing.T, args ...string) done {
	t.Helper()
	name := os.Args[0]
	os.Args[0] = "staydown" // what a worker is told to be, should one be started
	defer func() { os.Args[0] = name }()
	var out, stderr bytes.Buffer
	status := runCommand(args, streams{strings.NewReader(""), &out, &stderr}, analyse)
	return done{status: status, out: out.String(), stderr: stderr.String()}
}
