package annotate

import (
	"bytes"
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"staydown/hold/result"
	"staydown/parse"
	"staydown/report/internal/reporttest"
	"staydown/report/words"
)

func listOf(p *parse.Program) (list []parse.Move) {
	for _, m := range p.Moves.All() {
		list = append(list, m)
	}
	return list
}

// sameMotion reads both programs and compares all moves, apart from the lines they come from.
func sameMotion(t *testing.T, before, after []byte) {
	t.Helper()
	a, b := parse.Read(before, parse.Options{Name: "part.nc"}), parse.Read(after, parse.Options{Name: "part.nc"})
	if diff := cmp.Diff(listOf(a), listOf(b), cmpopts.IgnoreFields(parse.Move{}, "Line"),
		cmpopts.EquateNaNs(), cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("the motion changed:\n%s\nannotated:\n%q", diff, after)
	}
	if a.Blocks != b.Blocks && bytes.Count(after, []byte("M1")) == bytes.Count(before, []byte("M1")) {
		t.Errorf("%d blocks became %d", a.Blocks, b.Blocks)
	}
}

// kept checks that the program's own lines are all there, in order, byte by byte, and that what was added is comment
// lines (and M1) of ASCII of at most 72 columns.
func kept(t *testing.T, before, after []byte, o Options) {
	t.Helper()
	unmarked := func(src []byte) []ProgramLine {
		lines := SplitLines(src)
		if len(lines) > 0 {
			lines[0].Text = bytes.TrimPrefix(lines[0].Text, byteOrderMark)
		}
		return lines
	}
	old, added := unmarked(before), []ProgramLine{}
	for _, l := range unmarked(after) {
		if len(old) > 0 && bytes.Equal(old[0].Text, l.Text) && (bytes.Equal(old[0].end, l.end) ||
			len(old[0].end) == 0) {
			old = old[1:]
			continue
		}
		added = append(added, l)
	}
	if len(old) > 0 && (len(old[0].end) > 0 || len(old[0].Text) > 0) {
		t.Fatalf("line %q is gone", old[0].Text)
	}
	for _, l := range added {
		s := string(l.Text)
		isComment := strings.HasPrefix(s, "(") && strings.IndexByte(s, ')') == len(s)-1 && strings.Count(s, "(") == 1
		if o.Style == SemicolonComments {
			isComment = strings.HasPrefix(s, "; ")
		}
		if !isComment && (!isStop(l.Text) || !o.StopWhenFree) {
			t.Errorf("added line %q is no comment", s)
		}
		if len(s) > 72 {
			t.Errorf("added line %q has %d columns", s, len(s))
		}
		for _, c := range []byte(s) {
			if c < ' ' || c > '~' {
				t.Errorf("added line %q has byte %#x", s, c)
			}
		}
		if strings.ContainsAny(s, "%#*$") {
			t.Errorf("added line %q has a character that some controls act on", s)
		}
	}
	if len(added) == 0 {
		t.Error("nothing was added")
	}
}

