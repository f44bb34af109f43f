package words

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"staydown/hold/result"
	"staydown/parse/units"
)

// Working prints a reckoning as a plain table that can be followed with a pocket calculator, cautions at its end. The
// formulas hold in metric units; other shops find each figure in theirs behind it.
func Working(w io.Writer, k result.Working) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s:%d\n", k.Program, k.Line)
	for _, s := range k.Sections {
		fmt.Fprintf(b, "\n%s\n", s.Title)
		for _, r := range s.Rows {
			fmt.Fprintln(b, strings.TrimRight(workingRow(r, k.Units), " "))
		}
	}
	b.WriteByte('\n')
	for _, line := range Wrap(Caution, lineWidth) {
		fmt.Fprintln(b, line)
	}
	return b.Flush()
}

// Columns of a row; sources stand below it.
const (
	whatWidth  = 40
	valueWidth = 26
	// besideWidth of values that are given in two units.
	besideWidth = 36
	lineWidth   = 110
)

func workingRow(r result.Row, shop units.System) string {
	var b strings.Builder
	what := "  " + r.What
	switch {
	case r.Text != "" && r.What == "":
		return "  " + r.Text
	case len(what) > whatWidth:
		fmt.Fprintf(&b, "%s\n%*s", what, whatWidth+1, "")
	default:
		fmt.Fprintf(&b, "%-*s ", whatWidth, what)
	}
	if r.Text != "" {
		return b.String() + r.Text
	}
	given, width := fmt.Sprintf("%s %s", significant(r.Value), r.Unit), valueWidth
	if shop == units.Inch {
		width = besideWidth
	}
	if beside, ok := shop.Beside(r.Unit); ok {
		given += " (" + beside.Text(r.Value) + ")"
	}
	if r.Symbol != "" {
		given = r.Symbol + " = " + given
	}
	line := strings.TrimRight(given, " ")
	if r.Formula != "" {
		line = fmt.Sprintf("%-*s  = %s", width, line, r.Formula)
	}
	b.WriteString(line)
	if r.Source == "" {
		return b.String()
	}
	source := "[" + r.Source + "]"
	if short := fmt.Sprintf("%-*s  %s", width, line, source); len(short) <= lineWidth-whatWidth {
		return b.String()[:b.Len()-len(line)] + short
	}
	for _, part := range Wrap(source, lineWidth-whatWidth-1) {
		fmt.Fprintf(&b, "\n%*s%s", whatWidth+1, "", part)
	}
	return b.String()
}

// significant writes a number with five significant digits, without an exponent where a person would write none.
func significant(v float64) string {
	if v != 0 && (v >= 1e7 || v <= -1e7 || v > -1e-4 && v < 1e-4) {
		return fmt.Sprintf("%.4g", v)
	}
	s := fmt.Sprintf("%.5g", v)
	if strings.ContainsAny(s, "e") {
		return fmt.Sprintf("%.0f", v)
	}
	return s
}
