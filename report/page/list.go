package page

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/report/annotate"
	"staydown/report/picture"
	"staydown/report/words"
)

// pageEntry is an entry of the list of findings: equal findings are one.
type pageEntry struct {
	Index       int
	Word, Level string
	Where       string // line and time of the worst
	TimeS       float64
	Message     string
	Remedy      string
	Rule        string
	Meaning     string
	Advice      string
	Figures     []words.Fact
	Excerpt     []excerptLine
	Working     string
	WhyCommand  string
	Members     []entryMember // nil for one finding alone
	MembersLeft int
}

// entryMember is one of several findings of an entry.
type entryMember struct {
	Line                int
	TimeS               float64
	Time, Piece, Margin string
	Place, Remedy       string
}

type excerptLine struct {
	Number int
	Text   string
	Hit    bool
	Cut    bool   // lines are left out before this one
	Remark string // what is said before this line, as in the annotated program
}

// maxMembers bounds the findings that an entry lists.
const maxMembers = 60

// pageList is the list of findings of a page.
type pageList struct {
	entries []pageEntry
	left    int
	at      map[int]int // entry of each finding
}

// entryOf is the place of a finding in the list, or -1.
func (l *pageList) entryOf(finding int) int {
	if i, ok := l.at[finding]; ok {
		return i
	}
	return -1
}

// layList lays out the groups of findings, the most urgent first.
func layList(r *result.Result, lines []annotate.ProgramLine, workings []result.Working) pageList {
	groups := r.Groups()
	list := pageList{at: map[int]int{}, left: max(0, len(groups)-maxEntries)}
	room := maxWorking
	for i, g := range groups[:min(len(groups), maxEntries)] {
		e := layEntry(r, &g, lines)
		e.Index = i
		if text := workingAt(workings, g.Worst.Line); text != "" && len(text) <= room {
			e.Working = text
			room -= len(text)
		}
		list.entries = append(list.entries, e)
		for _, k := range g.Findings {
			list.at[k] = i
		}
	}
	return list
}

// gravest gives the indices of the findings that want takes, in the order of the program. When they are more than most,
// the gravest are kept.
func gravest(r *result.Result, most int, want func(result.Finding) bool) []int {
	var order []int
	for i, f := range r.Findings {
		if want(f) {
			order = append(order, i)
		}
	}
	if len(order) > most {
		slices.SortStableFunc(order, func(a, b int) int { return words.CompareGravity(r.Findings[a], r.Findings[b]) })
		order = order[:most]
		slices.Sort(order)
	}
	return order
}

// layEntry lays out the entry of a group: the program lines and figures are those of its worst finding.
func layEntry(r *result.Result, g *result.Group, lines []annotate.ProgramLine) pageEntry {
	f := g.Worst
	e := pageEntry{Word: words.Kind(f), Level: f.Level.String(), TimeS: f.TimeS, Message: words.Visible(g.Message()),
		Remedy: words.Visible(f.Remedy), Rule: f.Rule, Where: "whole program", Figures: findingFigures(r, f)}
	if rule, ok := result.RuleByID(f.Rule); ok {
		e.Meaning, e.Advice = words.Sentence(rule.Meaning), words.Sentence(rule.Advice)
	}
	if len(g.Findings) > 1 {
		e.Members = layMembers(r, g)
		e.MembersLeft = len(g.Findings) - len(e.Members)
	}
	if f.Line <= 0 {
		return e
	}
	last := max(f.Line, f.LastLine)
	e.Where = wording.Lines(wording.LineRange{First: f.Line, Last: last})
	if f.TimeS > 0 { // what is said of the whole program has a line and no time
		e.Where += ", " + wording.Clock(f.TimeS)
	}
	if e.Members != nil {
		e.Where = "worst at " + e.Where
	}
	e.WhyCommand = fmt.Sprintf("staydown why %s:%d", words.Visible(r.Program.Path), f.Line)
	if f.Level < result.LevelWarning {
		return e
	}
	e.Excerpt = excerpt(lines, f.Line, last)
	for i := range e.Excerpt {
		if e.Excerpt[i].Number == f.Line {
			e.Excerpt[i].Remark = e.Word + ": " + words.Visible(f.Message)
		}
	}
	return e
}

