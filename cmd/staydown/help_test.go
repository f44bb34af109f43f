package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"staydown/hold/result"
)

// flagLine is how a flag begins its line in a help text.
var flagLine = regexp.MustCompile(`(?m)^\s+(?:(-\w), )?(--[a-z-]+)`)

func help(t *testing.T, args ...string) string {
	t.Helper()
	var out, stderr bytes.Buffer
	if status := runCommand(args, streams{strings.NewReader(""), &out, &stderr}, analyse); status != exitHeld {
		t.Fatalf("%v exits %d", args, status)
	}
	if stderr.Len() > 0 {
		t.Errorf("%v writes to standard error: %s", args, stderr.String())
	}
	return out.String()
}

func TestHelpFitsATerminal(t *testing.T) {
	texts := map[string]string{"staydown": help(t, "--help")}
	for _, c := range commands() {
		texts[c.name] = help(t, c.name, "--help")
	}
	for name, text := range texts {
		example := regexp.MustCompile("(?mi)^examples?:\n  staydown " + strings.TrimPrefix(name, "staydown"))
		if !example.MatchString(text) {
			t.Errorf("%s: no example", name)
		}
		if !strings.HasPrefix(text, "usage: staydown "+name) && name != "staydown" {
			t.Errorf("%s: begins %q", name, text[:min(40, len(text))])
		}
		for i, line := range strings.Split(text, "\n") {
			if n := len([]rune(line)); n > 120 {
				t.Errorf("%s: line %d has %d columns", name, i+1, n)
			}
			if line != strings.TrimRight(line, " ") {
				t.Errorf("%s: line %d ends in a blank: %q", name, i+1, line)
			}
			// What a flag takes is named in capitals, as in the README; switches take nothing.
			if m := flagLine.FindStringSubmatch(line); m != nil {
				if value := strings.TrimPrefix(line, m[0]); !regexp.MustCompile(`^(?: [A-Z/=]+)?  +\S`).MatchString(
					value) {
					t.Errorf("%s: line %d: %q", name, i+1, line)
				}
			}
		}
	}
	for _, word := range []string{"0 everything holds", "1 at least one", "2 wrong usage",
		"3 a program could not be analyzed"} {
		if !strings.Contains(texts["staydown"], word) || !strings.Contains(strings.ReplaceAll(texts["check"], "\n",
			" "), word) {
			t.Errorf("an exit status is not in the help: %q", word)
		}
	}
}

// The README names every command, flag, output file, exit status, rule and verdict, so that it cannot drift from the
// program unnoticed.
func TestReadmeNamesEverything(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	type need struct{ what, text string }
	needs := []need{
		{"file", "index.html"}, {"file", "findings.sarif"}, {"file", "summary.csv"}, {"file", "NAME.annotated.EXT"},
		{"exit status", "0 everything holds with the required margin"}, {"exit status", "1 at least one"},
		{"exit status", "2 wrong usage or job file"}, {"exit status", "3 a program could not be analyzed"},
	}
	for _, c := range commands() {
		needs = append(needs, need{"command", "staydown " + c.name})
		for _, m := range flagLine.FindAllStringSubmatch(help(t, c.name, "--help"), -1) {
			if m[2] == "--help" {
				continue
			}
			needs = append(needs, need{"flag of " + c.name, m[2]})
			if m[1] != "" {
				needs = append(needs, need{"flag of " + c.name, m[1]})
			}
		}
	}
	for _, s := range suffixes() {
		needs = append(needs, need{"file", "NAME" + s})
	}
	for _, r := range result.Rules() {
		needs = append(needs, need{"rule", "`" + r.ID + "`"})
	}
	for v := result.Held; v <= result.Loose; v++ {
		needs = append(needs, need{"verdict", "`" + v.String() + "`"})
	}
	text := strings.Join(strings.Fields(string(data)), " ")
	for _, n := range needs {
		if !strings.Contains(text, n.text) {
			t.Errorf("%s %q is not in README.md", n.what, n.text)
		}
	}
	// And the other way: no flag in the README that no command has.
	var flags []string
	for _, n := range needs {
		if strings.HasPrefix(n.text, "--") {
			flags = append(flags, n.text)
		}
	}
	flags = append(flags, "--help", "--version")
	for _, f := range regexp.MustCompile("`(--[a-z-]+)").FindAllStringSubmatch(text, -1) {
		if !slices.Contains(flags, f[1]) {
			t.Errorf("README.md names %s, which no command has", f[1])
		}
	}
}

// What a change must pass is what the README tells people to run, and then the race detector where goroutines are
// started.
func TestChecksOfAChangeEndInTheTestCommand(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	command := regexp.MustCompile(`(?m)^    (go test .*?) +# the tests$`).FindSubmatch(readme)
	if command == nil {
		t.Fatal("the README has no test command")
	}
	checks, err := os.ReadFile(filepath.Join("..", "..", ".ci", "run"))
	if err != nil {
		t.Fatal(err)
	}
	const raced = "go test -race -short -vet=off -timeout 30m $with_goroutines"
	if !bytes.Contains(checks, slices.Concat([]byte("\n"), command[1], []byte("\n"))) {
		t.Errorf(".ci/run does not run %q", command[1])
	}
	if !bytes.HasSuffix(checks, []byte("\n"+raced+"\n")) {
		t.Errorf(".ci/run does not end in %q", raced)
	}
}
