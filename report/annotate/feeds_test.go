package annotate

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/result"
	"staydown/parse"
	"staydown/report/internal/reporttest"
)

// risky is a finding that asks for a feed, mm/min, from a line to another.
func risky(first, last int, mmMin float64) result.Finding {
	f := reporttest.At(first)
	f.LastLine, f.EaseFeedMMMin = last, mmMin
	return f
}

// ease lowers feeds as annotate does.
func ease(t testing.TB, src string, findings ...result.Finding) EasedFeeds {
	t.Helper()
	p := parse.Read([]byte(src), parse.Options{Name: "part.nc"})
	eased, err := EaseFeeds([]byte(src), p, reporttest.ResultOf([]byte(src), findings...))
	if err != nil {
		t.Fatalf("%v:\n%s", err, src)
	}
	return eased
}

func TestEasedFeeds(t *testing.T) {
	const ask = 300 // mm/min, in line 4
	for _, c := range []struct{ name, program, want string }{
		{"own F, the next block has its own", "G21 G94\nG0 Z5\nG1 Z-1 F200\nX10 F900\nX20 F800\n",
			"G21 G94\nG0 Z5\nG1 Z-1 F200\nX10 F300\nX20 F800\n"},
		{"restored where the next block has no F", "G21 G94\nG0 Z5\nG1 Z-1 F200\nX10 F900\nX20\nX30\n",
			"G21 G94\nG0 Z5\nG1 Z-1 F200\nX10 F300\nX20 F900\nX30\n"},
		{"added and restored behind a rapid, before a remark", "G21 G94\nG0 Z5\nG1 Z-1 F900\nX10 (one)\nG0 Z5\nG1 " +
			"X1;two\n",
			"G21 G94\nG0 Z5\nG1 Z-1 F900\nX10 F300 (one)\nG0 Z5\nG1 X1 F900;two\n"},
		{"nothing behind it moves at feed", "G21 G94\nG0 Z5\nG1 Z-1 F900\nX10\nG0 Z5\nM30\n",
			"G21 G94\nG0 Z5\nG1 Z-1 F900\nX10 F300\nG0 Z5\nM30\n"},
		{"points stay", "G21 G94\nG0 Z5\nG1 Z-1 F900.\nX10.\nX20.\n",
			"G21 G94\nG0 Z5\nG1 Z-1 F900.\nX10. F300.\nX20. F900.\n"},
		{"line ends, blanks and letters stay", "G21 G94\r\nG0 Z5\r\nG1 Z-1\tf 200\r\nx10 f 9 00  z-1\r\nx20",
			"G21 G94\r\nG0 Z5\r\nG1 Z-1\tf 200\r\nx10 F300  z-1\r\nx20 F900"},
		{"slower already", "G21 G94\nG0 Z5\nG1 Z-1 F200\nX10 F250\nX20\n",
			"G21 G94\nG0 Z5\nG1 Z-1 F200\nX10 F250\nX20\n"},
		{"a fifth of the feed is the least", "G21 G94\nG0 Z5\nG1 Z-1 F200\nX10 F4001\nX20\n",
			"G21 G94\nG0 Z5\nG1 Z-1 F200\nX10 F801\nX20 F4001\n"}, // 0.2 * 4001 = 800.2
		{"a dwell's F is no feed", "G21 G94\nG0 Z5\nG1 Z-1 F900\nX10\nG4 F2\nX20\n",
			"G21 G94\nG0 Z5\nG1 Z-1 F900\nX10 F300\nG4 F2\nX20 F900\n"},
		{"an F alone restores it", "G21 G94\nG0 Z5\nG1 Z-1 F900\nX10\nF900\nX20\n",
			"G21 G94\nG0 Z5\nG1 Z-1 F900\nX10 F300\nF900\nX20\n"},
		{"computed numbers elsewhere", "G21 G94\n#1=7\nG1 Z-1 F900\nN4 X#1\nX[#1+1]\nX20\n",
			"G21 G94\n#1=7\nG1 Z-1 F900\nN4 F300 X#1\nF900 X[#1+1]\nX20\n"},
		{"canned cycle", "G21 G94\nG0 X0 Y0 Z5\nG1 Z4 F900\nG81 X10 Z-3 R2\nX20\nG80\n",
			"G21 G94\nG0 X0 Y0 Z5\nG1 Z4 F900\nG81 X10 Z-3 R2 F300\nX20 F900\nG80\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := ease(t, c.program, risky(4, 4, ask))
			if string(got.Text) != c.want || len(got.Left) > 0 {
				t.Errorf("got\n%s\nwant\n%s\nleft: %v", got.Text, c.want, got.Left)
			}
		})
	}
}

