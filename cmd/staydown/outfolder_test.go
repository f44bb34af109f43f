package main

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"staydown/cmd/staydown/store"
	"staydown/internal/testrun"
)

// A program whose files cannot be written is told of, and so is each of the files; all others are checked and written.
func TestUnwritableFilesConcernTheirProgramOnly(t *testing.T) {
	testrun.NotForRaces(t)
	base := small(t, 1)
	text, err := os.ReadFile(filepath.Join(base, "small", "scores.nc"))
	if err != nil {
		t.Fatal(err)
	}
	// NAME.result.json has 252 characters, NAME.outlines.geojson 257, of 255 that a disk takes
	long := strings.Repeat("n", 240) + ".nc"
	if err := os.WriteFile(filepath.Join(base, "small", long), text, 0o666); err != nil {
		t.Skipf("this disk takes no such name: %v", err)
	}
	for _, taken := range []string{"out/frees.result.json/mine", "out/summary.csv"} {
		if err := os.MkdirAll(filepath.Join(base, filepath.FromSlash(taken)), 0o777); err != nil {
			t.Fatal(err)
		}
	}
	got := staydown(t, base, nil, "check", "small", "-o", "out", "--no-pictures", "-j", "1")
	if got.status != exitUnanalysed || len(got.analysed) != 3 {
		t.Errorf("status %d, analysed %v", got.status, got.analysed)
	}
	for _, says := range []string{
		"out/frees.result.json: error: a folder has the name of this file; ",
		"out/" + strings.TrimSuffix(long, ".nc") + ".outlines.geojson: error: the name is too long for this disk; ",
		"out/summary.csv: error: a folder has the name of this file; ",
	} {
		if !strings.Contains(got.stderr, says) {
			t.Errorf("standard error lacks %q:\n%s", says, got.stderr)
		}
	}
	files := tree(t, filepath.Join(base, "out"))
	for _, name := range []string{"scores.result.json", "frees.annotated.nc", "index.html", "findings.sarif"} {
		if files[name] == "" {
			t.Errorf("%s was not written", name)
		}
	}
	if err := os.Remove(filepath.Join(base, "out", "summary.csv")); err != nil {
		t.Fatal(err)
	}
	again := staydown(t, base, nil, "check", "small", "-o", "out", "--no-pictures", "-j", "1")
	if again.status != exitUnanalysed || len(again.analysed) != 2 {
		t.Errorf("once more: status %d, analysed %v", again.status, again.analysed)
	}
	rows, err := csv.NewReader(strings.NewReader(tree(t, filepath.Join(base, "out"))["summary.csv"])).ReadAll()
	if err != nil || len(rows) != 4 {
		t.Errorf("summary: %v, %v", rows, err)
	}
}

// A folder that is gone stops the run; a file that cannot be written does not.
func TestLostOutputFolder(t *testing.T) {
	base := t.TempDir()
	out := filepath.Join(base, "out")
	folder, err := store.Open(out)
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	r := &run{opt: &checkOptions{out: out}, folder: folder}
	if err := os.MkdirAll(filepath.Join(out, "a.result.json"), 0o777); err != nil {
		t.Fatal(err)
	}
	a := &answer{Files: []file{{suffixResult, []byte("{}\n")}}}
	if broken, lost := r.keep(target{"a.nc", "a"}, a); broken == nil || lost {
		t.Errorf("a folder in a file's place: %v, lost: %t", broken, lost)
	}
	if broken, lost := r.keep(target{"b.nc", "b"}, a); broken != nil || lost {
		t.Errorf("a file: %v, lost: %t", broken, lost)
	}
	if err := os.RemoveAll(out); err != nil {
		t.Skipf("a folder in use cannot be removed here: %v", err)
	}
	if broken, lost := r.keep(target{"b.nc", "b"}, a); broken == nil || !lost {
		t.Errorf("a folder that is gone: %v, lost: %t", broken, lost)
	}
}
