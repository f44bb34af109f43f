//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"unicode/utf8"

	"staydown/cmd/staydown/store"
	"staydown/internal/testrun"
)

// Ctrl-C ends a run cleanly: workers are ended, what is done is kept and told, the rest counts as not analysed.
func TestInterruptKeepsWhatIsDone(t *testing.T) {
	base := small(t, 2)
	// It comes second by name and never ends, so that the others are done or waiting when the interrupt comes.
	if err := os.Rename(filepath.Join(base, "small", "zfrees.nc"), filepath.Join(base, "small",
		"hangs.nc")); err != nil {
		t.Fatal(err)
	}
	cmd, _ := prepare(t, base, nil, "check", "small", "-o", "out", "--no-pictures", "-j", "1")
	var out, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &stderr
	during(t, cmd, func() bool {
		_, err := os.Stat(filepath.Join(base, "out", filepath.FromSlash(entryName("frees"))))
		return err == nil
	}, syscall.SIGINT)
	if got := cmd.ProcessState.ExitCode(); got != exitUnanalysed {
		t.Errorf("status %d, want %d\n%s", got, exitUnanalysed, stderr.String())
	}
	const text = "the run was stopped: 3 of 4 programs were not analyzed; run the same command to resume"
	if !strings.Contains(stderr.String(), text) {
		t.Errorf("standard error lacks %q:\n%s", text, stderr.String())
	}
	files := tree(t, filepath.Join(base, "out"))
	if !strings.Contains(files["summary.csv"], "small/frees.nc,loose") || !strings.Contains(files["summary.csv"],
		"small/scores.nc,incomplete") {
		t.Errorf("summary:\n%s", files["summary.csv"])
	}
	for name := range files {
		if strings.Contains(name, "/tmp/") {
			t.Errorf("%s was left behind", name)
		}
	}
	if err := os.Remove(filepath.Join(base, "small", "hangs.nc")); err != nil {
		t.Fatal(err)
	}
	rest := staydown(t, base, nil, "check", "small", "-o", "out", "--no-pictures", "-j", "1")
	if rest.status != exitFinding || len(rest.analysed) != 2 {
		t.Errorf("status %d, analysed %v\n%s", rest.status, rest.analysed, rest.stderr)
	}
}

// A worker whose run is gone does not live on.
func TestWorkerEndsWithItsRun(t *testing.T) {
	base := small(t, 1)
	if err := os.Rename(filepath.Join(base, "small", "frees.nc"), filepath.Join(base, "small",
		"hangs.nc")); err != nil {
		t.Fatal(err)
	}
	cmd, _ := prepare(t, base, nil, workerVerb)
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	if err := json.NewEncoder(in).Encode(request{Path: []byte("small/hangs.nc"), Jobs: 1}); err != nil {
		t.Fatal(err)
	}
	in.Close() // as when the run is killed
	_ = cmd.Wait()
	if got := cmd.ProcessState.ExitCode(); got != workerParentGone {
		t.Errorf("status %d, want %d", got, workerParentGone)
	}
}

func TestTwoRunsExcludeEachOther(t *testing.T) {
	base := small(t, 1)
	folder, err := store.Open(filepath.Join(base, "out"))
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	t.Run("side by side", func(t *testing.T) { // each waits a while for the other run to end
		for _, args := range [][]string{{"check", "small", "-o", "out"}, {"join", "out", "-o", "all"}} {
			t.Run(args[0], func(t *testing.T) {
				t.Parallel()
				got := staydown(t, base, nil, args...)
				if got.status != exitUsage || len(got.analysed) > 0 || got.out != "" {
					t.Errorf("status %d, analysed %v", got.status, got.analysed)
				}
				if !strings.HasPrefix(got.stderr, "out: error: ") || !strings.Contains(got.stderr, "writing there; ") {
					t.Error(got.stderr)
				}
			})
		}
	})
}