func TestAnnotate(t *testing.T) {
	for _, c := range []struct {
		name string
		src  string
		line int    // of the finding
		head string // what the result begins with
	}{
		{"plain", "G21 G90\nG1 X10 F100\nG1 X20\nM30\n", 3, "(STAYDOWN ANNOTATED"},
		{"CR LF", "G21 G90\r\nG1 X10 F100\r\nG1 X20\r\nM30\r\n", 2, "(STAYDOWN ANNOTATED"},
		{"CR", "G21 G90\rG1 X10 F100\rG1 X20\rM30\r", 2, "(STAYDOWN ANNOTATED"},
		{"mixed line ends", "G21 G90\r\nG1 X10 F100\nG1 X20\rM30\n", 3, "(STAYDOWN ANNOTATED"},
		{"no line end at the end", "G21 G90\nG1 X10 F100", 2, "(STAYDOWN ANNOTATED"},
		{"one line without an end", "G1 X10 F100", 1, "(STAYDOWN ANNOTATED"},
		{"percent signs", "%\nG21 G90\nG1 X10 F100\nM30\n%\n", 2, "%\n(STAYDOWN ANNOTATED"},
		{"percent sign with a remark", "% PART 12\nG21 G90\nG1 X10 F100\nM30\n", 3, "% PART 12\n(STAYDOWN ANNOTATED"},
		{"finding on the percent sign", "%\nG1 X10 F100\nM30\n%\n", 1, "%\n(STAYDOWN ANNOTATED"},
		{"program number first", "%\nO1234 (PART)\nG1 X10 F100\nM30\n%\n", 3, "%\nO1234 (PART)\n(STAYDOWN ANNOTATED"},
		{"closing percent sign alone", "G21 G90\nG1 X10 F100\nM30\n%\n", 2, "(STAYDOWN ANNOTATED"},
		{"leader before the percent sign", "posted on monday\n\n%\nG1 X10 F100\nM30\n%\n", 4,
			"posted on monday\n\n%\n(STAYDOWN ANNOTATED"},
		{"byte order mark", "\xef\xbb\xbfG21 G90\nG1 X10 F100\n", 2, "\xef\xbb\xbf(STAYDOWN ANNOTATED"},
		{"byte order mark and percent sign", "\xef\xbb\xbf%\nG1 X10 F100\nM30\n%\n", 2, "\xef\xbb\xbf%\n(STAYDOWN " +
			"ANNOTATED"},
		{"Latin-1 in a comment", "(pi\xe8ce n\xb0 4)\nG1 X10 F100\n", 2, "(STAYDOWN ANNOTATED"},
		{"UTF-8 in a comment", "(pièce n° 4)\nG1 X10 F100\n", 2, "(STAYDOWN ANNOTATED"},
		{"own comments", "(a) G1 X10 (b) F100 (c)\nG1 (x) X20\n", 2, "(STAYDOWN ANNOTATED"},
		{"semicolon comments", "; head\nG1 X10 F100 ; first\nG1 X20 ; second\n", 3, "(STAYDOWN ANNOTATED"},
		{"canned cycle", "G81 X1 Y1 Z-3 R2 F100\nX2\nX3\nG80\n", 3, "(STAYDOWN ANNOTATED"},
		{"subprogram in the file", "M98 P100 L2\nM30\nO100\nG91 G1 X5 F100\nM99\n", 4, "(STAYDOWN ANNOTATED"},
		{"block delete and numbers", "N10 G1 X10 F100\n/N20 X20\nN30 X30\n", 2, "(STAYDOWN ANNOTATED"},
		{"arcs", "G2 X10 Y0 I5 J0 F100\nG3 X0 I-5\n", 2, "(STAYDOWN ANNOTATED"},
	} {
		for _, o := range []Options{{}, {Style: SemicolonComments}, {StopWhenFree: true}} {
			t.Run(fmt.Sprintf("%s/%+v", c.name, o), func(t *testing.T) {
				src := []byte(c.src)
				r := reporttest.ResultOf(src, reporttest.At(c.line))
				r.Pieces = []result.Piece{{ID: 1}, {ID: 3, Freed: true, FreedLine: c.line, RetractLine: c.line}}
				got, err := Program(src, r, o)
				if err != nil {
					t.Fatal(err)
				}
				head := c.head
				if o.Style == SemicolonComments {
					head = strings.Replace(head, "(STAYDOWN", "; STAYDOWN", 1)
				}
				if !bytes.HasPrefix(got, []byte(head)) {
					t.Errorf("begins with %q, want %q", got[:min(60, len(got))], head)
				}
				kept(t, src, got, o)
				sameMotion(t, src, got)
				again, _ := Program(src, r, o)
				if !bytes.Equal(got, again) {
					t.Error("two runs differ")
				}
			})
		}
	}
}

