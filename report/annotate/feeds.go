package annotate

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse"
)

// EasedFeeds is a program with the feeds of its risky blocks lowered.
type EasedFeeds struct {
	Text    []byte
	Changes []FeedChange // in order of line
	Left    []FeedLeft   // in order of line
}

// FeedChange is an F word of the eased program that is not in the program.
type FeedChange struct {
	Line  int
	Old   string // the feed in force in the program, as an F word; New where the feed is only restored
	New   string
	Added bool // the block has no F in the program
}

// FeedLeft is a block whose feed was to be lowered and is not.
type FeedLeft struct {
	Line int
	Why  string // with what to do
}

// WhyLeft says of all blocks whose feeds stay why, blocks with the same reason in one sentence.
func (e *EasedFeeds) WhyLeft() []string {
	var reasons []string
	lines := map[string][]wording.LineRange{}
	for _, l := range e.Left {
		if lines[l.Why] == nil {
			reasons = append(reasons, l.Why)
		}
		lines[l.Why] = append(lines[l.Why], wording.LineRange{First: l.Line, Last: l.Line})
	}
	out := make([]string, 0, len(reasons))
	for _, why := range reasons {
		out = append(out, "in "+wording.Lines(lines[why]...)+": "+why)
	}
	return out
}

// EaseFeeds lowers the feeds of the blocks from Line to LastLine of each finding to its EaseFeedMMMin, but no feed
// below result.LeastFeedShare of the programmed one. The next block that moves at feed gets the old feed back. Blocks
// whose feed cannot be changed alone are left as they are. All lines keep their numbers, and all else its bytes. p is
// the program as read from src and r its result. It fails when the eased text would not move as the program does.
func EaseFeeds(src []byte, p *parse.Program, r *result.Result) (EasedFeeds, error) {
	e := newEasing(src, p, r)
	e.findLeft()
	e.edit()
	out := EasedFeeds{Text: e.text(), Changes: e.changes}
	for line, why := range e.left {
		out.Left = append(out.Left, FeedLeft{Line: line, Why: why})
	}
	slices.SortFunc(out.Left, func(a, b FeedLeft) int { return a.Line - b.Line })
	slices.SortFunc(out.Changes, func(a, b FeedChange) int { return a.Line - b.Line })
	return out, e.check(p.WithText(out.Text))
}

// easing is the work of EaseFeeds.
type easing struct {
	program *parse.Program
	lines   []ProgramLine
	blocks  []parse.FeedBlock
	runs    map[int]int       // how often a line of the main file runs
	feeds   map[int]feedRange // of the moves at feed of a line of the main file
	ease    map[int]float64   // feeds of lines that are to be lowered, mm/min
	lowered map[int]float64   // what becomes of them
	left    map[int]string    // why a line keeps its feed
	changes []FeedChange      // in order of execution
	words   map[int]edited    // lines with another F word
	point   bool              // whole feeds are written with a point
}

// feedRange is the lowest and the highest feed of some moves, mm/min.
type feedRange struct{ low, high float64 }

// edited is an F word in place of the bytes of a line from one offset to another.
type edited struct {
	from, to int
	word     string
}

func newEasing(src []byte, p *parse.Program, r *result.Result) *easing {
	e := &easing{program: p, lines: SplitLines(src), blocks: p.FeedBlocks(), runs: map[int]int{},
		feeds: map[int]feedRange{}, ease: map[int]float64{}, lowered: map[int]float64{}, left: map[int]string{},
		words: map[int]edited{}}
	for _, b := range e.blocks {
		if b.Main {
			e.runs[b.Line]++
		}
	}
	called := map[int]float64{} // highest feed in subprogram files, by the line of the call
	for _, m := range p.Moves.All() {
		line := int(m.Line)
		if m.Kind != parse.Feed && m.Kind != parse.Arc {
			continue
		}
		if m.Sub != 0 {
			called[line] = math.Max(called[line], m.FeedMMMin)
			continue
		}
		f, known := e.feeds[line]
		if !known {
			f.low = m.FeedMMMin
		}
		e.feeds[line] = feedRange{math.Min(f.low, m.FeedMMMin), math.Max(f.high, m.FeedMMMin)}
	}
	for _, f := range r.Findings {
		if f.EaseFeedMMMin == 0 {
			continue
		}
		for line := min(f.Line, f.LastLine); line <= max(f.Line, f.LastLine); line++ {
			if known, ok := e.ease[line]; !ok || f.EaseFeedMMMin < known {
				e.ease[line] = f.EaseFeedMMMin
			}
			if called[line] > e.ease[line] {
				e.left[line] = "it calls a subprogram file; lower F there, or post the part without subprograms"
			}
		}
	}
	return e
}

