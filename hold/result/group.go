package result

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"staydown/parse/units"
	"strings"

	"github.com/paulmach/orb"
)

// Group is what the findings of one rule and level say of equal pieces, or of several blocks in the same words.
type Group struct {
	Worst    Finding     // the one with the least margin, the first on ties
	Pieces   []int       // in rising order; nil when no piece is concerned
	Lines    []int       // the worst block of each finding, in rising order, each once
	Places   []orb.Point // of the pieces, or of the findings, in the order of their lines
	Findings []int       // indices in Result.Findings, in rising order

	piece *Piece // the worst one's
	units units.System
}

// Groups sums up the findings: one group for each rule, level and shape of piece, the most urgent first.
func (r *Result) Groups() []Group {
	type key struct {
		rule    string
		level   Level
		shape   int
		message string
	}
	at := map[key]int{}
	var out []Group
	for i, f := range r.Findings {
		k := key{rule: f.Rule, level: f.Level, message: withoutFigures(f.plainMessage())}
		p := r.PieceByID(f.Piece)
		if p != nil {
			k.shape, k.message = cmp.Or(p.Shape, p.ID), ""
		}
		n, known := at[k]
		if !known {
			n = len(out)
			at[k] = n
			out = append(out, Group{Worst: f, piece: p, units: r.Units})
		}
		out[n].add(i, f, p)
	}
	for i := range out {
		slices.Sort(out[i].Lines)
		out[i].Lines = slices.Compact(out[i].Lines)
		slices.Sort(out[i].Pieces)
	}
	slices.SortStableFunc(out, func(a, b Group) int { return a.Worst.compareUrgency(&b.Worst) })
	return out
}

// PieceByID is the piece of an id; nil for none.
func (r *Result) PieceByID(id int) *Piece {
	if id < 1 || id > len(r.Pieces) {
		return nil
	}
	return &r.Pieces[id-1]
}

func (g *Group) add(index int, f Finding, p *Piece) {
	g.Findings = append(g.Findings, index)
	if line := cmp.Or(f.WorstLine, f.Line); line > 0 {
		g.Lines = append(g.Lines, line)
	}
	switch {
	case p == nil && f.HasAt:
		g.Places = append(g.Places, f.At)
	case p != nil && !slices.Contains(g.Pieces, p.ID):
		g.Pieces = append(g.Pieces, p.ID)
		g.Places = append(g.Places, p.Centroid)
	}
	if f.Margin < g.Worst.Margin {
		g.Worst, g.piece = f, p
	}
}

// compareUrgency orders findings by level, by what they do to the verdict, by margin and by line.
func (f *Finding) compareUrgency(g *Finding) int {
	margin := func(f *Finding) float64 {
		if math.IsNaN(f.Margin) {
			return math.Inf(1)
		}
		return f.Margin
	}
	return cmp.Or(cmp.Compare(g.Level, f.Level), cmp.Compare(g.Verdict(), f.Verdict()),
		cmp.Compare(margin(f), margin(g)), cmp.Compare(f.Line, g.Line))
}

// plainMessage is the message without the N word at its end.
func (f *Finding) plainMessage() string { return strings.TrimSuffix(f.Message, inBrackets(f.Number)) }

// figures are numbers that do not belong to a code such as G2.
var figures = regexp.MustCompile(`(^|[ (XYZF])-?[0-9.]*[0-9]`)

// withoutFigures is a message without its numbers: what two messages of a rule must share to be one entry.
func withoutFigures(message string) string { return figures.ReplaceAllString(message, "$1") }

// Line is the block that the group points at: the worst one, or where its only finding begins.
func (g *Group) Line() int {
	if len(g.Findings) == 1 {
		return g.Worst.Line
	}
	return cmp.Or(g.Worst.WorstLine, g.Worst.Line)
}

// Message words the group. A single finding keeps its own words.
func (g *Group) Message() string {
	switch {
	case len(g.Findings) == 1:
		return g.Worst.Message
	case len(g.Pieces) < 2:
		return fmt.Sprintf("%s; %d times, %s", g.Worst.Message, len(g.Findings), few("line", "lines", g.Lines))
	}
	f := g.Worst
	who := fmt.Sprintf("%d %s (%s)", len(g.Pieces), sizeOfParts(g.piece, g.units), Places(g.Places, g.units))
	if f.Mode == NoMode {
		return fmt.Sprintf("%s; %s, %s", f.Message, who, few("line", "lines", g.Lines))
	}
	does := "are at risk of " + gerunds[f.Mode]
	if f.Margin < 1 {
		does = "come loose, " + f.Mode.String()
	}
	return fmt.Sprintf("%s %s: least %s, hold %s, load %s, tool %d; %s%s", who, does, f.MarginText(),
		g.units.Force().Text(f.HoldN), g.units.Force().Text(f.LoadN), f.Tool, few("line", "lines", g.Lines),
		inBrackets(f.WorstNumber))
}

// SizeInWords is the size of the worst piece; "" when it is not known.
func (g *Group) SizeInWords() string {
	if g.piece == nil || math.IsNaN(g.piece.SizeMM[0]+g.piece.SizeMM[1]) {
		return ""
	}
	return g.units.Size(g.piece.SizeMM[0], g.piece.SizeMM[1])
}

// sizeOfParts names equal parts by their size.
func sizeOfParts(p *Piece, u units.System) string {
	if math.IsNaN(p.SizeMM[0] + p.SizeMM[1]) {
		return "parts"
	}
	return "parts of " + u.Size(p.SizeMM[0], p.SizeMM[1])
}

// maxNamed is the number of lines or places that an entry names.
const maxNamed = 6

// few names the first of many numbers: "lines 3, 7 and 9", "lines 3, 7, 9, 12, 15, 18 and 34 more".
func few(one, many string, numbers []int) string {
	switch len(numbers) {
	case 0:
		return "no " + one
	case 1:
		return fmt.Sprintf("%s %d", one, numbers[0])
	}
	var words []string
	for _, n := range numbers[:min(len(numbers), maxNamed)] {
		words = append(words, fmt.Sprint(n))
	}
	rest := len(numbers) - len(words)
	if rest == 0 {
		last := len(words) - 1
		return fmt.Sprintf("%s %s and %s", many, strings.Join(words[:last], ", "), words[last])
	}
	return fmt.Sprintf("%s %s and %d more", many, strings.Join(words, ", "), rest)
}

// Places names the first of many places.
func Places(at []orb.Point, u units.System) string {
	const named = 3
	var words []string
	for _, p := range at[:min(len(at), named)] {
		words = append(words, u.Spot(p[0], p[1]))
	}
	if len(at) > named {
		words = append(words, "...")
	}
	return strings.Join(words, ", ")
}