// layMembers lists the findings of a group.
func layMembers(r *result.Result, g *result.Group) []entryMember {
	var out []entryMember
	for _, k := range g.Findings[:min(len(g.Findings), maxMembers)] {
		f := r.Findings[k]
		m := entryMember{Line: f.Line, TimeS: f.TimeS, Time: wording.Clock(f.TimeS), Piece: "-", Margin: "-",
			Place:  "-",
			Remedy: words.Visible(f.Remedy)}
		if f.Piece > 0 {
			m.Piece = strconv.Itoa(f.Piece)
		}
		if !math.IsNaN(f.Margin) {
			m.Margin = wording.Margin(f.Margin)
		}
		if f.HasAt && picture.Finite(f.At[0]) && picture.Finite(f.At[1]) {
			m.Place = fmt.Sprintf("X%.0f Y%.0f", f.At[0], f.At[1])
		}
		out = append(out, m)
	}
	return out
}

// findingFigures lists the figures of a finding.
func findingFigures(r *result.Result, f result.Finding) (out []words.Fact) {
	add := func(label, value string) { out = append(out, words.Fact{Label: label, Value: value}) }
	if words.Number(f.HoldN) != "" {
		add("hold", r.Units.Force().Exact().Text(f.HoldN))
	}
	if words.Number(f.LoadN) != "" {
		add("load", r.Units.Force().Exact().Text(f.LoadN))
	}
	if !math.IsNaN(f.Margin) {
		add("margin = capacity / demand", wording.Margin(f.Margin))
		add("required margin", wording.Margin(r.Margin))
	}
	if f.Tool > 0 {
		add("tool", strconv.Itoa(f.Tool))
	}
	if i := slices.IndexFunc(r.Pieces, func(p result.Piece) bool { return p.ID == f.Piece }); i >= 0 {
		p := r.Pieces[i]
		add("piece", fmt.Sprintf("%d, %s, minimum held area %s", p.ID, r.Units.Area().Text(p.AreaMM2),
			r.Units.Area().Text(p.HeldAreaMM2)))
	}
	if sample, ok := sampleAt(r, f.TimeS); ok && f.Line > 0 {
		add("vacuum", r.Units.Pressure().Text(sample.VacuumKPa))
		add("leak", r.Units.Flow().Text(sample.LeakM3h))
	}
	return out
}

// workingAt is the reckoning at a line as text, "" when there is none.
func workingAt(workings []result.Working, line int) string {
	for _, w := range workings {
		if w.Line == line {
			var b strings.Builder
			if words.Working(&b, w) == nil {
				return plainLines(b.String())
			}
		}
	}
	return ""
}

// plainLines is plain for text of several lines.
func plainLines(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = words.Visible(lines[i])
	}
	return strings.Join(lines, "\n")
}

// sampleAt is the first sample at or after a moment; the last one when there is none.
func sampleAt(r *result.Result, t float64) (result.Sample, bool) {
	if len(r.Timeline) == 0 {
		return result.Sample{}, false
	}
	i, _ := slices.BinarySearchFunc(r.Timeline, t, func(s result.Sample, t float64) int {
		if s.TimeS < t {
			return -1
		}
		return 1
	})
	return r.Timeline[min(i, len(r.Timeline)-1)], true
}

// excerpt cuts the lines of a finding with some before and behind out of a program.
func excerpt(lines []annotate.ProgramLine, first, last int) []excerptLine {
	var out []excerptLine
	lo, hi := max(1, first-excerptBefore), min(len(lines), last+excerptAfter)
	for n := lo; n <= hi; n++ {
		cut := false
		if hi-lo+1 > maxExcerpt && n == lo+maxExcerpt/2 {
			n, cut = hi-maxExcerpt/2+1, true
		}
		out = append(out, excerptLine{Number: n, Text: lineText(lines[n-1]), Hit: n >= first && n <= last, Cut: cut})
	}
	return out
}

// lineText is a program line for a page, cut where it is very long.
func lineText(l annotate.ProgramLine) string {
	text := []rune(words.Visible(strings.ToValidUTF8(string(l.Text), "\uFFFD")))
	if len(text) > maxLineRunes {
		text = append(text[:maxLineRunes], []rune(" ...")...)
	}
	return string(text)
}
