package parse

import (
	"bytes"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"staydown/internal/testrun"
)

// hostile programs must be read in bounded memory and say what was left out.
func TestLimits(t *testing.T) {
	testrun.NotForRaces(t)
	repeat := func(s string, n int) string { return strings.Repeat(s, n) }
	for _, c := range []struct{ name, program, want string }{
		{"brackets", "G1 X" + repeat("[", 4000) + "1" + repeat("]", 4000) + " F60", "too many brackets"},
		{"parameters of parameters", "G1 X" + repeat("#", 4000) + "1 F60", "too many brackets"},
		{"signs", "G1 X" + repeat("-", 4000) + "1 F60", "sign"},
		{"words", repeat("X1", 100), "words"},
		{"long number", "G1 X" + repeat("9", 5000) + " F60", "too large"},
		{"far", "G1 X9999999 F60", "beyond any machine"},
		{"repeats", "G91 G81 X1 Z-1 R1 L9999999 F60", "more than"},
		{"pecks", "G83 X1 Z-900 R1 Q0.001 F60", "pecks"},
		{"turns", "G2 X0 Y0 I5 P99999 F60", "turns"},
		{"slow feed", "G1 X1 F0.00001", "below"},
		{"long line", "G1 X1" + repeat(" ", 20_000) + "F60", "longer"},
		{"subprograms in subprograms", "M98 P1 L9999 | M30 | O1 | G17 | M98 P2 L9999 | M99 | O2 | G17 | M98 P3 " +
			"L9999 | M99 | O3 | G4 | M99", "subprograms"},
		{"loop without end", "G91 G1 F60 | DO1 | X1 | END1", "lines are run again"},
		{"call of itself",
			"o1 sub | o2 if [#1 LT 9] | o1 call [#1] | o1 call [#1] | o2 endif | o1 endsub | o1 call [1]",
			"deep; reading stops"},
		{"cycles in subprograms", "M98 P1 L999 | M30 | O1 | G91 G81 X0.01 Z-1 R1 L9999 F60 | M99",
			"canned cycles make more"},
	} {
		saysUnread(t, c.name, c.want, Read(blocksOf(c.program), harness()))
	}
	// Ways to the limit of lines run again, which the loop above reaches in full.
	for _, c := range []struct{ name, program, want string }{
		{"empty subprogram", "M98 P1 L9999 | M30 | O1 | " + repeat("\n", 5000) + "M99",
			"lines are run again"},
		{"jump without end", "N1 IF [SIN[30] LT 1] GOTO 1", "lines are run again"},
		{"loop in a loop", "o1 repeat [1000000] | o2 repeat [1000000] | o2 endrepeat | o1 endrepeat", "run again"},
		{"calls without end", "DO1 | G65 P1 A1 | END1 | M30 | O1 | M99", "run again"},
	} {
		saysUnread(t, c.name, c.want, readWithin(blocksOf(c.program), harness(), 20_000))
	}
}

// saysUnread demands a note on what was left unread, and that none is longer than a person reads.
func saysUnread(t *testing.T, name, want string, p *Program) {
	t.Helper()
	found := false
	for _, n := range unreadNotes(p) {
		found = found || strings.Contains(n.Message, want)
		if len(n.Message) > 500 {
			t.Errorf("%s: message of %d bytes", name, len(n.Message))
		}
	}
	if !found {
		t.Errorf("%s: %.300v, want %q", name, p.Notes, want)
	}
}

func TestNotesAreBounded(t *testing.T) {
	var src strings.Builder
	for i := range 5000 {
		fmt.Fprintf(&src, "G1 X1 F60 Q%d\n", i)
	}
	p := Read([]byte("G21\n"+src.String()+"M30"), harness())
	if len(p.Notes) != maxNotes+1 || !strings.Contains(p.Notes[maxNotes].Message, "4000 more") {
		t.Errorf("%d notes, the last %v", len(p.Notes), p.Notes[len(p.Notes)-1])
	}
	// The same about many lines is one note.
	p = Read([]byte("G21\n"+strings.Repeat("G1 X@\n", 5000)+"M30"), harness())
	if u := unreadNotes(p); len(u) != 1 || !strings.HasSuffix(u[0].Message, "(so too in lines 3 to 1002 and more)") {
		t.Errorf("%v", u)
	}
	// The same note about the same place is kept once.
	p = Read(blocksOf("M98 P1 L500 | M30 | O1 | G77 | M99"), harness())
	if len(unreadNotes(p)) != 1 {
		t.Errorf("%v", p.Notes)
	}
}

// A line of 64 MB takes no memory beyond that of the text itself.
func TestHugeLineTakesNoMemory(t *testing.T) {
	testrun.NotForRaces(t)
	src := append(bytes.Repeat([]byte("X1"), 4<<20), "\nG1 X1 F60\nM30\n"...)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	p := Read(src, harness())
	runtime.ReadMemStats(&after)
	if grown := after.TotalAlloc - before.TotalAlloc; grown > 1<<20 {
		t.Errorf("%d bytes taken", grown)
	}
	if u := unreadNotes(p); len(u) != 1 || u[0].Pos.Line != 1 || p.Moves.Len() != 1 {
		t.Errorf("%v", p.Notes)
	}
}

// Text of a file that is mostly line ends takes no memory either.
func TestManyLinesTakeNoMemory(t *testing.T) {
	testrun.NotForRaces(t)
	for _, end := range []string{"\n", "\r", "\r\n"} {
		src := []byte("G1 X1 F60" + strings.Repeat(end, 4<<20) + "M30")
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		p := Read(src, harness())
		runtime.ReadMemStats(&after)
		// One move of 144 bytes is made room for per 8 bytes of text, a million at the most.
		if grown := after.TotalAlloc - before.TotalAlloc; grown > 256<<20 {
			t.Errorf("%d bytes taken", grown)
		}
		if p.Lines != 4<<20+1 || p.Moves.Len() != 1 {
			t.Errorf("%d lines, %d moves", p.Lines, p.Moves.Len())
		}
	}
}

func TestTooManyNames(t *testing.T) {
	var s strings.Builder
	for i := 0; i < 3000; i++ {
		fmt.Fprintf(&s, "M98 P%d\n", i)
	}
	var asked []string
	Read([]byte(s.String()+"M30"), func() Options { o := harness(); folder(nil, &asked)(&o); return o }())
	if len(asked) > maxSubFiles {
		t.Errorf("%d files asked for", len(asked))
	}
}
