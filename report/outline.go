package report

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"

	"staydown/hold/dryrun"
	"staydown/hold/outline"
	"staydown/hold/wording"
	"staydown/report/words"
)

// outlineCaution goes before the caution of every report.
const outlineCaution = "A drawing has no order, depth or feed: this says what would hold, not what a program does. " +
	"Check the program before it runs."

// OutlineText writes what of a drawing would hold: notes of the drawing, one line for each group of like items, the
// worst first, and the answer for the drawing. Errors are those of w.
func OutlineText(w io.Writer, r *outline.Result, o TextOptions) error {
	b := bufio.NewWriter(w)
	for _, n := range r.Notes {
		fmt.Fprintf(b, "%s %s: %s\n", words.Visible(words.Place(r.Path, n.Line, 0)), paint("note", sgrCalm, o),
			words.Visible(n.Message))
	}
	for _, g := range outlineGroups(r.Items) {
		level, colour := "note", sgrCalm
		switch g.first.Class {
		case dryrun.WouldNotHold:
			level, colour = "error", sgrGrave
		case dryrun.WithCare:
			level, colour = "warning", sgrWarn
		}
		if g.first.Class == dryrun.WouldHold && o.Quiet {
			continue
		}
		fmt.Fprintf(b, "%s %s: %s\n", words.Visible(words.Place(r.Path, g.first.Line, 0)), paint(level, colour, o),
			words.Visible(g.words()))
	}
	if !o.Quiet {
		outlineSummary(b, r, o)
	}
	return b.Flush()
}

// outlineGroup is items of the same kind, size and answer.
type outlineGroup struct {
	first  outline.Item
	items  []outline.Item
	lo, hi [4]float64 // least margins in each way
}

// outlineGroups puts like items together, the worst first, without those that are milled away.
func outlineGroups(items []outline.Item) []*outlineGroup {
	type key struct {
		kind       outline.Kind
		w, h, area int64
		class      dryrun.Class
		way        outline.Way
	}
	seen := map[key]*outlineGroup{}
	var out []*outlineGroup
	for _, i := range items {
		if i.MilledAway {
			continue
		}
		round := func(v float64) int64 { return int64(math.Round(10 * v)) }
		k := key{i.Kind, round(i.SizeMM[0]), round(i.SizeMM[1]), round(i.AreaMM2 / 10), i.Class, i.Way}
		g := seen[k]
		if g == nil {
			g = &outlineGroup{first: i}
			seen[k] = g
			out = append(out, g)
		}
		for w, t := range i.Trials {
			if len(g.items) == 0 || t.Margin < g.lo[w] {
				g.lo[w] = t.Margin
			}
			if len(g.items) == 0 || t.Margin > g.hi[w] {
				g.hi[w] = t.Margin
			}
		}
		g.items = append(g.items, i)
	}
	slices.SortStableFunc(out, func(a, b *outlineGroup) int { return cmp.Compare(b.first.Class, a.first.Class) })
	return out
}

// words is the line of a group: what it is, the answer, and the margin in each way that was tried.
func (g *outlineGroup) words() string {
	s := itemName(g.first)
	if n := len(g.items); n > 1 {
		s = fmt.Sprintf("%s and %s like it", s, wording.Count(n-1, "other", "others"))
	}
	s += ": " + g.first.Class.String()
	if g.first.Class == dryrun.WithCare {
		s += ", with a " + careWords(g.first.Way)
	}
	for w, t := range g.first.Trials {
		if !t.Tried && t.Why == "" {
			continue
		}
		s += fmt.Sprintf("; %s: %s", outline.Way(w), trialWords(t, g.lo[w], g.hi[w]))
	}
	return s
}

func careWords(w outline.Way) string {
	switch w {
	case outline.Skin:
		return "thin last pass that leaves a skin"
	case outline.Tabs:
		return "thin last pass that leaves tabs"
	}
	return w.String()
}

// itemName names an item for people.
func itemName(i outline.Item) string {
	size := fmt.Sprintf("(%.4g x %.4g mm)", i.SizeMM[0], i.SizeMM[1])
	switch i.Kind {
	case outline.OffcutItem:
		return fmt.Sprintf("offcut of hole %d in part %d %s", i.Hole, i.Part, size)
	case outline.SheetItem:
		return "sheet"
	}
	return fmt.Sprintf("part %d %s", i.Part, size)
}

// trialWords is a margin or a range of them, with how the item comes loose.
func trialWords(t outline.Trial, lo, hi float64) string {
	switch {
	case math.IsInf(t.Margin, 1):
		return "not loaded"
	case math.IsNaN(t.Margin) || !t.Tried:
		return cmp.Or(t.Why, "not known")
	}
	s := "margin " + wording.Margin(lo)
	if up := wording.Margin(hi); hi > lo && up != wording.Margin(lo) {
		s += " to " + up
	}
	if !t.Holds {
		s += ", " + cmp.Or(t.Why, t.Mode.String())
	}
	return s
}

func outlineSummary(b *bufio.Writer, r *outline.Result, o TextOptions) {
	count := map[dryrun.Class]int{}
	parts := 0
	for _, i := range r.Items {
		if i.Kind == outline.PartItem {
			parts++
			count[i.Class]++
		}
	}
	fmt.Fprintf(b, "%s: %s, %s in %s: %d would-hold, %d with-care, %d would-not-hold\n", words.Visible(r.Path),
		wording.Count(parts, "part", "parts"), r.Format, r.Unit, count[dryrun.WouldHold], count[dryrun.WithCare],
		count[dryrun.WouldNotHold])
	fmt.Fprintf(b, "    required margin: %s; smallest pump for all: %s in one pass, %s with the care named\n",
		wording.Margin(r.Margin), pumpWords(r.PumpPlainM3h), pumpWords(r.PumpCareM3h))
	for _, s := range r.Reasons {
		fmt.Fprintf(b, "    %s\n", words.Visible(s))
	}
	for _, s := range r.Assumed {
		fmt.Fprintf(b, "    assumed: %s\n", words.Visible(s))
	}
	fmt.Fprintf(b, "    %s %s\n", outlineCaution, words.Caution)
	fmt.Fprintf(b, "%s: %s\n", words.Visible(r.Path), paint(r.Class.String(), classColour(r.Class), o))
}

func classColour(c dryrun.Class) string {
	return [...]string{sgrCalm, sgrWarn, sgrGrave}[c]
}

func pumpWords(m3h float64) string {
	if math.IsNaN(m3h) || math.IsInf(m3h, 0) {
		return "none"
	}
	return fmt.Sprintf("%.3g m3/h", m3h)
}
