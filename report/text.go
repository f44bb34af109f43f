package report

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"staydown/hold"
	"staydown/hold/job"
	"staydown/hold/wording"
)

// TextOptions are the choices for Text. The zero value prints findings and summary without colour.
type TextOptions struct {
	Colour bool // terminal colours (SGR sequences)
	Quiet  bool // findings only, without their remedies and the summary
	// Said are the assumptions already printed, for a run of several programs: they are only counted, new ones are
	// printed and added, and the caution is left to the end of the run. nil: a single program.
	Said map[string]bool
	// Compared marks the findings by a baseline. nil: no baseline.
	Compared *Comparison
}

// SGR sequences of the terminal (ECMA-48, 8.3.117). Errors are also bold, so that levels differ without color.
const (
	sgrReset  = "\x1b[0m"
	sgrGrave  = "\x1b[1;35m" // bold magenta
	sgrWarn   = "\x1b[33m"   // yellow
	sgrCalm   = "\x1b[36m"   // cyan
	sgrSubtle = "\x1b[2m"    // faint
)

// Text writes the findings of one program, one line each in the GNU error form, then a short summary that ends in
// a one-line verdict. Errors are those of w.
func Text(w io.Writer, r *hold.Result, o TextOptions) error {
	b := bufio.NewWriter(w)
	for i, f := range r.Findings {
		textFinding(b, r.Program.Path, f, o.Compared.state(i), o)
	}
	if o.Compared != nil && !o.Quiet {
		for _, gone := range o.Compared.Absent {
			fmt.Fprintf(b, "%s: note: absent since the baseline: %s\n", Visible(r.Program.Path), Visible(gone))
		}
	}
	if !o.Quiet {
		textSummary(b, r, o)
	}
	return b.Flush()
}

// word names the kind of a finding in pages and comments: "loose" or "at-risk" for a margin, the rule for all others.
func word(f hold.Finding) string {
	switch f.Rule {
	case "slip", "twist", "tip", "lift", "unheld":
		if f.Level == hold.LevelError {
			return hold.Loose.String()
		}
		return hold.AtRisk.String()
	}
	return f.Rule
}

// place renders the start of a GNU error line: file, and line and column if known.
func place(path string, line, column int) string {
	switch {
	case line <= 0:
		return path + ":"
	case column <= 0:
		return fmt.Sprintf("%s:%d:", path, line)
	default:
		return fmt.Sprintf("%s:%d:%d:", path, line, column)
	}
}

// besides is the path of a file in the folder of path.
func besides(path, file string) string { return path[:strings.LastIndexByte(path, '/')+1] + file }

// textFinding writes one finding. state is its baseline state, "" for none; it goes to the end of the line, where it
// does not disturb editors.
func textFinding(b *bufio.Writer, path string, f hold.Finding, state string, o TextOptions) {
	if state != "" {
		state = " [" + state + "]"
	}
	at, message := place(path, f.Line, f.Column), f.Message
	if in := f.Within; in.File != "" {
		at = place(besides(path, in.File), in.Line, in.Col)
		message = strings.TrimPrefix(message, in.String()+": ")
	}
	fmt.Fprintf(b, "%s %s: %s%s\n", Visible(at), paint(f.Level.String(), levelColour(f.Level), o), Visible(message),
		state)
	if f.Remedy != "" && !o.Quiet {
		fmt.Fprintf(b, "    remedy: %s\n", Visible(f.Remedy))
	}
}

func textSummary(b *bufio.Writer, r *hold.Result, o TextOptions) {
	p := r.Program
	fmt.Fprintf(b, "%s: %s, %s of machining, %s of feed moves\n", Visible(p.Path), wording.Count(p.Blocks, "block",
		"blocks"),
		wording.Clock(p.DurationS), metres(p.CutLengthMM))
	fmt.Fprintf(b, "    pieces: %s\n", piecesInWords(r))
	if worst, ok := r.LeastPiece(); ok {
		fmt.Fprintf(b, "    least margin: %s (piece %d, %s, line %d); required: %s\n",
			wording.Margin(worst.Least.Margin),
			worst.ID,
			worst.Least.Mode, worst.Least.Line, wording.Margin(r.Margin))
	} else {
		fmt.Fprintf(b, "    least margin: nothing is loaded; required: %s\n", wording.Margin(r.Margin))
	}
	fmt.Fprintf(b, "    vacuum: %s\n", vacuumInWords(r))
	if leaks := leaksInWords(r); leaks != "" {
		fmt.Fprintf(b, "    air: %s\n", leaks)
	}
	if from := sourcesInWords(r.Job.Sources); from != "" {
		fmt.Fprintf(b, "    job: %s\n", Visible(from))
	}
	textAssumed(b, r.Assumed, o)
	if o.Said == nil {
		textCaution(b, "    ", o)
	}
	fmt.Fprintf(b, "%s: %s: %s\n", Visible(p.Path), paint(r.Verdict.String(), verdictColour(r.Verdict), o),
		verdictInWords(r))
}