// A reader that goes away (staydown check ... | head -1) costs nothing but the rest of the text: files are complete.
func TestReaderThatGoesAway(t *testing.T) {
	for _, c := range []struct{ name, out, says string }{
		{"without files", "", "standard output was closed before everything was written; give -o DIR to keep the " +
			"results " +
			"in files"},
		{"with files", "out", "standard output was closed before everything was written; the files in out will be " +
			"complete"},
	} {
		t.Run(c.name, func(t *testing.T) {
			base := small(t, 1)
			args := []string{"check", "small", "-j", "1", "--no-pictures"}
			if c.out != "" {
				args = append(args, "-o", c.out)
			}
			cmd, _ := prepare(t, base, nil, args...)
			var stderr bytes.Buffer
			cmd.Stderr = &stderr
			r, w, err := os.Pipe()
			if err != nil {
				t.Fatal(err)
			}
			cmd.Stdout = w
			r.Close() // before the first word, so that the order of things does not depend on the machine's load
			_ = cmd.Run()
			w.Close()
			if got := cmd.ProcessState.ExitCode(); got != exitUnanalysed {
				t.Errorf("status %d, want %d", got, exitUnanalysed)
			}
			if !strings.Contains(stderr.String(), c.says) {
				t.Errorf("standard error: %s", stderr.String())
			}
			if c.out == "" {
				return
			}
			whole := staydown(t, base, nil, "check", "small", "-o", "whole", "--no-pictures")
			if difference := compareTrees(tree(t, filepath.Join(base, "whole")),
				tree(t, filepath.Join(base, "out"))); difference != "" {
				t.Errorf("status of the whole run %d: %s", whole.status, difference)
			}
		})
	}
}

// mounted mounts a file system of its own on dir, if this user may.
func mounted(t *testing.T, dir, options string) {
	t.Helper()
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	if err := mountTmpfs(dir, options); err != nil {
		t.Skipf("this user may not mount a file system: %v", err)
	}
	t.Cleanup(func() {
		if err := unmount(dir); err != nil {
			t.Error(err)
		}
	})
}

// A disk that fills up ends the run with a clear message and no partial file; with room it goes on.
func TestFullDisk(t *testing.T) {
	testrun.NotForRaces(t)
	base := small(t, 2)
	disk := filepath.Join(base, "disk")
	mounted(t, disk, "size=256k")
	full := staydown(t, base, nil, "check", "small", "-o", "disk/out", "-j", "1", "--no-pictures", "-q")
	if full.status != exitUnanalysed {
		t.Errorf("status %d, want %d", full.status, exitUnanalysed)
	}
	if !strings.Contains(full.stderr, "the disk is full; free some space and run again") {
		t.Errorf("standard error: %s", full.stderr)
	}
	plenty := staydown(t, base, nil, "check", "small", "-o", "plenty", "-j", "1", "--no-pictures", "-q")
	want := tree(t, filepath.Join(base, "plenty"))
	for name, data := range tree(t, filepath.Join(disk, "out")) {
		if strings.HasPrefix(name, store.StateDir+"/tmp") {
			t.Errorf("%s was left behind", name)
		}
		if data != want[name] && filepath.Base(name) == name && strings.Contains(name, ".nc") {
			t.Errorf("%s is not whole", name)
		}
	}
	if err := remount(disk, "size=64m"); err != nil {
		t.Fatal(err)
	}
	rest := staydown(t, base, nil, "check", "small", "-o", "disk/out", "-j", "1", "--no-pictures", "-q")
	if rest.status != plenty.status {
		t.Errorf("status %d, want %d\n%s", rest.status, plenty.status, rest.stderr)
	}
	if difference := compareTrees(want, tree(t, filepath.Join(disk, "out"))); difference != "" {
		t.Error(difference)
	}
}

