package parse

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// expectations are what the comments at the head of a check program say.
type expectations struct {
	source     string
	end        *Point
	feed       *float64
	unreadLine int
	unread     string
	reading    string
}

// expect reads the comments of a check program: (source: ...), (end X.. Y.. Z..), (feed LENGTH), (unread line N TEXT)
// and (reading TEXT).
func expect(t *testing.T, src []byte) (e expectations) {
	t.Helper()
	lines := bufio.NewScanner(bytes.NewReader(src))
	for lines.Scan() {
		text, ok := strings.CutPrefix(lines.Text(), "(")
		if !ok || !strings.HasSuffix(text, ")") {
			continue
		}
		what, rest, _ := strings.Cut(strings.TrimSuffix(text, ")"), " ")
		var err error
		switch what {
		case "source:":
			e.source = rest
		case "end":
			e.end = new(Point)
			_, err = fmt.Sscanf(rest, "X%g Y%g Z%g", &e.end.X, &e.end.Y, &e.end.Z)
		case "feed":
			e.feed = new(float64)
			_, err = fmt.Sscan(rest, e.feed)
		case "unread":
			_, err = fmt.Sscanf(rest, "line %d", &e.unreadLine)
			e.unread = strings.SplitN(rest, " ", 3)[2]
		case "reading":
			e.reading = rest
		}
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
	}
	return e
}

// The check programs in testdata/check each hold a construct of the language, its source, and what it comes to by hand.
func TestCheckFiles(t *testing.T) {
	const folder = "testdata/check"
	names, err := filepath.Glob(folder + "/*.n*c")
	if err != nil || len(names) < 20 {
		t.Fatal(names, err)
	}
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			src, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			want := expect(t, src)
			if want.source == "" || want.end == nil {
				t.Fatal("the program says neither its source nor its end")
			}
			opt := harness()
			opt.Name = filepath.Base(name)
			opt.OpenSub = func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(folder, "sub", name)) }
			p := Read(src, opt)
			checkSound(t, p)
			if !nearPoint(endOf(p), *want.end, 1e-6) {
				t.Errorf("ends at %v, want %v (%s)", endOf(p), *want.end, want.source)
			}
			if want.feed != nil && !near(feedLen(p), *want.feed, 1e-6) {
				t.Errorf("feed moves of %v mm, want %v (%s)", feedLen(p), *want.feed, want.source)
			}
			found, reading := want.unread == "", want.reading == ""
			for _, n := range p.Notes {
				switch {
				case n.Kind == Reading:
					reading = reading || strings.Contains(n.Message, want.reading)
				case want.unread != "" && n.Pos.Line == want.unreadLine && strings.Contains(n.Message, want.unread):
					found = true
				default:
					t.Errorf("%v: %s", n.Pos, n.Message)
				}
			}
			if !found || !reading {
				t.Errorf("notes %v, want %q and %q", p.Notes, want.unread, want.reading)
			}
		})
	}
}