// Blocks that cannot be edited stay as they are and are named with the reason.
func TestFeedsThatStay(t *testing.T) {
	for _, c := range []struct{ name, program, why string }{
		{"computed", "G21 G94\n#1=900\nG1 X5 F900\nX10 F#1\nX20\nM30\n", "computed"},
		{"computed in brackets", "G21 G94\n#1=900\nG1 X5 F900\nX10 F[#1*1]\nX20\nM30\n", "computed"},
		{"inverse time", "G21 G93\nG0 Z5\nG1 X5 F900\nX10 F800\nX20 F900\nM30\n", "G93"},
		{"per revolution", "G21 G95\nS1000 M3\nG1 X5 F1\nX10\nX20\nM30\n", "G95"},
		{"subprogram called twice", "G21 G94\nM98 P7 L2\nM30\nO7 G91 G1 X10 F900\nM99\n", "more than once"},
		{"loop", "G21 G94\nO1 repeat [3]\nG91\nG1 X10 F900\nO1 endrepeat\nM30\n", "more than once"},
		{"block delete", "G21 G94\nG0 Z5\nG1 X5 F900\n/X10\nX20\nM30\n", "block delete"},
		{"next block cannot get an F", "G21 G94\nG0 Z5\nG1 X5 F900\nX10\n/X20\nM30\n", "line 5"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := ease(t, c.program, risky(4, 4, 300))
			if string(got.Text) != c.program || len(got.Changes) > 0 {
				t.Errorf("changed to\n%s", got.Text)
			}
			if len(got.Left) != 1 || got.Left[0].Line != 4 || !strings.Contains(got.Left[0].Why, c.why) {
				t.Errorf("left: %v, want line 4 with %q", got.Left, c.why)
			}
		})
	}
}

