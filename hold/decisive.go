package hold

import (
	"cmp"
	"slices"
	"strings"

	"staydown/hold/airflow"
)

// leastDecisive is the share of the doubt from which an assumption could change the verdict.
const leastDecisive = 0.01

// inputOf gives for an assumption how the names of the inputs in doubt begin that it stands for, where they differ. An
// assumption without an input has no range, so its share is not known.
var inputOf = map[string]string{
	"friction":                       "friction of ",
	"permeability through the layer": "permeability of layer ",
	"permeability along the layer":   "permeability of layer ", // both are varied together
	"permeability of the material":   "permeability of work ",
	"lift of the helix":              "lift ratio in ",
	"thickness of the stock":         "thickness and Z zero of the sheet",
	"hose and rim leakage":           "leak of hoses and rims",
}

// decisive names what those assumptions are about that could change the verdict, each once: by their share of the
// doubt, the greatest first, then those whose share is not known.
func (a *Analysis) decisive() []string {
	type assumption struct {
		what  string
		share float64
	}
	var all []assumption
	add := func(what string) {
		share, known := a.shareOfDoubt(what)
		if known && share < leastDecisive || slices.ContainsFunc(all,
			func(o assumption) bool { return o.what == what }) {
			return
		}
		all = append(all, assumption{what, share})
	}
	for i := range a.job.Assumed {
		if what := a.job.Decisive[i]; what != "" {
			add(what)
		}
	}
	for _, s := range airflow.MissingDucts(a.job, a.weakest().state, a.units) {
		if slices.Contains(a.Result.Assumed, s) {
			add("grooves and hoses")
			break
		}
	}
	slices.SortStableFunc(all, func(x, y assumption) int { return cmp.Compare(y.share, x.share) })
	out := make([]string, 0, len(all))
	for _, one := range all {
		out = append(out, one.what)
	}
	return out
}

// shareOfDoubt is the greatest share of the inputs in doubt that an assumption stands for; known is false when the
// job's ranges have none.
func (a *Analysis) shareOfDoubt(what string) (share float64, known bool) {
	begins := cmp.Or(inputOf[what], what)
	for i := range a.job.Doubts {
		known = known || !a.job.Doubts[i].Exact() && strings.HasPrefix(a.job.Doubts[i].Name, begins)
	}
	for _, d := range a.Result.Doubts {
		if strings.HasPrefix(d.Input, begins) {
			share = max(share, d.Share)
		}
	}
	return share, known && len(a.Result.Doubts) > 0
}
