package job_test

import (
	"strings"
	"testing"

	"staydown/hold/job"
)

// What is asked for from outside a job file has the bounds and the words of the same key in one.
func TestAskedForAsInAJobFile(t *testing.T) {
	const whole = `[limits]
margin = 2
[grid]
cell = "1 mm"
`
	said := func(key, value string) string {
		lines := strings.Split(whole, "\n")
		for i, l := range lines {
			if strings.HasPrefix(l, key+" ") {
				lines[i] = key + " = " + value
			}
		}
		_, err := job.Parse("j.toml", []byte(strings.Join(lines, "\n")))
		for _, line := range strings.Split(err.Error(), "\n") {
			if _, words, ok := strings.Cut(line, ": "+key+": "); ok {
				return words
			}
		}
		return ""
	}
	words := func(err error) string {
		if err == nil {
			return ""
		}
		return err.Error()
	}
	refused := map[string]bool{"0": true, "-1": true, "0.5": true, "0.999": true, "1001": true, "nan": true,
		"inf": true, "1": false, "1.5": false, "1000": false}
	for text, no := range refused {
		_, err := job.Margin(text)
		if (err != nil) != no || words(err) != said("margin", text) {
			t.Errorf("margin %s: %q, in a job file %q", text, words(err), said("margin", text))
		}
	}
	refused = map[string]bool{"0 mm": true, "0.001mm": true, "0.009 mm": true, "51 mm": true, "2 in": true,
		"-1 mm": true, "1": true, "0.01 mm": false, "50 mm": false, "0.02in": false}
	for text, no := range refused {
		_, err := job.CellMM(text)
		if (err != nil) != no || words(err) != said("cell", `"`+text+`"`) {
			t.Errorf("cell %s: %q, in a job file %q", text, words(err), said("cell", `"`+text+`"`))
		}
	}
	if _, err := job.Margin("two"); err == nil || err.Error() != "two is not a plain decimal number; write digits "+
		"and a point" {
		t.Errorf("a word: %v", err)
	}
	// the inch is 25.4 mm by definition
	if mm, err := job.CellMM("0.02in"); err != nil || mm < 0.508-1e-12 || mm > 0.508+1e-12 {
		t.Errorf("0.02in: %v mm, %v", mm, err)
	}
}