func TestAnnotatedNest(t *testing.T) {
	r, src := reporttest.Fixture()
	got, err := Program(src, r, Options{StopWhenFree: true})
	if err != nil {
		t.Fatal(err)
	}
	reporttest.Golden(t, "nest.annotated.nc", got)
	sameMotion(t, src, got)
	if n := bytes.Count(got, []byte("\nM1 (STAYDOWN STOP: PIECE ")); n != 8 {
		t.Errorf("%d optional stops for 8 freed pieces", n)
	}
	told := commentWords(got)
	for _, want := range []string{"CAUTION: " + strings.ToUpper(words.Caution), "VERDICT: LOOSE. LINE NUMBERS ARE " +
		"THOSE OF " +
		"THAT PROGRAM CHANGED: OPTIONAL STOP M1 ADDED AFTER 8 BLOCKS CAUTION:"} {
		if !strings.Contains(told, want) {
			t.Errorf("%q is missing", want)
		}
	}
	without, err := Program(src, r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(without, []byte("CHANGED")) || bytes.Contains(without, []byte("M1")) {
		t.Error("a copy without stops speaks of stops")
	}
}

// commentWords is the text of all added comments on one line.
func commentWords(annotated []byte) string {
	return strings.Join(strings.Fields(strings.NewReplacer("(", "", ")", "", "STAYDOWN...", "", "STAYDOWN ",
		"").Replace(string(annotated))), " ")
}

// A copy of a copy is the copy, whatever was found the second time; the program's own comments stay even where they
// look alike.
func TestAnnotatingACopyReplacesItsComments(t *testing.T) {
	for name, src := range map[string]string{
		"plain":           "G21 G90\nG1 X10 F100\nG1 X20\nM30\n",
		"CR LF":           "G21 G90\r\nG1 X10 F100\r\nG1 X20\r\nM30\r\n",
		"percent, number": "%\nO12\nG1 X10 F100\nG1 X20\nM30\n%\n",
		"byte order mark": "\xef\xbb\xbfG21 G90\nG1 X10 F100\nG1 X20\n",
		"no end":          "G21\nG1 X10 F100\nG1 X20",
		"own comments": "(... ON)\n(STAYDOWN CLAMPS, NOT SCREWS)\nG1 X10 F100\n(STAYDOWN) G1 X20 (LOOSE: X)\n; " +
			"STAYDOWN PINS\nM30\n",
		"own optional stop": "G21\nG1 X10 F100\nM1\nM1 (STOP: LOOK)\nG1 X20\nM30\n",
	} {
		for _, o := range []Options{{}, {Style: SemicolonComments}, {StopWhenFree: true},
			{Style: SemicolonComments, StopWhenFree: true}} {
			t.Run(fmt.Sprintf("%s/%+v", name, o), func(t *testing.T) {
				block := []byte("G1 X10 F100")
				lineOf := func(text []byte) int { return 1 + len(SplitLines(text[:bytes.Index(text, block)])) }
				find := func(text []byte) *result.Result {
					r := reporttest.ResultOf(text, reporttest.At(lineOf(text)))
					r.Pieces = []result.Piece{{ID: 1}, {ID: 3, Freed: true, FreedLine: lineOf(text),
						RetractLine: lineOf(text)}}
					return r
				}
				once, err := Program([]byte(src), find([]byte(src)), o)
				if err != nil {
					t.Fatal(err)
				}
				twice, err := Program(once, find(once), o)
				if err != nil {
					t.Fatal(err)
				}
				if !bytes.Equal(once, twice) {
					t.Errorf("the copy of\n%s\nis\n%s", once, twice)
				}
				sameMotion(t, once, twice)

				// Cured: the comment at the block goes.
				cured, err := Program(once, reporttest.ResultOf(once), Options{Style: o.Style})
				if err != nil {
					t.Fatal(err)
				}
				kept(t, []byte(src), cured, o)
				sameMotion(t, once, cured)
				if bytes.Contains(cured, []byte("COMES LOOSE")) {
					t.Errorf("the old finding is still there:\n%s", cured)
				}
				// Stops that are in the program are kept and still declared.
				if n := bytes.Count(cured, []byte("STAYDOWN STOP: PIECE 3 IS FREE")); (n == 1) != o.StopWhenFree ||
					bytes.Contains(cured, []byte("CHANGED: OPTIONAL STOP M1 ADDED AFTER 1 BLOCK")) != o.StopWhenFree {
					t.Errorf("%d stops, declared or not:\n%s", n, cured)
				}
			})
		}
	}
}

// Comments that are signed alike in a program that is no copy belong to the program.
func TestAProgramThatIsNoCopyKeepsItsComments(t *testing.T) {
	src := []byte("(STAYDOWN LOOSE: WATCH THIS ONE)\n(STAYDOWN... AND THIS)\nG1 X1 F100\n")
	got, err := Program(src, reporttest.ResultOf(src), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasSuffix(got, src) {
		t.Errorf("%s", got)
	}
}

// Number and unit belong together (the SI Brochure, 9th edition, 5.4.3: a space separates them).
func TestNumberAndUnitStayOnOneLine(t *testing.T) {
	for pad := range 70 {
		text := strings.Repeat("x", pad) + " hold 41.0 N, load 23.1 N) feed 900 mm/min; 4 mm x 1 mm (50 %) 12.5 kPa"
		for _, style := range []CommentStyle{ParenthesisComments, SemicolonComments} {
			lines := strings.Join(commentLines(text, style), "\n")
			for _, want := range []string{"41.0 N,", "23.1 N]", "900 MM/MIN,", "4 MM", "1 MM", "50 PERCENT]",
				"12.5 KPA"} {
				if !strings.Contains(lines, want) {
					t.Errorf("%q is torn apart:\n%s", want, lines)
				}
			}
		}
	}
}

// The comment stands on the line before the block it is about.
func TestCommentPrecedesItsBlock(t *testing.T) {
	src := []byte("G21\nG1 X1 F100\nG1 X2\n")
	got, err := Program(src, reporttest.ResultOf(src, reporttest.At(3)), Options{})
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(got), "\n")
	i := 0
	for i = range lines {
		if lines[i] == "G1 X2" {
			break
		}
	}
	if i == len(lines) || !strings.Contains(commentWords([]byte(strings.Join(lines[i-3:i], "\n"))),
		"PIECE 3 [60 X 40 MM AT X120 Y85] COMES LOOSE, SLIPS: MARGIN 0.62,") {
		t.Errorf("%s", got)
	}
}

func TestAnnotateRefuses(t *testing.T) {
	src := []byte("G1 X1 F100\n")
	for name, c := range map[string]struct {
		src  []byte
		r    *result.Result
		want string
	}{
		"another program":           {[]byte("G1 X2 F100\n"), reporttest.ResultOf(src), "analyze it again"},
		"a line beyond the program": {src, reporttest.ResultOf(src, reporttest.At(9)), "line 9"},
		"UTF-16":                    {[]byte("\xff\xfeG\x001\x00"), &result.Result{}, "UTF-16"},
		"binary":                    {[]byte("G1 X1\x00"), &result.Result{}, "binary"},
	} {
		if _, err := Program(c.src, c.r, Options{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.want)
		}
	}
}

// Notes and findings about the whole program leave the blocks alone.
func TestNotesAreNotAnnotated(t *testing.T) {
	src := []byte("G1 X1 F100\nG1 X2\n")
	none, err := Program(src, reporttest.ResultOf(src), Options{})
	if err != nil {
		t.Fatal(err)
	}
	note := result.Finding{Line: 2, Rule: "outside", Level: result.LevelNote, Message: "m", Margin: math.NaN()}
	whole := result.Finding{Rule: "unread", Level: result.LevelError, Message: "m", Margin: math.NaN()}
	got, err := Program(src, reporttest.ResultOf(src, whole, note), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(none, got) {
		t.Errorf("%s", got)
	}
}

func FuzzAnnotate(f *testing.F) {
	for _, s := range []string{"", "%\nG1 X1 F100\n%", "\xef\xbb\xbf%\r\nO1\r\nG1X1F1", "(a\nG1 X1 F9\n",
		"G1 X1 F1\rG1 X2", "; x\nG2 X1 I.5 F9", "O1\n:2\n(x)\n%\nG1X1F1\n", "M98 P1\nM30\nO1\nG1X1F5\nM99",
		"(STAYDOWN ANNOTATED COPY OF A)\n(STAYDOWN... B)\nG1 X1 F9\nM1 (STAYDOWN STOP: PIECE 2 IS FREE)\n(STAYDOWN " +
			"SLIVER: X)\nG1 X2"} {
		f.Add([]byte(s), 1, true, false)
		f.Add([]byte(s), 2, false, true)
	}
	f.Fuzz(func(t *testing.T, src []byte, line int, semicolon, stop bool) {
		n := len(SplitLines(src))
		if len(src) > 4000 || n == 0 {
			return
		}
		line = 1 + int(uint(line)%uint(n))
		o := Options{StopWhenFree: stop}
		if semicolon {
			o.Style = SemicolonComments
		}
		r := reporttest.ResultOf(src, reporttest.At(line))
		r.Pieces = []result.Piece{{ID: 3, Freed: true, FreedLine: line, RetractLine: line}}
		got, err := Program(src, r, o)
		if err != nil {
			return
		}
		var joined []byte
		for _, l := range SplitLines(src) {
			joined = append(append(joined, l.Text...), l.end...)
		}
		if !bytes.Equal(joined, src) {
			t.Fatal("splitting loses bytes")
		}
		if dropped, _ := earlierAnnotations(SplitLines(src), stop); len(dropped) == 0 {
			kept(t, src, got, o)
		}
		if parse.IsText(src) == nil && !stop {
			sameMotion(t, src, got)
		}
	})
}

// The stop stands behind the retract, not behind the block that frees the piece with the cutter in the cut; a piece
// after which the tool stays down gets none, and the head says so.
func TestStopsStandBehindRetracts(t *testing.T) {
	src := []byte("G21 G90\nG1 Z-6 F100\nG1 X10\nG1 X20\nG0 Z5\nG1 Z-6 F100\nG1 X40\nM30\n")
	r := reporttest.ResultOf(src)
	r.Pieces = []result.Piece{{ID: 1}, {ID: 2, Freed: true, FreedLine: 3, RetractLine: 5},
		{ID: 3, Freed: true, FreedLine: 4, RetractLine: 5},
		{ID: 4, Freed: true, FreedLine: 7}}
	o := Options{StopWhenFree: true}
	got, err := Program(src, r, o)
	if err != nil {
		t.Fatal(err)
	}
	kept(t, src, got, o)
	if want := "G1 X20\nG0 Z5\nM1 (STAYDOWN STOP: 2 PIECES ARE FREE)\nG1 Z-6 F100\nG1 X40\nM30\n"; !bytes.HasSuffix(got,
		[]byte(want)) {
		t.Errorf("got\n%s", got)
	}
	if !strings.Contains(commentWords(got), "OPTIONAL STOP M1 ADDED AFTER 1 BLOCK NO STOP: THE TOOL DOES NOT "+
		"RETRACT AFTER PIECE 4 CAUTION:") {
		t.Errorf("got\n%s", got)
	}
	again := reporttest.ResultOf(got)
	twice, err := Program(got, again, Options{})
	if err != nil || bytes.Contains(twice, []byte("NO STOP")) {
		t.Errorf("a copy of the copy still says what was found before (%v):\n%s", err, twice)
	}
}

// The lines of a long program take more room than its text: those of findings are found without listing them all.
func TestFindingLinesOfALongProgram(t *testing.T) {
	const lines = 100_000
	src := bytes.Repeat([]byte("G1 X1\r\n"), lines)
	copy(src[6*7:], "G1 X7") // line 7
	r := &result.Result{Findings: []result.Finding{{Line: 7}, {Line: lines}, {Line: lines + 1}}}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	got := FindingLines(r, src)
	runtime.ReadMemStats(&after)
	if len(got) != 2 || got[7] != "G1 X7" || got[lines] != "G1 X1" {
		t.Errorf("%v", got)
	}
	if n := after.TotalAlloc - before.TotalAlloc; n > uint64(len(src)/4) {
		t.Errorf("%d bytes for a text of %d", n, len(src))
	}
}
