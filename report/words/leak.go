package words

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"staydown/hold/result"
)

// leastShare is the share of the leak below which a way is not worth a word.
const leastShare = 0.005

// leakWay is a way by which air gets in.
type leakWay struct {
	Name  string
	m3h   float64
	Share float64 // of the whole leak
}

// LeakWays lists the ways with a share worth a word, the most first, and the whole leak, m3/h of free air at the moment
// of least vacuum. It lists none when they are not known.
func LeakWays(r *result.Result) (ways []leakWay, sumM3h float64) {
	l := r.LeakM3h
	all := []leakWay{
		{Name: "bare table", m3h: l.Bare}, {Name: "kerfs", m3h: l.Kerfs}, {Name: "holes", m3h: l.Holes},
		{Name: "rim of the stock", m3h: l.Rim}, {Name: "through the material", m3h: l.Work},
		{Name: "rim of the layer", m3h: l.LayerRim}, {Name: "open gaskets", m3h: l.Gaskets},
		{Name: "hoses", m3h: l.Hoses},
	}
	for _, way := range all {
		sumM3h += way.m3h
	}
	if !(sumM3h > 0) {
		return nil, 0
	}
	slices.SortStableFunc(all, func(a, b leakWay) int { return cmp.Compare(b.m3h, a.m3h) })
	for _, way := range all {
		if way.Share = way.m3h / sumM3h; way.Share >= leastShare {
			ways = append(ways, way)
		}
	}
	return ways, sumM3h
}

// Leaks tells where air gets in at the moment of least vacuum, the most first; "" when it is not known.
func Leaks(r *result.Result) string {
	ways, sum := LeakWays(r)
	if ways == nil {
		return ""
	}
	flow := r.Units.Flow()
	var parts []string
	for _, way := range ways {
		parts = append(parts, way.Name+" "+flow.Number(way.m3h))
	}
	at := "at the start"
	if r.Vacuum.LeastLine > 0 {
		at = fmt.Sprintf("at line %d", r.Vacuum.LeastLine)
	}
	return fmt.Sprintf("%s of free air come in %s, where the vacuum is least: %s", flow.Text(sum), at,
		strings.Join(parts, ", "))
}

// LeakBudget is the leak as shares, each with a bar: "kerfs ############ 61 %, bare table ##### 28 %"; "" when it is
// not known.
func LeakBudget(r *result.Result) string {
	const percentPerMark = 5
	ways, _ := LeakWays(r)
	var parts []string
	for _, way := range ways {
		percent := 100 * way.Share
		bar := strings.Repeat("#", int(percent/percentPerMark+0.5))
		if bar != "" {
			bar += " "
		}
		parts = append(parts, fmt.Sprintf("%s %s%.0f %%", way.Name, bar, percent))
	}
	return strings.Join(parts, ", ")
}
