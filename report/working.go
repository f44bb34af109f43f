package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"staydown/hold"
)

// Working prints a reckoning as a plain table that can be followed with a pocket calculator, cautions at its end.
func Working(w io.Writer, k hold.Working) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s:%d\n", k.Program, k.Line)
	for _, s := range k.Sections {
		fmt.Fprintf(b, "\n%s\n", s.Title)
		for _, r := range s.Rows {
			fmt.Fprintln(b, strings.TrimRight(workingRow(r), " "))
		}
	}
	fmt.Fprintf(b, "\n%s\n", Caution)
	return b.Flush()
}

func workingRow(r hold.Row) string {
	if r.Text != "" {
		if r.What == "" {
			return "  " + r.Text
		}
		return fmt.Sprintf("  %-38s %s", r.What, r.Text)
	}
	given := fmt.Sprintf("%s %s", significant(r.Value), r.Unit)
	if r.Symbol != "" {
		given = r.Symbol + " = " + given
	}
	line := fmt.Sprintf("  %-38s %-26s", r.What, strings.TrimRight(given, " "))
	if r.Formula != "" {
		line += "  = " + r.Formula
	}
	if r.Source != "" {
		line += "  [" + r.Source + "]"
	}
	return line
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
