package words

import (
	"fmt"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
)

// Trouble says in a few words each what is wrong with a program, and what to do; "" where nothing is, or nothing is
// known.
func Trouble(r *result.Result) (what, do string) {
	if r.Verdict == result.Held {
		return "", ""
	}
	if len(r.Actions) > 0 {
		a := &r.Actions[0]
		do = shortAction(a)
		if len(a.LeftLoose) > 0 {
			who, _ := Loose(a)
			do += ": leaves " + who + " loose"
		} else if a.Verdict != result.Held {
			do += ": stays at risk"
		}
	}
	for _, g := range r.Groups() {
		switch {
		case g.Worst.Verdict() != r.Verdict:
			continue
		case len(g.Pieces) == 0:
			return atLine(g.Line(), g.Worst.Message), Visible(do)
		}
		return partsInWords(r, &g), Visible(do)
	}
	return "", Visible(do)
}

// partsInWords counts the pieces with the verdict of the program and says how large the worst of them are.
func partsInWords(r *result.Result, worst *result.Group) string {
	t := NewTally(r)
	n := t.Of[result.StateLoose]
	if r.Verdict == result.AtRisk {
		n = t.Of[result.StateAtRisk]
	}
	if worst.Pieces[0] == 1 {
		return "the stock"
	}
	size := worst.SizeInWords()
	if size == "" || n == 0 {
		return atLine(worst.Line(), worst.Worst.Message)
	}
	if n > len(worst.Pieces) {
		return fmt.Sprintf("%s, worst %s", wording.Count(n, "part", "parts"), size)
	}
	return fmt.Sprintf("%s %s", wording.Count(n, "part", "parts"), size)
}

// maxTrouble is the number of letters of a message in a table.
const maxTrouble = 60

func atLine(line int, message string) string {
	message, _, _ = strings.Cut(Visible(message), "; ")
	if line > 0 {
		message = fmt.Sprintf("line %d: %s", line, message)
	}
	return Clip(message, maxTrouble)
}

// shortAction is the head of what to do, without lines and reasons.
func shortAction(a *result.Action) string {
	what := a.What
	for _, end := range []string{": ", " ("} {
		what, _, _ = strings.Cut(what, end)
	}
	return what
}

// Clip cuts a text that is too long for an entry of the sheet, behind a word if there is one.
func Clip(s string, most int) string {
	runes := []rune(s)
	if len(runes) <= most {
		return s
	}
	short := string(runes[:most-4])
	if at := strings.LastIndexByte(short, ' '); at > len(short)/2 {
		short = short[:at]
	}
	return short + " ..."
}