func TestReadOnlyOutputFolder(t *testing.T) {
	base := small(t, 1)
	disk := filepath.Join(base, "disk")
	mounted(t, disk, "ro")
	got := staydown(t, base, nil, "check", "small", "-o", "disk/out")
	if got.status != exitUsage || !strings.Contains(got.stderr, "disk/out: error: no permission to write here; choose "+
		"another folder with -o") {
		t.Errorf("status %d: %s", got.status, got.stderr)
	}
	if len(got.analysed) > 0 || got.out != "" {
		t.Errorf("it went on: %v %s", got.analysed, got.out)
	}
	drawn := staydown(t, base, nil, "annotate", "small/scores.nc", "-o", "disk/copy.nc")
	if drawn.status != exitUsage || !strings.Contains(drawn.stderr,
		"disk/copy.nc: error: no permission to write here") {
		t.Errorf("status %d: %s", drawn.status, drawn.stderr)
	}
}

// A pipe that stands among the programs is told of and not waited for, shared out or not, and so is one in the output
// folder.
func TestPipesAreNotOpened(t *testing.T) {
	testrun.NotForRaces(t)
	base := small(t, 1)
	for _, name := range []string{"small/pipe.nc", "small/o4711.nc", "small/link.toml", "out/frees.result.json"} {
		path := filepath.Join(base, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := syscall.Mkfifo(path, 0o666); err != nil {
			t.Skipf("this disk takes no pipes: %v", err)
		}
	}
	if err := os.WriteFile(filepath.Join(base, "small", "calls.nc"), []byte("G21 G90 G94\nM98 P4711\nM30\n"),
		0o666); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"--shard", "1/1"}, {"--shard", "2/2"}, {"--shard", "1/2", "-o", "out",
		"--no-pictures"}, {"-s", "small/link.toml"}} {
		got := staydown(t, base, nil, append([]string{"check", "small", "-q"}, args...)...)
		if args[1] == "1/1" && !strings.Contains(got.stderr, "small/pipe.nc: error: is not a regular file; copy its "+
			"content into one\n") {
			t.Errorf("%v: status %d\n%s", args, got.status, got.stderr)
		}
		if strings.Contains(got.out, "held") {
			t.Errorf("%v:\n%s", args, got.out)
		}
	}
}

// Names of files are bytes on some systems. One that is not UTF-8 is checked like any other and shown with escapes.
func TestNamesThatAreNotUTF8(t *testing.T) {
	testrun.NotForRaces(t)
	base := small(t, 1)
	if err := os.Remove(filepath.Join(base, "small", "scores.nc")); err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(base, "small", "b\xfcro")
	if err := os.Mkdir(folder, 0o777); err != nil {
		t.Skipf("this disk takes no such name: %v", err)
	}
	if err := os.Rename(filepath.Join(base, "small", "frees.nc"), filepath.Join(folder, "caf\xe9.nc")); err != nil {
		t.Skipf("this disk takes no such name: %v", err)
	}
	const shown = `small/b\xfcro/caf\xe9.nc`
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"small/b\xfcro/caf\xe9.nc"}, shown + ":10: error: piece 2 "},
		{[]string{"small", "-o", "out"}, shown + ":10: error: piece 2 "}, // from here on it is kept
		{[]string{"small", "-o", "out"}, shown + ":10: error: piece 2 "},
		{[]string{"small", "-o", "out", "--format", "json"}, `"path": "small/b\\xfcro/caf\\xe9.nc"`},
		{[]string{"small", "-o", "out", "--format", "csv"}, shown + ",loose,"},
		{[]string{"small", "-o", "out", "--format", "sarif"}, `"uri": "small/b%FCro/caf%E9.nc"`},
	} {
		got := staydown(t, base, nil, append([]string{"check", "--no-pictures"}, c.args...)...)
		if got.status != exitFinding || !strings.Contains(got.out, c.want) || !utf8.ValidString(got.out+got.stderr) {
			t.Errorf("%v: status %d, %q is not in\n%s%s", c.args, got.status, c.want, got.out, got.stderr)
		}
	}
	if _, err := os.Stat(filepath.Join(base, "out", "b\xfcro", "caf\xe9.result.json")); err != nil {
		t.Error(err)
	}
}
