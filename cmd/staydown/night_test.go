package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"staydown/internal/testrun"
)

// done is what a run of the program left.
type done struct {
	status      int
	out, stderr string
	analysed    []string // programs that were really analysed, in any order
}

// staydown runs the program in dir.
func staydown(t testing.TB, dir string, env []string, args ...string) done {
	t.Helper()
	cmd, trace := prepare(t, dir, env, args...)
	var out, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &stderr
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return done{cmd.ProcessState.ExitCode(), out.String(), stderr.String(), traced(t, trace)}
}

func prepare(t testing.TB, dir string, env []string, args ...string) (cmd *exec.Cmd, trace string) {
	t.Helper()
	trace = filepath.Join(t.TempDir(), "trace")
	cmd = exec.Command("staydown", args...)
	cmd.Dir = dir
	cmd.Env = append(append(os.Environ(), traceVariable+"="+trace), env...)
	return cmd, trace
}

// during starts a run, waits until ready says so and then sends it a signal. It fails the test when the run ends
// before.
func during(t testing.TB, cmd *exec.Cmd, ready func() bool, signal os.Signal) {
	t.Helper()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() {
		_ = cmd.Wait() // its status is the test's to look at
		close(ended)
	}()
	for !ready() {
		select {
		case <-ended:
			t.Fatalf("the run ended before it was to be stopped: %v", cmd.ProcessState)
		case <-time.After(time.Millisecond):
		}
	}
	if err := cmd.Process.Signal(signal); err != nil {
		t.Fatal(err)
	}
	<-ended
}

func traced(t testing.TB, trace string) []string {
	t.Helper()
	data, err := os.ReadFile(trace)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	return strings.Fields(string(data))
}

