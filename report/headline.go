package report

import (
	"fmt"
	"strings"

	"staydown/hold"
	"staydown/hold/wording"
)

// tally counts the pieces of a result but for the stock, by state.
type tally struct {
	parts int
	of    map[hold.State]int
	stock hold.State
}

func newTally(r *hold.Result) tally {
	t := tally{of: map[hold.State]int{}}
	for i, p := range r.Pieces {
		if i == 0 {
			t.stock = p.State
			continue
		}
		t.parts++
		t.of[p.State]++
	}
	return t
}

// headline is the verdict of a program in one line.
func headline(r *hold.Result, o TextOptions) string {
	verdict := strings.ToUpper(strings.ReplaceAll(r.Verdict.String(), "-", " "))
	return paint(verdict, verdictColour(r.Verdict), o) + ". " + headlineWords(r)
}

func headlineWords(r *hold.Result) string {
	t := newTally(r)
	loose, risky := t.of[hold.StateLoose], t.of[hold.StateAtRisk]
	slivers := ""
	if n := t.of[hold.StateSliver]; n > 0 {
		slivers = "; " + wording.Count(n, "sliver", "slivers")
	}
	switch r.Verdict {
	case hold.Loose:
		who, many := fmt.Sprintf("%d of %s", loose, wording.Count(t.parts, "part", "parts")), loose != 1
		switch {
		case t.stock == hold.StateLoose && loose == 0:
			who, many = "The stock", false
		case t.stock == hold.StateLoose:
			who, many = "The stock and "+who, true
		}
		out := who + " comes loose"
		if many {
			out = who + " come loose"
		}
		if risky > 0 {
			out += fmt.Sprintf("; %d more %s at risk", risky, isAre(risky))
		}
		return out + slivers + "."
	case hold.Incomplete:
		return "Part of the program could not be checked."
	case hold.AtRisk:
		words := riskInWords(r)
		out := strings.ToUpper(words[:1]) + words[1:]
		if risky > 0 {
			out += fmt.Sprintf(": %d of %s", risky, wording.Count(t.parts, "part", "parts"))
		}
		return out + slivers + "; " + leastInWords(r) + "."
	}
	out := wording.Count(t.parts, "part", "parts") + slivers + ", " + leastInWords(r) + "."
	switch alarm := r.Vacuum.AlarmSetpointKPa; {
	case alarm > 0:
		out += fmt.Sprintf(" Alarm %s.", neededVacuum(r, alarm))
	case len(r.Vacuum.Settings) > 1:
		words := alarmInWords(r)
		out += " " + strings.ToUpper(words[:1]) + words[1:] + "."
	}
	return out + " " + wording.Clock(r.Program.DurationS) + " of machining."
}

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// leastInWords is the least margin with its range and place.
func leastInWords(r *hold.Result) string {
	worst, ok := r.LeastPiece()
	if !ok {
		return "nothing is loaded"
	}
	l := worst.Least
	return fmt.Sprintf("least margin %s at line %d (required %s)", marginInWords(l), l.Line, wording.Margin(r.Margin))
}

// marginInWords writes the least margin of a piece, with its range where that is known.
func marginInWords(l hold.Least) string {
	return rangeInWords(hold.Range{Low: l.Low, Likely: l.Margin, High: l.High})
}

// rangeInWords writes a margin, with its range where that is known: "3.70 (2.10 to 6.40)".
func rangeInWords(m hold.Range) string {
	return wording.MarginRange(m.Low, m.Likely, m.High)
}

// doubtsInWords names the inputs that the least margin depends on most; "" when they are not known.
func doubtsInWords(r *hold.Result) string {
	const named, leastNamed = 3, 0.05 // of the variance
	var parts []string
	for _, d := range r.Doubts {
		if len(parts) < named && d.Share >= leastNamed {
			part := fmt.Sprintf("%s %.0f %%", Visible(d.Input), 100*d.Share)
			if d.Measure != "" {
				part += " (" + Visible(d.Measure) + ")"
			}
			parts = append(parts, part)
		}
	}
	return strings.Join(parts, ", ")
}

// riskInWords says why a program that holds is at risk: margins, the chuck, the vacuum, or several of these.
func riskInWords(r *hold.Result) string {
	var margin, limit, chuck, vacuum bool
	for _, f := range r.Findings {
		switch f.Rule {
		case hold.RuleSlip, hold.RuleTwist, hold.RuleTip, hold.RuleLift:
			margin = true
		case hold.RuleChuck:
			limit, chuck = limit || f.Level < hold.LevelError, chuck || f.Level >= hold.LevelError
		case hold.RulePumpShort:
			vacuum = true
		}
	}
	var causes []string
	if chuck {
		causes = append(causes, "the tool cuts into the chuck")
	} else if limit {
		causes = append(causes, "the tool cuts deeper into the layer than its limit")
	}
	if vacuum {
		causes = append(causes, "the vacuum falls below the alarm")
	}
	also := strings.Join(causes, " and ")
	const less = "everything holds, but below the required margin"
	switch {
	case margin && also != "":
		return less + ", and " + also
	case margin:
		return less
	case also != "":
		return "every piece holds with the required margin, but " + also
	}
	return "everything holds, but a limit was exceeded"
}

// piecesInWords counts the pieces by state.
func piecesInWords(r *hold.Result) string {
	freed := 0
	n := make(map[hold.State]int)
	for _, p := range r.Pieces {
		if p.Freed {
			freed++
		}
		n[p.State]++
	}
	parts := []string{}
	for _, s := range []hold.State{hold.StateHeld, hold.StateAtRisk, hold.StateLoose, hold.StateSliver,
		hold.StateUnknown} {
		if n[s] > 0 {
			noun := s.String()
			if s == hold.StateSliver && n[s] > 1 {
				noun = "slivers"
			}
			parts = append(parts, fmt.Sprintf("%d %s", n[s], noun))
		}
	}
	out := wording.Count(len(r.Pieces), "piece", "pieces") + fmt.Sprintf(", %d freed", freed)
	if len(parts) > 0 {
		out += ": " + strings.Join(parts, ", ")
	}
	return out
}
