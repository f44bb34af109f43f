package main

import (
	"bytes"
	"testing"

	"staydown/hold/result"
	"staydown/internal/testrun"
	"staydown/report"
	"staydown/report/annotate"
	"staydown/report/page"
)

// What a whole run shows must not need what light leaves out.
func TestFilesOfARunComeOutOfLightResultsAlike(t *testing.T) {
	testrun.NotForRaces(t)
	for _, path := range []string{"testdata/small/frees.nc", "testdata/small/scores.nc"} {
		d, p := analyse(path, settings{jobs: 1})
		if p != nil {
			t.Fatal(p)
		}
		full := d.analysis.Result
		if len(full.Timeline) == 0 || len(full.Fields) == 0 || len(full.Pieces) == 0 ||
			len(full.Pieces[0].Outline) == 0 {
			t.Fatal("the full result is empty where light takes away")
		}
		lines := []annotate.Lines{annotate.FindingLines(full, d.src)}
		slim := light(full)
		if len(full.Pieces[0].Outline) == 0 {
			t.Fatal("light took from the full result")
		}
		for name, draw := range map[string]func(r *result.Result) ([]byte, error){
			"index": func(r *result.Result) ([]byte, error) {
				var b bytes.Buffer
				err := page.Index(&b, []page.IndexEntry{{Name: "x", Result: r}})
				return b.Bytes(), err
			},
			"summary": func(r *result.Result) ([]byte, error) {
				var b bytes.Buffer
				err := report.Summary(&b, []*result.Result{r})
				return b.Bytes(), err
			},
			"sarif": func(r *result.Result) ([]byte, error) {
				return report.SARIF([]*result.Result{r}, lines, nil, version)
			},
			"text": func(r *result.Result) ([]byte, error) {
				var b bytes.Buffer
				err := report.Text(&b, r, report.TextOptions{})
				return b.Bytes(), err
			},
		} {
			a, errA := draw(full)
			b, errB := draw(&slim)
			if errA != nil || errB != nil || !bytes.Equal(a, b) {
				t.Errorf("%s: %s differs (%v, %v)", path, name, errA, errB)
			}
		}
	}
}
