package words

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
)

// Action says what to do and what it brings; what stays loose stands first.
func Action(a *result.Action) string {
	margin := "least margin " + rangeInWords(a.LeastMargin)
	if len(a.LeftLoose) > 0 {
		who, parts := Loose(a)
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

// Loose counts what an action leaves loose, the stock by name, and gives the parts among it.
func Loose(a *result.Action) (words string, parts []int) {
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