// target is the feed of a block of the eased program that has the feed to itself, mm/min.
func (e *easing) target(b *parse.FeedBlock) float64 {
	ease, ok := e.ease[b.Line]
	if !ok || !b.Main || ease >= b.FeedMMMin {
		return b.FeedMMMin
	}
	units := ease / b.UnitMM
	if units < result.LeastFeedShare*b.FeedMMMin/b.UnitMM {
		units = math.Ceil(result.LeastFeedShare*b.FeedMMMin/b.UnitMM - 1/feedSteps)
	}
	return math.Min(b.FeedMMMin, rounded(units)*b.UnitMM)
}

// feedSteps is the number of steps in a unit of the program in which feeds are written that are not whole.
const feedSteps = 1e6

func rounded(units float64) float64 { return math.Round(units*feedSteps) / feedSteps }

// movesAtFeed tells whether a block may move at the modal feed. Of a block in a subprogram file that names an axis it
// is taken for granted.
func (e *easing) movesAtFeed(b *parse.FeedBlock) bool {
	if !b.Main {
		return b.Axes
	}
	_, moves := e.feeds[b.Line]
	return moves
}

// fixed says why no F word may be written into a block that moves at feed; "" where it may.
func (e *easing) fixed(b *parse.FeedBlock) string {
	f := e.feeds[b.Line]
	switch {
	case !b.Main:
		return "it stands in a subprogram file; lower F there"
	case e.runs[b.Line] > 1:
		return "it runs more than once; lower F by hand, or post the part without loops and subprograms"
	case b.Deletable:
		return "block delete may leave it out; lower F by hand, or take out the slash"
	case !b.PerMinute:
		return "its F is no feed per minute (G93 or G95); post the program with G94"
	case b.Room < 0:
		return "it cannot be read; correct it"
	case b.Sets && b.Word == [2]int{}:
		return "its F is computed; write F as a number"
	case !sameFeed(f.low, b.FeedMMMin) || !sameFeed(f.high, b.FeedMMMin):
		return "it does not move at the F in force; lower its feed by hand"
	}
	return ""
}

func sameFeed(a, b float64) bool { return math.Abs(a-b) <= math.Abs(b)/feedSteps }

// findLeft finds the blocks whose feed cannot be lowered alone. From the last block to the first it carries along what
// the feed of a block would spoil behind it.
func (e *easing) findLeft() {
	spoils := "" // the block behind that takes the modal feed and can have no F
	for i := len(e.blocks) - 1; i >= 0; i-- {
		b := &e.blocks[i]
		moves := e.movesAtFeed(b)
		why := ""
		if moves {
			why = e.fixed(b)
		}
		if moves && e.wants(b) {
			switch {
			case why != "":
				e.left[b.Line] = why
			case spoils != "":
				e.left[b.Line] = spoils + " goes on with its feed and cannot get an F; write one before it"
			case sameFeed(e.target(b), b.FeedMMMin):
				e.left[b.Line] = "no lower whole F leaves a useful chip; use another remedy"
			}
		}
		switch {
		case b.Sets || !b.PerMinute || moves && why == "":
			spoils = ""
		case moves && e.takesModal(b):
			spoils = fmt.Sprintf("line %d", b.Line)
			if !b.Main {
				spoils += " of a subprogram file"
			}
		}
	}
}