// sourcesInWords tells which file gives which values of the job; "" if one file gives all.
func sourcesInWords(sources []job.Source) string {
	if len(sources) < 2 {
		return ""
	}
	var parts []string
	for _, s := range sources {
		if len(s.Keys) > 0 {
			parts = append(parts, s.File+" gives "+strings.Join(s.Keys, ", "))
		}
	}
	return strings.Join(parts, "; ")
}

func textAssumed(b *bufio.Writer, assumed []string, o TextOptions) {
	lead, before := "assumed: ", 0
	for _, a := range assumed {
		if o.Said[a] {
			before++
			continue
		}
		if o.Said != nil {
			o.Said[a] = true
		}
		fmt.Fprintf(b, "    %s%s\n", lead, Visible(a))
		lead = "         "
	}
	if before > 0 {
		fmt.Fprintf(b, "    %s%s as listed above\n", lead, wording.Count(before, "assumption", "assumptions"))
	}
}

func textCaution(b *bufio.Writer, indent string, o TextOptions) {
	for i, line := range wrap(caution, 100) {
		if i == 0 {
			line = "caution: " + line
		} else {
			line = "         " + line
		}
		fmt.Fprintf(b, "%s%s\n", indent, paint(line, sgrSubtle, o))
	}
}

// TextCaution writes the caution that ends a run of several programs.
func TextCaution(w io.Writer, o TextOptions) error {
	b := bufio.NewWriter(w)
	textCaution(b, "", o)
	return b.Flush()
}

// verdictInWords explains the verdict in one line.
func verdictInWords(r *hold.Result) string {
	n := make(map[hold.Level]int)
	for _, f := range r.Findings {
		n[f.Level]++
	}
	tally := "no findings"
	if len(r.Findings) > 0 {
		tally = strings.Join([]string{wording.Count(n[hold.LevelError], "error", "errors"),
			wording.Count(n[hold.LevelWarning], "warning", "warnings"), wording.Count(n[hold.LevelNote], "note",
				"notes")}, ", ")
	}
	switch r.Verdict {
	case hold.Held:
		return "every piece holds with the required margin (" + tally + ")"
	case hold.AtRisk:
		return riskInWords(r) + " (" + tally + ")"
	case hold.Incomplete:
		return "part of the program could not be checked (" + tally + ")"
	default:
		return "at least one piece comes loose (" + tally + ")"
	}
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

func kilopascal(v float64) string {
	if math.IsNaN(v) {
		return "unknown"
	}
	return fmt.Sprintf("%.1f kPa", v)
}

func metres(mm float64) string {
	return fmt.Sprintf("%.2f m", mm/1000)
}

func paint(s, sgr string, o TextOptions) string {
	if !o.Colour {
		return s
	}
	return sgr + s + sgrReset
}

func levelColour(l hold.Level) string {
	switch l {
	case hold.LevelError:
		return sgrGrave
	case hold.LevelWarning:
		return sgrWarn
	}
	return sgrCalm
}

func verdictColour(v hold.Verdict) string {
	switch v {
	case hold.Held:
		return sgrCalm
	case hold.AtRisk:
		return sgrWarn
	}
	return sgrGrave
}

// wrap breaks text at spaces into lines of at most width bytes; a longer word gets its own line.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, w := range strings.Fields(text) {
		switch {
		case line == "":
			line = w
		case len(line)+1+len(w) <= width:
			line += " " + w
		default:
			lines = append(lines, line)
			line = w
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
