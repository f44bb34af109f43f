package report

import (
	"bufio"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
)

// textActions writes what to do for the whole program, the best first.
func textActions(b *bufio.Writer, r *result.Result, o TextOptions) {
	if len(r.Actions) == 0 {
		return
	}
	lead := "  "
	if o.Quiet {
		lead = Visible(r.Program.Path) + ": "
	}
	fmt.Fprintf(b, "%swhat to do (each checked by a run of the whole program):\n", lead)
	for i, a := range r.Actions {
		if i == result.ShownActions && !o.All {
			fmt.Fprintf(b, "       ... %d more (--all)\n", len(r.Actions)-i)
			break
		}
		for k, line := range wrap(actionInWords(&a), 110) {
			number := "   "
			if k == 0 {
				number = fmt.Sprintf("%d  ", i+1)
			}
			fmt.Fprintf(b, "    %s%s\n", number, Visible(line))
		}
	}
}

// actionInWords says what to do and what it brings; what stays loose stands first.
func actionInWords(a *result.Action) string {
	margin := "least margin " + rangeInWords(a.LeastMargin)
	if len(a.LeftLoose) > 0 {
		who, parts := looseInWords(a)
		if len(parts) > 0 {
			who += " loose (" + pieceList(parts) + ")"
		} else {
			who += " loose"
		}
		return fmt.Sprintf("leaves %s: %s; %s", who, a.What, margin)
	}
	if a.Verdict == result.Held {
		return fmt.Sprintf("%s: everything holds, %s", a.What, margin)
	}
	if a.LeastMargin.Likely < 1 { // what is too small to count among what comes loose
		return a.What + ": nothing but slivers comes loose, but it stays at risk"
	}
	return fmt.Sprintf("%s: nothing comes loose, but it stays at risk, %s", a.What, margin)
}

// looseInWords counts what an action leaves loose, the stock by name, and gives the parts among it.
func looseInWords(a *result.Action) (words string, parts []int) {
	parts = slices.DeleteFunc(slices.Clone(a.LeftLoose), func(id int) bool { return id == 1 })
	words = wording.Count(len(parts), "part", "parts")
	switch {
	case len(parts) == 0:
		words = "the stock"
	case len(parts) < len(a.LeftLoose):
		words = "the stock and " + words
	}
	return words, parts
}

// pieceList names the first of many pieces.
func pieceList(ids []int) string {
	const named = 8
	var words []string
	for _, id := range ids[:min(len(ids), named)] {
		words = append(words, strconv.Itoa(id))
	}
	out := strings.Join(words, ", ")
	if n := len(ids) - named; n > 0 {
		out += fmt.Sprintf(" and %d more", n)
	}
	if len(ids) == 1 {
		return "piece " + out
	}
	return "pieces " + out
}