// The head names the changed words and both verdicts; a copy of the copy still names the words.
func TestHeadNamesChangedFeeds(t *testing.T) {
	src := "G21 G94\nG0 Z5\nG1 Z-1 F900\nX10\nX20\n/X30\nM30\n"
	eased := ease(t, src, risky(4, 6, 300))
	r := reporttest.ResultOf(eased.Text)
	r.Verdict = result.Held
	got, err := Program(eased.Text, r, Options{Eased: &eased, Before: result.Loose})
	if err != nil {
		t.Fatal(err)
	}
	words := commentWords(got)
	for _, want := range []string{"FEED: LINE 4 OF THE ORIGINAL: F900 IN FORCE, F300 ADDED",
		"FEED: LINE 5 OF THE ORIGINAL: F900 RESTORED", "FEED KEPT IN LINE 5: LINE 6 GOES ON",
		"FEED KEPT IN LINE 6: BLOCK DELETE",
		"VERDICT OF THE ORIGINAL: LOOSE, OF THIS COPY: HELD"} {
		if !strings.Contains(words, want) {
			t.Errorf("%q is missing in\n%s", want, got)
		}
	}
	twice, err := Program(got, reporttest.ResultOf(got), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Count(twice, []byte("STAYDOWN FEED: ")) != 2 || bytes.Contains(twice, []byte("FEED KEPT")) {
		t.Errorf("a copy of the copy:\n%s", twice)
	}
	sameMotion(t, got, twice)
}

// randomProgram writes a small program of everything that decides a feed; hard ones also hold what cannot be edited.
func randomProgram(t *rapid.T, hard bool) string {
	var b strings.Builder
	b.WriteString(rapid.SampledFrom([]string{"G21 G90 G94\n", "%\nO12\nG20 G90 G94\r\n"}).Draw(t, "head"))
	b.WriteString("S1000 M3\nG0 X0 Y0 Z5\nG1 Z-1 F500\n")
	forms := []string{"G1 X%[1]d", "G1 X%[1]d F%[2]d", "N%[1]d Y%[1]d F%[2]d. (cut)", "G0 X%[1]d", "G0 X%[1]d F%[2]d",
		"F%[2]d", "G1 x%[1]d f %[2]d ; slow", "G3 X%[1]d Y3 R900 F%[2]d", "G1 Y%[1]d (a) X3", "G4 P0.1", "",
		"G81 X%[1]d Z-3 R2", "G80", "G1 X[%[1]d+1]", "G1 X%[1]dY2F%[2]d.5", "G1"}
	if hard {
		forms = append(forms, "/G1 X%[1]d", "/G1 X%[1]d F%[2]d", "#1=%[2]d\nG1 X%[1]d F#1",
			"O%[1]d repeat [2]\nG91 G1 Y1\nG90\nO%[1]d endrepeat", "G93\nG1 X%[1]d F%[2]d\nG94 F%[2]d",
			"G95\nG1 X%[1]d F1\nG94 F%[2]d", "G20", "G21", "M98 P77", "M98 P77 L2")
	}
	for i := range rapid.IntRange(4, 20).Draw(t, "lines") {
		b.WriteString(strings.NewReplacer("%[1]d", strconv.Itoa(100+i), "%[2]d",
			strconv.Itoa(rapid.IntRange(100, 4000).Draw(t, "F"))).Replace(rapid.SampledFrom(forms).Draw(t, "form")) +
			"\n")
	}
	b.WriteString("M30\n")
	if hard {
		b.WriteString("O77\nG91 G1 X1\nG90 Y5 F700\nM99\n")
	}
	return b.String()
}

// The eased copy moves as the program does: same kinds, ends and lines behind the head; feeds are the lower of the two
// in the blocks asked for, at least a fifth of the old one, and the old ones everywhere else.
func TestEasingChangesFeedsAlone(t *testing.T) {
	lowered, kept := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		hard := rapid.Bool().Draw(t, "hard")
		src := randomProgram(t, hard)
		before := parse.Read([]byte(src), parse.Options{Name: "part.nc"})
		asked := map[int]float64{}
		var findings []result.Finding
		for range rapid.IntRange(1, 3).Draw(t, "findings") {
			first := rapid.IntRange(1, before.Lines).Draw(t, "first")
			last := rapid.IntRange(first, before.Lines).Draw(t, "last")
			mmMin := before.Units.Length().Size * float64(rapid.IntRange(20, 2000).Draw(t, "ask"))
			findings = append(findings, risky(first, last, mmMin))
			for line := first; line <= last; line++ {
				if asked[line] == 0 || mmMin < asked[line] {
					asked[line] = mmMin
				}
			}
		}
		eased, err := EaseFeeds([]byte(src), before, reporttest.ResultOf([]byte(src), findings...))
		if err != nil {
			t.Fatalf("%v:\n%s", err, src)
		}
		if !hard && len(eased.Left) > 0 {
			t.Fatalf("left: %v\n%s", eased.Left, src)
		}
		annotated, err := Program(eased.Text, reporttest.ResultOf(eased.Text), Options{Eased: &eased})
		if err != nil {
			t.Fatal(err)
		}
		after := parse.Read(annotated, parse.Options{Name: "part.nc"})
		head := int32(after.Lines - before.Lines)
		if before.Moves.Len() != after.Moves.Len() {
			t.Fatalf("%d moves became %d", before.Moves.Len(), after.Moves.Len())
		}
		left := func(line int) bool {
			return slices.ContainsFunc(eased.Left, func(l FeedLeft) bool { return l.Line == line })
		}
		for i, a := range before.Moves.All() {
			b := after.Moves.At(i)
			want, line := a.FeedMMMin, int(a.Line)
			if ask := asked[line]; ask > 0 && a.Kind != parse.Rapid && !left(line) {
				want = math.Min(want, math.Max(ask, 0.2*want))
			}
			// Above a fifth, a whole feed of the units in force: at most 1 in/min.
			if ask := asked[line]; b.FeedMMMin < want*(1-1e-6) || b.FeedMMMin > want*(1+1e-6) && (want == ask ||
				want == a.FeedMMMin || b.FeedMMMin > want+25.4) {
				t.Fatalf("line %d moves at %g, want %g of %g:\n%s\nbecame\n%s", line, b.FeedMMMin, want, a.FeedMMMin,
					src, annotated)
			}
			if want < a.FeedMMMin {
				lowered++
			} else if left(line) {
				kept++
			}
			a.Line, a.FeedMMMin, a.DurationS = a.Line+head, b.FeedMMMin, b.DurationS
			if a != b {
				t.Fatalf("move\n%+v\nbecame\n%+v:\n%s\nbecame\n%s", a, b, src, annotated)
			}
		}
	})
	wantLowered, wantKept := 100, 10
	if testing.Short() { // rapid draws a fifth of the programs
		wantLowered, wantKept = 20, 2
	}
	if lowered < wantLowered || kept < wantKept {
		t.Errorf("%d moves lowered and %d kept: too few to tell", lowered, kept)
	}
}
