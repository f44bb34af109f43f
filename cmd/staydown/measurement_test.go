package main

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"staydown/hold"
	"staydown/hold/result"
	"staydown/internal/testrun"
)

// The README's table of what to measure first is what why says of the block that it names.
func TestReadmeTellsWhatToMeasure(t *testing.T) {
	testrun.NotForRaces(t)
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	d, p := analyse("../../testdata/demo/panels.nc", settings{jobs: 1})
	if p != nil {
		t.Fatal(p)
	}
	working, err := d.analysis.Explain(493)
	if err != nil {
		t.Fatal(err)
	}
	table := measurementTable(t, working)
	if !strings.Contains(string(readme), table) {
		t.Errorf("README.md does not hold this table:\n%s", table)
	}
	if n := strings.Count(table, "\n"); n != hold.MostMeasurements+3 {
		t.Errorf("the table has %d lines:\n%s", n, table)
	}
}

// measurementTable writes the first section of measurements as the README's table.
func measurementTable(t *testing.T, working result.Working) string {
	t.Helper()
	for _, s := range working.Sections {
		now, ok := strings.CutPrefix(s.Title, "what to measure for the margin of piece 23: high over low end, now ")
		if !ok {
			continue
		}
		out := "| first | minutes | high over low end of piece 23 |\n| --- | --- | --- |\n"
		out += fmt.Sprintf("| nothing | | %s |\n", rounded(t, strings.TrimSuffix(now, ", then")))
		for _, r := range s.Rows {
			i := strings.LastIndex(r.What, ", ")
			how, minutes := r.What[:i], strings.TrimSuffix(r.What[i+2:], " minutes")
			out += fmt.Sprintf("| %s | %s | %s |\n", how, minutes, rounded(t, r.Text))
		}
		return out
	}
	t.Fatal("why does not say what to measure")
	return ""
}

func rounded(t *testing.T, text string) string {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("%.1f", v)
}
