package words

import (
	"fmt"
	"math"
	"strings"

	"staydown/hold/result"
	"staydown/hold/wording"
)

// tally counts the pieces of a result but for the stock, by state.
type tally struct {
	parts int
	Of    map[result.State]int
	stock result.State
}

func NewTally(r *result.Result) tally {
	t := tally{Of: map[result.State]int{}}
	for i, p := range r.Pieces {
		if i == 0 {
			t.stock = p.State
			continue
		}
		t.parts++
		t.Of[p.State]++
	}
	return t
}

func Headline(r *result.Result) string {
	t := NewTally(r)
	loose, risky := t.Of[result.StateLoose], t.Of[result.StateAtRisk]
	slivers := ""
	if n := t.Of[result.StateSliver]; n > 0 {
		slivers = "; " + wording.Count(n, "sliver", "slivers")
	}
	switch r.Verdict {
	case result.Loose:
		who, many := fmt.Sprintf("%d of %s", loose, wording.Count(t.parts, "part", "parts")), loose != 1
		switch {
		case t.stock == result.StateLoose && loose == 0:
			who, many = "The stock", false
		case t.stock == result.StateLoose:
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
	case result.Incomplete:
		return "Part of the program could not be checked."
	case result.AtRisk:
		words := Risk(r)
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
		words := Alarm(r)
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
func leastInWords(r *result.Result) string {
	worst, ok := r.LeastPiece()
	if !ok {
		return "nothing is loaded"
	}
	l := worst.Least
	return fmt.Sprintf("least margin %s at line %d (required %s)", Margin(l), l.Line, wording.Margin(r.Margin))
}

// Margin writes the least margin of a piece, with its range where that is known.
func Margin(l result.Least) string {
	return rangeInWords(result.Range{Low: l.Low, Likely: l.Margin, High: l.High})
}

// LeastMargin writes the least margin of a program, with its range where that is known.
func LeastMargin(r *result.Result) string {
	p, ok := r.LeastPiece()
	if !ok {
		return wording.Margin(math.NaN())
	}
	return Margin(p.Least)
}

// rangeInWords writes a margin, with its range where that is known: "3.70 (2.10 to 6.40)".
func rangeInWords(m result.Range) string {
	return wording.MarginRange(m.Low, m.Likely, m.High)
}

// Doubts names the inputs that the least margin depends on most; "" when they are not known.
func Doubts(r *result.Result) string {
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

// Risk says why a program that holds is at risk: margins, the chuck, the vacuum, what the tool runs into, or
// several of these.
func Risk(r *result.Result) string {
	var margin, limit, chuck, vacuum, collision, rapid bool
	for _, f := range r.Findings {
		margin = margin || result.AboutMargin(f.Rule)
		switch f.Rule {
		case result.RuleChuck:
			limit, chuck = limit || f.Level < result.LevelError, chuck || f.Level >= result.LevelError
		case result.RulePumpShort:
			vacuum = true
		case result.RuleCollision:
			collision = true
		case result.RuleRapidCut:
			rapid = true
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
	if collision {
		causes = append(causes, "the tool or its holder meets a clamp, a fixture or the table's edge")
	}
	if rapid {
		causes = append(causes, "a rapid move goes through material")
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

// Pieces counts the pieces by state.
func Pieces(r *result.Result) string {
	freed := 0
	n := make(map[result.State]int)
	for _, p := range r.Pieces {
		if p.Freed {
			freed++
		}
		n[p.State]++
	}
	parts := []string{}
	for _, s := range []result.State{result.StateHeld, result.StateAtRisk, result.StateLoose, result.StateSliver,
		result.StateUnknown} {
		if n[s] > 0 {
			noun := s.String()
			if s == result.StateSliver && n[s] > 1 {
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
