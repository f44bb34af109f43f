package hold

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"staydown/hold/job"
	"staydown/hold/result"
)

// onLayer is the job file of a plate with another [layer] table.
func (p plate) onLayer(table string) string {
	own := regexp.MustCompile(`(?s)\[layer\].*?\[\[zone\]\]`)
	return own.ReplaceAllString(strings.Replace(p.toml(), `leak = "0 m3/h"`, `leak = "1 m3/h"`, 1),
		"[layer]\n"+table+"\n[[zone]]")
}

// whichOther looks for actions with the layers that the job files allow.
func whichOther(t *testing.T, program string, files ...string) *Analysis {
	t.Helper()
	var all []job.File
	for _, text := range files {
		all = append(all, job.File{Name: "staydown.toml", Data: []byte(text)})
	}
	j, err := job.ParseLayers(all...)
	if err != nil {
		t.Fatal(err)
	}
	a := roadWith(t, program, j)
	a.options.OtherLayers = func() []job.OtherLayer { return job.OtherLayers(all...) }
	a.AddActions(nil)
	return a
}

func layerAction(a *Analysis) (result.Action, bool) {
	for _, action := range a.Result.Actions {
		if strings.Contains(action.What, "another layer: ") {
			return action, true
		}
	}
	return result.Action{}, false
}

// A small pump loses its vacuum through soft board and keeps it over a tighter sheet (common practice, no source). The
// verdict and the margin are those of the job file in which somebody writes the layer that is named.
func TestAnotherLayerHoldsWhatItPromises(t *testing.T) {
	p := aPlate().sized(400, 300)
	p.margin, p.pumpM3h = 1, 12
	program := square(200, 300, 3, 6.2)
	const soft = "material = \"low-density-board\"\nthickness = \"19 mm\"\ntack = \"0 kPa\"\nedge = \"sealed\"\n"
	for name, files := range map[string][]string{
		"built in": {p.onLayer(soft)},
		"read off a gauge": {p.onLayer(soft + "[[layer.gauge]]\ncovered = \"50 %\"\nreadings = \"120 mbar\"\n" +
			"[[layer.gauge]]\ncovered = \"100 %\"\nreadings = \"700 mbar\"\n")},
	} {
		a := whichOther(t, program, files...)
		action, ok := layerAction(a)
		if !ok {
			t.Errorf("%s: no other layer among %+v", name, a.Result.Actions)
			continue
		}
		to := regexp.MustCompile(`another layer: (\S+), `).FindStringSubmatch(action.What)[1]
		edited := p.onLayer("material = \"" + to + "\"\nedge = \"sealed\"\n")
		got := road(t, program, edited).Result
		least, _ := got.LeastPiece()
		if a.Result.Verdict == result.Held || got.Verdict != action.Verdict || got.Verdict == result.Loose ||
			math.Abs(least.Least.Margin/action.LeastMargin.Likely-1) > 1e-6 ||
			math.Abs(least.Least.Low/action.LeastMargin.Low-1) > 1e-6 {
			t.Errorf("%s, %s: %v with %.4f (low %.4f), promised %v with %.4f (%.4f), was %v", name, action.What,
				got.Verdict, least.Least.Margin, least.Least.Low, action.Verdict, action.LeastMargin.Likely,
				action.LeastMargin.Low, a.Result.Verdict)
		}
	}
}

// A layer that a shop's own file gives is named with the file, since that is where its figures stand.
func TestAnotherLayerOfTheShop(t *testing.T) {
	p := aPlate()
	p.margin, p.pumpM3h = 1, 12
	a := whichOther(t, square(200, 300, 3, 6.2),
		"[layer]\nthickness = \"1 mm\"\nthrough = \"2e-14 m2\"\nfriction = 0.4\n",
		p.onLayer("material = \"low-density-board\"\nthickness = \"19 mm\""))
	if action, ok := layerAction(a); !ok || !strings.Contains(action.What,
		"another layer: the sheet of staydown.toml, 1 mm thick, in place of low-density-board, ") {
		t.Errorf("%+v", a.Result.Actions)
	}
}

// No sheet holds a part of 12 mm (common practice, no source): where a skin does, no other layer is named.
func TestNoOtherLayerWhereItCuresNothing(t *testing.T) {
	p := aPlate()
	p.margin = 1
	a := whichOther(t, square(12, 1200, 3, 6.2), p.onLayer("material = \"mdf\"\nthickness = \"19 mm\""))
	if action, ok := layerAction(a); ok || a.Result.Verdict != result.Loose {
		t.Errorf("%v: %+v", a.Result.Verdict, action)
	}
}