// takesModal tells whether a block that moves may do so at the modal feed.
func (e *easing) takesModal(b *parse.FeedBlock) bool {
	f, known := e.feeds[b.Line]
	return !b.Main || known && f.low <= b.FeedMMMin*(1+1/feedSteps) && f.high >= b.FeedMMMin*(1-1/feedSteps)
}

// wants tells whether the feed of a block is to be lowered.
func (e *easing) wants(b *parse.FeedBlock) bool {
	ease, ok := e.ease[b.Line]
	return ok && b.Main && e.feeds[b.Line].high > ease
}

// edit writes the F words, in order of execution.
func (e *easing) edit() {
	var old, now float64 // modal feed of the program and of its copy
	for i := range e.blocks {
		b := &e.blocks[i]
		if b.Sets || !sameFeed(b.FeedMMMin, old) {
			now = b.FeedMMMin
		}
		old = b.FeedMMMin
		if b.Word != [2]int{} {
			e.point = bytes.IndexByte(e.textOf(b), '.') >= 0
		}
		if !e.movesAtFeed(b) || e.fixed(b) != "" {
			continue
		}
		target := b.FeedMMMin
		if e.left[b.Line] == "" {
			target = e.target(b)
		}
		if !sameFeed(target, b.FeedMMMin) {
			e.lowered[b.Line] = target
		}
		if !sameFeed(target, now) {
			e.write(b, target)
		}
		now = target
	}
}

// textOf is the F word of a block of the main file; nothing of one in another file.
func (e *easing) textOf(b *parse.FeedBlock) []byte {
	if !b.Main || b.Line > len(e.lines) {
		return nil
	}
	return e.lines[b.Line-1].Text[b.Word[0]:b.Word[1]]
}

// write puts a feed into a block.
func (e *easing) write(b *parse.FeedBlock, mmMin float64) {
	word := e.word(b, mmMin)
	change := FeedChange{Line: b.Line, Old: e.word(b, b.FeedMMMin), New: word, Added: !b.Sets}
	switch line := e.lines[b.Line-1].Text; {
	case b.Sets:
		e.words[b.Line] = edited{b.Word[0], b.Word[1], word}
	case startsWord(line, b.Room):
		e.words[b.Line] = edited{b.Room, b.Room, word + " "}
	default:
		e.words[b.Line] = edited{b.Room, b.Room, " " + word}
	}
	e.changes = append(e.changes, change)
}

// word is a feed as an F word of a block.
func (e *easing) word(b *parse.FeedBlock, mmMin float64) string {
	word := "F" + strconv.FormatFloat(rounded(mmMin/b.UnitMM), 'f', -1, 64)
	if e.point && !strings.Contains(word, ".") {
		word += "."
	}
	return word
}

// startsWord tells whether a word begins at an offset of a line.
func startsWord(line []byte, at int) bool {
	return at < len(line) && line[at]|0x20 >= 'a' && line[at]|0x20 <= 'z'
}

// text is the program with the F words.
func (e *easing) text() []byte {
	var out bytes.Buffer
	for i, l := range e.lines {
		if w, ok := e.words[i+1]; ok {
			out.Write(l.Text[:w.from])
			out.WriteString(w.word)
			out.Write(l.Text[w.to:])
		} else {
			out.Write(l.Text)
		}
		out.Write(l.end)
	}
	return out.Bytes()
}

// check compares the moves of the eased text with those of the program.
func (e *easing) check(eased *parse.Program) error {
	if a, b := e.program.Moves.Len(), eased.Moves.Len(); a != b {
		return fmt.Errorf("with lower feeds the program would have %d moves instead of %d; lower them by hand", b, a)
	}
	for i, want := range e.program.Moves.All() {
		got := eased.Moves.At(i)
		if feed, ok := e.lowered[int(want.Line)]; ok && want.Sub == 0 && want.FeedMMMin > 0 {
			want.FeedMMMin = feed
		}
		same := sameFeed(got.FeedMMMin, want.FeedMMMin)
		got.FeedMMMin, got.DurationS = want.FeedMMMin, want.DurationS
		if !same || got != want {
			return fmt.Errorf(
				"the feeds cannot be lowered without changing other motion in line %d; lower them by hand",
				want.Line)
		}
	}
	return nil
}
