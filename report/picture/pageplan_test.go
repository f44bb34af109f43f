package picture

import (
	"bytes"
	"encoding/base64"
	"image/png"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/result"
	"staydown/report/internal/reporttest"
)

func unlisted(int) int { return -1 }

// opaquePixels counts what a picture in an address paints.
func opaquePixels(t *testing.T, p pageImage) int {
	t.Helper()
	data, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(string(p.URI), "data:image/png;base64,"))
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			if _, _, _, a := img.At(x, y).RGBA(); a != 0 {
				n++
			}
		}
	}
	return n
}

// Every cell that is cut through is painted once, at a moment not before its own, with the last piece at the latest.
func TestPageKerfPaintsEveryCellOnce(t *testing.T) {
	r, _ := reporttest.Fixture()
	for _, freed := range []bool{true, false} {
		if !freed { // no piece comes free: the even moments remain
			r.Pieces = r.Pieces[:1]
		}
		cut, through := 0, 0
		for _, s := range r.Kerf.ThroughS {
			if s := float64(s); !math.IsNaN(s) {
				cut++
				if !math.IsInf(s, 1) {
					through++
				}
			}
		}
		plan := LayPlan(r, unlisted, ZoneName)
		if plan.Kerf == nil || opaquePixels(t, *plan.Kerf) != cut {
			t.Errorf("freed %v: the pale kerf does not show %d cells", freed, cut)
		}
		painted := 0
		for _, p := range plan.Through {
			painted += opaquePixels(t, p)
		}
		if painted != through || through == 0 {
			t.Errorf("freed %v: %d cells painted of %d cut through", freed, painted, through)
		}
		if freed && len(plan.Through) < 8 {
			t.Errorf("%d moments, want one for each of the 8 pieces", len(plan.Through))
		}
	}
}

// A sheet of 4 x 8 ft fills the width of the plan whichever way it lies, in the sense of the table: of 96 in with a rim
// of 2 % all round.
func TestPagePlanTakesTheShapeOfTheSheet(t *testing.T) {
	const in = 25.4
	for name, size := range map[string][2]float64{"wide": {96 * in, 48 * in}, "tall": {48 * in, 96 * in}} {
		r := &result.Result{Job: result.JobFacts{StockOutline: orb.MultiPolygon{{reporttest.Rectangle(0, 0, size[0],
			size[1])}}}}
		plan := LayPlan(r, unlisted, ZoneName)
		if math.Abs(plan.Width-pagePlanWidth) > 1 || plan.Turned != (name == "tall") {
			t.Errorf("%s: %v wide, turned %v; want %v", name, plan.Width, plan.Turned, pagePlanWidth)
		}
		if want := pagePlanWidth * (48 + 0.04*96) / (1.04 * 96); math.Abs(plan.Height-want) > 1 {
			t.Errorf("%s: %v high, want %.1f", name, plan.Height, want)
		}
	}
}

// On both widths of the page no label of a crowded plan covers another. A label is at least half as wide as its size
// for each digit.
func TestPageLabelsDoNotOverlap(t *testing.T) {
	for _, set := range LayPlan(reporttest.Crowded(), unlisted, ZoneName).Labels {
		if len(set.Labels) < 10 {
			t.Errorf("%s: %d labels", set.Class, len(set.Labels))
		}
		boxOf := func(l planLabel) box {
			return box{l.X, l.Y - 0.7*set.Size, l.X + 0.5*set.Size*float64(len(l.Text)), l.Y}
		}
		for i, a := range set.Labels {
			for _, b := range set.Labels[i+1:] {
				if boxOf(a).meets(boxOf(b)) {
					t.Fatalf("%s: %q and %q overlap", set.Class, a.Text, b.Text)
				}
			}
		}
	}
}
