package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"staydown/hold/result"
	"staydown/internal/testrun"
)

// screen plays what is written to a terminal of so many columns: rows that are too long are an error, and the two
// sequences of a preview do what ECMA-48 says of them (8.3.22, 8.3.39).
func screen(t *testing.T, written string, columns int) []string {
	t.Helper()
	rows := []string{""}
	for written != "" {
		var up int
		switch n, _ := fmt.Sscanf(written, "\x1b[%dA\x1b[J", &up); {
		case n == 1:
			if up >= len(rows) {
				t.Fatalf("up %d rows of %d", up, len(rows))
			}
			rows = append(rows[:len(rows)-1-up], "")
			written = written[strings.Index(written, "\x1b[J")+3:]
		case written[0] == '\n':
			rows, written = append(rows, ""), written[1:]
		default:
			at := len(rows) - 1
			rows[at] += written[:1]
			written = written[1:]
			if len(rows[at]) >= columns {
				t.Fatalf("row of more than %d columns: %q", columns-1, rows[at])
			}
		}
	}
	return rows
}

func TestPreviewShowsVerdictAndFindingsAndGoesAway(t *testing.T) {
	testrun.NotForRaces(t)
	dir := t.TempDir()
	nestOf40(t, dir)
	t.Chdir(dir)
	var shown []string
	var terminal bytes.Buffer
	p := &preview{to: &terminal, width: 60, height: 10}
	a := perform(request{Path: []byte("nest.nc"), Jobs: 1}, analyse, nil, func(a *answer) {
		p.show(a)
		shown = append(shown, strings.Join(screen(t, terminal.String(), 60), "\n"))
	})
	if a.Draft || a.Status != 0 || len(a.Result.Actions) == 0 {
		t.Fatalf("draft %t, status %d (%s), %d actions", a.Draft, a.Status, a.Message, len(a.Result.Actions))
	}
	if len(shown) < 2 {
		t.Fatalf("%d drafts; want one with the verdict, and one with each action", len(shown))
	}
	for i, want := range []string{"LOOSE", "what to do"} {
		if text := shown[i*(len(shown)-1)]; !strings.Contains(text, want) || strings.Count(text, "\n") > 9 ||
			!strings.Contains(text, "error: ") || !strings.Contains(text, stillLooking[:50]) {
			t.Errorf("%q or findings are not in at most 9 rows of\n%s", want, text)
		}
	}
	p.clear()
	if rest := screen(t, terminal.String(), 60); len(rest) != 1 || rest[0] != "" {
		t.Errorf("left on the screen: %q", rest)
	}
}

// Drafts come before the answer, however what a worker writes is cut into pieces.
func TestDraftsComeBeforeTheAnswer(t *testing.T) {
	var sent bytes.Buffer
	for i, verdict := range []result.Verdict{result.Loose, result.Loose, result.AtRisk} {
		a := &answer{Draft: i < 2, Result: result.Result{Verdict: verdict, Program: result.ProgramFacts{Lines: i}}}
		if err := send(&sent, a); err != nil {
			t.Fatal(err)
		}
	}
	for _, size := range []int{1, 7, 100, sent.Len()} {
		var drafts []int
		in := &inbox{unread: bounded{limit: 1 << 20}}
		came := in.expect(func(a *answer) { drafts = append(drafts, a.Result.Program.Lines) })
		if _, err := io.CopyBuffer(struct{ io.Writer }{in}, struct{ io.Reader }{bytes.NewReader(sent.Bytes())},
			make([]byte, size)); err != nil {
			t.Fatal(err)
		}
		select {
		case a := <-came:
			if fmt.Sprint(drafts) != "[0 1]" || a.Result.Program.Lines != 2 {
				t.Errorf("%d bytes at once: drafts %v, answer %v", size, drafts, a)
			}
		default:
			t.Errorf("%d bytes at once: drafts %v, no answer", size, drafts)
		}
	}
}

// Drafts are asked for only where a preview is shown.
func TestDraftsOnlyForAPreview(t *testing.T) {
	dir := t.TempDir()
	nestOf40(t, dir)
	for _, p := range []*preview{nil, {to: io.Discard, width: 80, height: 24}} {
		r := &run{opt: &checkOptions{format: "text", workers: 1}, budget: 1 << 30, atOnce: 1, preview: p}
		r.ask = func(_ context.Context, q request, _ time.Duration) (*answer, *failure) {
			if got := q.Draft && q.show != nil; got != (p != nil) {
				t.Errorf("preview %t: drafts %t", p != nil, got)
			}
			return &answer{Result: *unanalysedResult("nest.nc", "not asked")}, nil
		}
		for range r.all(t.Context(), []target{{path: filepath.Join(dir, "nest.nc"), name: "nest"}}) {
		}
	}
	if newPreview(1, &checkOptions{format: "text"}, streams{out: os.Stdout, err: &bytes.Buffer{}}) != nil {
		t.Error("a preview without a terminal")
	}
}
