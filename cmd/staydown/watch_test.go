//go:build unix

package main

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

// A watching check runs again when the program is saved, when a job file appears, and ends with the status of the last
// run on Ctrl-C.
func TestWatchRunsAgainOnSaving(t *testing.T) {
	base := small(t, 1)
	program := filepath.Join(base, "small", "frees.nc")
	cmd, trace := prepare(t, base, nil, "check", "small/frees.nc", "--watch", "-q", "--no-progress")
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	// untilWaiting gives what one run prints.
	untilWaiting := func() string {
		var text strings.Builder
		for lines.Scan() {
			if strings.Contains(lines.Text(), ": waiting for a saved program or job file; Ctrl-C ends") {
				return text.String()
			}
			text.WriteString(lines.Text() + "\n")
		}
		t.Fatalf("the run ended: %s", text.String())
		return ""
	}
	save := func(path, text string) {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if text := untilWaiting(); !strings.Contains(text, "small/frees.nc:10: error: piece 2 ") {
		t.Errorf("first run: %s", text)
	}
	src, err := os.ReadFile(program)
	if err != nil {
		t.Fatal(err)
	}
	save(filepath.Join(base, "small", "notes.txt"), "no program") // nothing happens
	save(program, "(saved)\n"+string(src))
	if text := untilWaiting(); !strings.HasPrefix(text, "small/frees.nc: saved\n") ||
		!strings.Contains(text, "small/frees.nc:11: error: piece 2 ") {
		t.Errorf("after saving the program, whose lines are one further down: %s", text)
	}
	save(filepath.Join(base, "small", "frees.toml"), "[report]\nunits = \"inch\"\n")
	if text := untilWaiting(); !strings.HasPrefix(text, "small/frees.toml: saved\n") || !strings.Contains(text,
		" lbf,") {
		t.Errorf("after a job file appeared: %s", text)
	}
	// A worker that is gone is no reason to end: another one takes its place.
	killChildren(t, cmd.Process.Pid)
	save(program, "(saved)\n(again)\n"+string(src))
	if text := untilWaiting(); !strings.Contains(text, "small/frees.nc:12: error: piece 2 ") {
		t.Errorf("after the worker was killed: %s", text)
	}
	if err := cmd.Process.Signal(syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	for lines.Scan() {
		t.Errorf("after the interrupt: %s", lines.Text())
	}
	_ = cmd.Wait() // its status is looked at
	if got := cmd.ProcessState.ExitCode(); got != exitFinding {
		t.Errorf("status %d, want %d", got, exitFinding)
	}
	if got := traced(t, trace); len(got) != 4 {
		t.Errorf("analyzed %v, want 4 runs", got)
	}
}

// killChildren kills the processes that one has started, where the system lists them.
func killChildren(t *testing.T, pid int) {
	t.Helper()
	list, err := os.ReadFile(fmt.Sprintf("/proc/%d/task/%[1]d/children", pid))
	if err != nil {
		t.Logf("no list of processes: %v", err)
		return
	}
	for _, child := range strings.Fields(string(list)) {
		n, err := strconv.Atoi(child)
		if err != nil {
			t.Fatal(err)
		}
		if err := syscall.Kill(n, syscall.SIGKILL); err != nil {
			t.Fatal(err)
		}
	}
}
