package main

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"staydown/hold/job"
	"staydown/parse"
)

// editorLine is how an editor finds a place in the output of a tool: the form of the GNU Coding Standards, "Formatting
// Error Messages", with the severity that C compilers put in.
var editorLine = regexp.MustCompile(`(?m)^([^:\n]+):(?:(\d+):)?(?:(\d+):)? (error|warning|note): (.+)$`)

// Findings, what could not be read of a program or of its subprograms, job files and files: an editor finds each place.
func TestEditorsFindThePlaces(t *testing.T) {
	base := small(t, 1)
	for name, text := range map[string]string{
		"unread.nc": "G21 G90 G94\nT1 M6\nS9000 M3\nG0 X10 Y10 Z5\nG999 X1\nM30\n",
		"calls.nc":  "G21 G90 G94\nT1 M6\nS9000 M3\nG0 X10 Y10 Z5\nM98 P4711\nM30\n",
		"o4711.nc":  "O4711\nG1 Z-0.2 F100\nG999\nM99\n",
		"unit.nc":   "G21 G90\n", "unit.toml": "[stock]\nsize = [\"80 mm\", \"60\", \"6 mm\"]\n",
		"tool.nc": "G21 G90 G94\nT7 M6\nS1000 M3\nG0 Z5\nG1 Z-1 F100\nM30\n", "empty.nc": "",
	} {
		if err := os.WriteFile(filepath.Join(base, "small", name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	got := staydown(t, base, nil, "check", "small", "none.nc", "--format", "text")
	var places []string
	for _, m := range editorLine.FindAllStringSubmatch(got.out+got.stderr, -1) {
		places = append(places, strings.Join(m[1:5], ":"))
	}
	for _, want := range []string{
		"small/frees.nc:10::error", "small/unread.nc:5:1:error", "small/o4711.nc:3:1:error",
		"small/unit.toml:2:18:error",
		"small/tool.nc:2::error", "small/empty.nc:::error", "none.nc:::error",
	} {
		if !slices.Contains(places, want) {
			t.Errorf("no line for %s", want)
		}
	}
	if t.Failed() {
		t.Logf("standard output:\n%s\nstandard error:\n%s", got.out, got.stderr)
	}
	if rest := editorLine.ReplaceAllString(got.stderr, ""); strings.TrimSpace(rest) != "" {
		t.Errorf("standard error in another form:\n%s", rest)
	}
}

// Each error of several has a line of its own, and nothing in a name or a message makes a second one.
func TestFormOfMessages(t *testing.T) {
	problem := job.Problem{Pos: parse.Pos{File: "job.toml", Line: 14, Col: 13}, Key: "thickness",
		What: `"0.8" has no unit`, Do: `write "0.8 mm"`}
	for _, c := range []struct {
		err  error
		want string
	}{
		{misused(problem), `job.toml:14:13: error: thickness: "0.8" has no unit; write "0.8 mm"`},
		{errors.Join(problem, about("a.nc", "is lost")), "job.toml:14:13: error: thickness: \"0.8\" has no unit; " +
			"write \"0.8 mm\"\na.nc: error: is lost"},
		{job.Errors{problem}, `job.toml:14:13: error: thickness: "0.8" has no unit; write "0.8 mm"`},
		{&fault{parse.Pos{File: "a.nc", Line: 7}, "no"}, "a.nc:7: error: no"},
		{errors.New("no file is concerned"), "staydown: error: no file is concerned"},
		{about("a\nb\u202ec\xff.nc", "is lost"), `a b\u202ec\xff.nc: error: is lost`},
	} {
		if got := gnuForm(c.err); got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}
