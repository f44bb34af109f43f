package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"staydown/hold/job"
)

// traceVariable names a file to which every analysis of a test appends the path of its program.
const traceVariable = "STAYDOWN_TEST_TRACE"

func TestMain(m *testing.M) {
	testscript.Main(lightly{m}, map[string]func(){
		"staydown": func() {
			becomePlain()
			os.Exit(runCommand(os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr}, faulty))
		},
	})
}

// faulty is analyse, but programs of certain names do to it what a fault of the analysis would.
func faulty(path string, s settings) (*dryRun, *problem) {
	if trace := os.Getenv(traceVariable); trace != "" {
		if file, err := os.OpenFile(trace, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o666); err == nil {
			fmt.Fprintln(file, path)
			file.Close()
		}
	}
	switch filepath.Base(path) {
	case "panics.nc":
		go func() {
			var nothing []int
			_ = nothing[len(path)] // in a goroutine of its own, where no caller can recover it
		}()
		select {}
	case "hangs.nc":
		for n := uint8(0); n < 255; n = (n + 1) & 127 { // busy without end
		}
	case "swells.nc":
		var heap [][]byte
		for {
			b := make([]byte, 1<<20)
			for i := range b {
				b[i] = 1
			}
			heap = append(heap, b)
			_ = heap
		}
	case "leaves.nc":
		os.Exit(exitHeld) // a success without an answer
	case "babbles.nc":
		fmt.Print("held, held, held")
		os.Exit(exitHeld)
	case "stumbles.nc":
		os.Exit(exitFinding)
	case "dies.nc":
		if self, err := os.FindProcess(os.Getpid()); err == nil {
			_ = self.Kill() // as the system does for lack of memory
		}
		select {}
	}
	return analyse(path, s)
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		RequireExplicitExec: true,
		Setup: func(env *testscript.Env) error {
			env.Setenv(raceVariable, os.Getenv(raceVariable))
			env.Setenv(plainVariable, os.Getenv(plainVariable))
			return os.CopyFS(filepath.Join(env.WorkDir, "small"), os.DirFS(filepath.Join("testdata", "small")))
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"exits": exits, "lines": lines, "samefiles": sameFiles, "absent": absent, "fill": fill,
		},
		Condition: func(cond string) (bool, error) {
			if cond == "fullfs" {
				_, err := os.Stat("/dev/full")
				return err == nil, nil
			}
			return false, fmt.Errorf("unknown condition %q", cond)
		},
	})
}

// exits runs a program and compares its exit status: exits CODE program...
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE program...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%s: %v", args[1], err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("%s exits %d, want %d", strings.Join(args[1:], " "), got, want)
	}
}

// lines counts the lines of a file: lines N file.
func lines(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: lines N file")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	if got := strings.Count(ts.ReadFile(args[1]), "\n"); (got == want) == neg {
		ts.Fatalf("%s has %d lines", args[1], got)
	}
}

// fill writes values in place of the marks of a drafted job file, in order, and demands as many: fill file value...
func fill(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: fill file value...")
	}
	text := ts.ReadFile(args[0])
	if n := strings.Count(text, job.Fill); n != len(args)-1 {
		ts.Fatalf("%s has %d marks for %d values", args[0], n, len(args)-1)
	}
	for _, value := range args[1:] {
		text = strings.Replace(text, job.Fill, value, 1)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o666))
}

// sameFiles compares two folders: samefiles dir1 dir2.
func sameFiles(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: samefiles dir1 dir2")
	}
	a, err := readTree(ts.MkAbs(args[0]))
	ts.Check(err)
	b, err := readTree(ts.MkAbs(args[1]))
	ts.Check(err)
	if difference := compareTrees(a, b); (difference == "") == neg {
		ts.Fatalf("%s and %s: %s", args[0], args[1], difference)
	}
}

// absent demands that no file below a folder has a name that matches: absent dir pattern.
func absent(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: absent dir pattern")
	}
	tree, err := readTree(ts.MkAbs(args[0]))
	if errors.Is(err, os.ErrNotExist) {
		return
	}
	ts.Check(err)
	for name := range tree {
		if ok, err := filepath.Match(args[1], filepath.Base(name)); err != nil || ok {
			ts.Fatalf("%s is there", name)
		}
	}
}