func tree(t testing.TB, dir string) map[string]string {
	t.Helper()
	files, err := readTree(dir)
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// A whole shop overnight: every program is looked at, a second run answers from what is there, and the parts of a
// shared-out run put together are the same run.
func TestShopOvernight(t *testing.T) {
	all := shopOf(180)
	base := t.TempDir()
	all.write(t, filepath.Join(base, "shop"))
	check := func(out string, more ...string) []string {
		return append([]string{"check", "shop", "-o", out, "--no-pictures", "-j", "2"}, more...)
	}
	first := staydown(t, base, nil, check("first")...)
	want := tree(t, filepath.Join(base, "first"))
	if first.status != exitUnanalysed {
		t.Fatalf("status %d\n%s", first.status, first.stderr)
	}
	rows, err := csv.NewReader(strings.NewReader(want["summary.csv"])).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	verdicts := map[string]int{}
	for _, row := range rows[1:] {
		verdicts[row[1]]++
	}
	programs := len(rows) - 1
	subs := 0 // subprogram files stand in the same folders and are found as programs too
	for i := range all.plates {
		if i%5 == 1 {
			subs++
		}
	}
	if programs != all.programs()+subs {
		t.Errorf("%d programs, want %d and %d subprogram files", programs, all.programs(), subs)
	}
	if len(first.analysed) != programs {
		t.Errorf("%d analyses of %d programs", len(first.analysed), programs)
	}
	for _, k := range malformed() {
		for i := range all.bad {
			if text := fmt.Sprintf("/%s%d.nc: INCOMPLETE.", k.name, i); !strings.Contains(first.out, text) {
				t.Errorf("standard output lacks %q", text)
			}
		}
	}
	if !strings.Contains(first.out, fmt.Sprintf("%d programs: %d loose, %d incomplete, %d at-risk, %d held\n", programs,
		verdicts["loose"], verdicts["incomplete"], verdicts["at-risk"], verdicts["held"])) {
		t.Errorf("closing line does not fit the summary %v", verdicts)
	}
	if verdicts["loose"] == 0 || verdicts["held"] == 0 {
		t.Errorf("a shop without risk or without peace tests little: %v", verdicts)
	}

	host, err := os.Hostname()
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range want {
		if strings.Contains(data, base) || len(host) > 3 && strings.Contains(data, host) {
			t.Errorf("%s tells where it was made", name)
		}
	}

	same := func(name string, got done, dir string) {
		t.Helper()
		if got.status != first.status {
			t.Errorf("%s: status %d, want %d\n%s", name, got.status, first.status, got.stderr)
		}
		if results(got.out) != results(first.out) {
			t.Errorf("%s: standard output differs", name)
		}
		if difference := compareTrees(want, tree(t, filepath.Join(base, dir))); difference != "" {
			t.Errorf("%s: %s", name, difference)
		}
	}

	again := staydown(t, base, nil, check("first")...)
	same("second run", again, "first")
	for _, path := range again.analysed {
		// What cannot be read at all is looked at again, nothing else.
		if base := filepath.Base(path); !strings.HasPrefix(base, "empty") && !strings.HasPrefix(base, "binary") &&
			!strings.HasPrefix(base, "zeros") {
			t.Errorf("%s was run again", path)
		}
	}

	t.Run("shared out", func(t *testing.T) {
		parts := []string{"join", "-o", "joined"}
		analysed := 0
		for k := range 3 {
			dir := fmt.Sprintf("part%d", k)
			env := []string{arrayID + "=" + fmt.Sprint(5+k), arrayMin + "=5", arrayMax + "=7", arrayStep + "=1",
				arrayCount + "=3"}
			one := staydown(t, base, env, check(dir)...)
			if !strings.Contains(one.stderr, fmt.Sprintf("part %d of 3, from %s", k+1, arrayID)) {
				t.Errorf("the part is not told:\n%s", one.stderr)
			}
			analysed += len(one.analysed)
			if len(one.analysed) < programs/6 {
				t.Errorf("part %d has %d of %d programs", k+1, len(one.analysed), programs)
			}
			parts = append([]string{"join", dir}, parts[1:]...)
		}
		if analysed != programs {
			t.Errorf("%d analyses of %d programs", analysed, programs)
		}
		joined := staydown(t, base, nil, parts...)
		same("joined", joined, "joined")
		if len(joined.analysed) != 0 {
			t.Errorf("join analysed %v", joined.analysed)
		}

		missing := staydown(t, base, nil, "join", "part0", "part2", "-o", "lacking", "-q")
		if missing.status != exitUnanalysed || !strings.Contains(missing.stderr,
			"part 2 of 3 is missing") {
			t.Errorf("status %d\n%s", missing.status, missing.stderr)
		}
	})

	t.Run("damaged records", func(t *testing.T) {
		dir := filepath.Join(base, "first", ".staydown", "programs")
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for i, e := range entries[:6] {
			path := filepath.Join(dir, e.Name())
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			switch i % 3 {
			case 0:
				data[len(data)/2] ^= 4
			case 1:
				data = data[:len(data)/3]
			case 2:
				data = nil
			}
			if err := os.WriteFile(path, data, 0o666); err != nil {
				t.Fatal(err)
			}
		}
		mended := staydown(t, base, nil, check("first")...)
		same("damaged records", mended, "first")
		if n := len(mended.analysed); n < 6 || n > 12 {
			t.Errorf("%d analyses for 6 damaged records", n)
		}
	})
}

// A run that is killed half-way (by a signal that no process can catch) goes on from there, and ends with the same
// files as one that was left alone.
func TestKilledRunGoesOn(t *testing.T) {
	base := t.TempDir()
	shop{0, testrun.Draws(5, 60)}.write(t, filepath.Join(base, "shop"))
	args := func(out string) []string { return []string{"check", "shop", "-o", out, "--no-pictures", "-j", "2"} }
	alone := staydown(t, base, nil, args("alone")...)
	programs := len(alone.analysed)

	// One program never ends, so that the run cannot be over before the kill, however long that takes to come.
	hangs := filepath.Join(base, "shop", "mon", "hangs.nc")
	if err := os.WriteFile(hangs, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	cmd, trace := prepare(t, base, nil, args("killed")...)
	during(t, cmd, func() bool {
		entries, err := os.ReadDir(filepath.Join(base, "killed", ".staydown", "programs"))
		return err == nil && len(entries) >= programs/3
	}, os.Kill)
	if cmd.ProcessState.ExitCode() >= 0 {
		t.Fatalf("it was not killed: %v", cmd.ProcessState)
	}
	if _, err := os.Stat(filepath.Join(base, "killed", "summary.csv")); err == nil {
		t.Fatal("it closed before all programs were done")
	}
	if err := os.Remove(hangs); err != nil {
		t.Fatal(err)
	}
	before := len(traced(t, trace))
	rest := staydown(t, base, nil, args("killed")...)
	if rest.status != alone.status || results(rest.out) != results(alone.out) {
		t.Errorf("status %d, want %d; standard output the same: %t\n%s", rest.status, alone.status,
			results(rest.out) == results(alone.out), rest.stderr)
	}
	if difference := compareTrees(tree(t, filepath.Join(base, "alone")),
		tree(t, filepath.Join(base, "killed"))); difference != "" {
		t.Error(difference)
	}
	// Of those begun at most two were not done: the one that hangs and the one under way.
	if len(rest.analysed) > programs-(before-2) {
		t.Errorf("%d of %d programs were done before, %d after", before, programs, len(rest.analysed))
	}
}

// results is standard output without the last line, which names the folder.
func results(out string) string {
	return regexp.MustCompile(`(?m)^open .* first\n`).ReplaceAllString(out, "")
}
