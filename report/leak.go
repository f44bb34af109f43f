package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"staydown/hold"
)

// leastShare is the share of the leak below which a way is not worth a word.
const leastShare = 0.005

// leaksInWords tells where air gets in at the moment of least vacuum, the most first; "" when it is not known.
func leaksInWords(r *hold.Result) string {
	l := r.LeakM3h
	ways := []struct {
		name string
		m3h  float64
	}{
		{"bare table", l.Bare}, {"kerfs", l.Kerfs}, {"holes", l.Holes}, {"rim of the stock", l.Rim},
		{"through the material", l.Work},
		{"rim of the layer", l.LayerRim}, {"open gaskets", l.Gaskets}, {"hoses", l.Hoses},
	}
	sum := 0.0
	for _, way := range ways {
		sum += way.m3h
	}
	if !(sum > 0) {
		return ""
	}
	slices.SortStableFunc(ways, func(a, b struct {
		name string
		m3h  float64
	}) int {
		return cmp.Compare(b.m3h, a.m3h)
	})
	var parts []string
	for _, way := range ways {
		if way.m3h >= leastShare*sum {
			parts = append(parts, fmt.Sprintf("%s %.3g", way.name, way.m3h))
		}
	}
	at := "at the start"
	if r.Vacuum.LeastLine > 0 {
		at = fmt.Sprintf("at line %d", r.Vacuum.LeastLine)
	}
	return fmt.Sprintf("%.3g m3/h of free air come in %s, where the vacuum is least: %s", sum, at,
		strings.Join(parts, ", "))
}
