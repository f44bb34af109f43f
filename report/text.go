package report

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/report/words"
)

// TextOptions are the choices for Text. The zero value prints the answer and its summary without color.
type TextOptions struct {
	Colour bool // terminal colors (SGR sequences)
	Quiet  bool // what to do and the findings only, without verdict and summary
	All    bool // every finding on its own with its remedy, and every assumption
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

// Text writes what is known of one program: the verdict, what to do, the findings in the GNU error form, the most
// urgent first, then a short summary. Equal findings on equal pieces are one line. Errors are those of w.
func Text(w io.Writer, r *result.Result, o TextOptions) error {
	b := bufio.NewWriter(w)
	if !o.Quiet {
		fmt.Fprintf(b, "%s: %s\n", words.Visible(r.Program.Path), headline(r, o))
	}
	textActions(b, r, o)
	if o.All {
		for i, f := range r.Findings {
			textFinding(b, r.Program.Path, f, o.Compared.state(i), o)
		}
	} else {
		textGroups(b, r, o)
	}
	if o.Compared != nil && !o.Quiet {
		for _, gone := range o.Compared.Gone {
			fmt.Fprintf(b, "%s: note: gone since the baseline: %s\n", words.Visible(r.Program.Path),
				words.Visible(gone))
		}
	}
	if !o.Quiet {
		textSummary(b, r, o)
	}
	return b.Flush()
}

// besides is the path of a file in the folder of path.
func besides(path, file string) string { return path[:strings.LastIndexByte(path, '/')+1] + file }

// textFinding writes one finding. state is its baseline state, "" for none; it goes to the end of the line, where it
// does not disturb editors.
func textFinding(b *bufio.Writer, path string, f result.Finding, state string, o TextOptions) {
	if state != "" {
		state = " [" + state + "]"
	}
	at, message := words.Place(path, f.Line, f.Column), f.Message
	if in := f.Within; in.File != "" {
		at = words.Place(besides(path, in.File), in.Line, in.Col)
		message = strings.TrimPrefix(message, in.String()+": ")
	}
	fmt.Fprintf(b, "%s %s: %s%s\n", words.Visible(at), paint(f.Level.String(), levelColour(f.Level), o),
		words.Visible(message),
		state)
	if f.Remedy != "" {
		fmt.Fprintf(b, "    remedy: %s\n", words.Visible(f.Remedy))
	}
}

// maxGroups bounds the entries of one program on the terminal, unless all are asked for.
const maxGroups = 12

// textGroups writes the findings, those that say the same once, the most urgent first.
func textGroups(b *bufio.Writer, r *result.Result, o TextOptions) {
	groups := r.Groups()
	for _, g := range groups[:min(len(groups), maxGroups)] {
		f := g.Worst
		f.Line, f.Message = g.Line(), g.Message()
		if len(r.Actions) > 0 {
			f.Remedy = ""
		} else if f.Remedy != "" && len(g.Pieces) > 1 {
			f.Remedy += "; the others likewise (--all)"
		}
		textFinding(b, r.Program.Path, f, groupState(&g, o.Compared), o)
	}
	if n := len(groups) - maxGroups; n > 0 {
		fmt.Fprintf(b, "%s: note: %s (--all)\n", words.Visible(r.Program.Path), wording.Count(n, "more entry",
			"more entries"))
	}
}

// groupState is the baseline state of a group: that of its findings, or how many have which.
func groupState(g *result.Group, c *Comparison) string {
	var states []string
	count := map[string]int{}
	for _, i := range g.Findings {
		state := c.state(i)
		if count[state]++; count[state] == 1 {
			states = append(states, state)
		}
	}
	if len(states) == 1 {
		return states[0]
	}
	for i, state := range states {
		states[i] = fmt.Sprintf("%d %s", count[state], state)
	}
	return strings.Join(states, "; ")
}

func textSummary(b *bufio.Writer, r *result.Result, o TextOptions) {
	say := func(format string, args ...any) { fmt.Fprintf(b, "  "+format+"\n", args...) }
	if r.Vacuum.Known() && (r.Verdict != result.Held || o.All) {
		say("vacuum %s at the start, minimum %s", r.Units.Pressure().Text(r.Vacuum.StartKPa),
			r.Units.Pressure().Text(r.Vacuum.LeastKPa))
		if budget := words.LeakBudget(r); budget != "" {
			say("where the air goes: %s", budget)
		}
		say("%s; %s", words.Alarm(r), words.Pump(r))
	}
	if doubts := words.Doubts(r); doubts != "" {
		say("the verdict hangs on: %s", doubts)
	}
	if from := sourcesInWords(r.Job.Sources); from != "" {
		say("job: %s", words.Visible(from))
	}
	textAssumed(b, r, o)
	if o.Said == nil {
		textCaution(b, "  ", o)
	}
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

// textAssumed writes every assumption, or how many there are and which of them could change the verdict.
func textAssumed(b *bufio.Writer, r *result.Result, o TextOptions) {
	if !o.All {
		if len(r.Assumed) > 0 {
			fmt.Fprintf(b, "  %s\n", words.Visible(assumedInWords(r)))
		}
		return
	}
	lead, before := "assumed: ", 0
	for _, a := range r.Assumed {
		if o.Said[a] {
			before++
			continue
		}
		if o.Said != nil {
			o.Said[a] = true
		}
		fmt.Fprintf(b, "  %s%s\n", lead, words.Visible(a))
		lead = "         "
	}
	if before > 0 {
		fmt.Fprintf(b, "  %s%s as listed above\n", lead, wording.Count(before, "assumption", "assumptions"))
	}
}

// maxDecisive is the number of assumptions that a line names.
const maxDecisive = 8

// assumedInWords counts the assumptions and names those that could change the verdict.
func assumedInWords(r *result.Result) string {
	n := len(r.Decisive)
	others := wording.Count(len(r.Assumed), "assumption", "assumptions")
	if n == 0 {
		return others + ", none of them decides the verdict (--all)"
	}
	names := slices.Clone(r.Decisive[:min(n, maxDecisive)])
	if n > maxDecisive {
		names = append(names, "...")
	}
	verb := "matter"
	if n == 1 {
		verb = "matters"
	}
	return fmt.Sprintf("%s %s (%s); %d do not (--all)", wording.Count(n, "assumption", "assumptions"), verb,
		strings.Join(names, ", "), len(r.Assumed)-n)
}

func textCaution(b *bufio.Writer, indent string, o TextOptions) {
	for i, line := range words.Wrap(words.Caution, 100) {
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

func paint(s, sgr string, o TextOptions) string {
	if !o.Colour {
		return s
	}
	return sgr + s + sgrReset
}

func levelColour(l result.Level) string {
	switch l {
	case result.LevelError:
		return sgrGrave
	case result.LevelWarning:
		return sgrWarn
	}
	return sgrCalm
}

func verdictColour(v result.Verdict) string {
	switch v {
	case result.Held:
		return sgrCalm
	case result.AtRisk:
		return sgrWarn
	}
	return sgrGrave
}

// headline is the verdict of a program in one line.
func headline(r *result.Result, o TextOptions) string {
	verdict := strings.ToUpper(strings.ReplaceAll(r.Verdict.String(), "-", " "))
	return paint(verdict, verdictColour(r.Verdict), o) + ". " + words.Headline(r)
}

// textActions writes what to do for the whole program, the best first.
func textActions(b *bufio.Writer, r *result.Result, o TextOptions) {
	if len(r.Actions) == 0 {
		return
	}
	lead := "  "
	if o.Quiet {
		lead = words.Visible(r.Program.Path) + ": "
	}
	fmt.Fprintf(b, "%swhat to do (each checked by a run of the whole program):\n", lead)
	for i, a := range r.Actions {
		if i == result.ShownActions && !o.All {
			fmt.Fprintf(b, "       ... %d more (--all)\n", len(r.Actions)-i)
			break
		}
		for k, line := range words.Wrap(words.Action(&a), 110) {
			number := "   "
			if k == 0 {
				number = fmt.Sprintf("%d  ", i+1)
			}
			fmt.Fprintf(b, "    %s%s\n", number, words.Visible(line))
		}
	}
}
