package picture

import (
	"bytes"
	"image/png"
	"testing"

	"staydown/hold/dryrun"
	"staydown/internal/testrun"
	"staydown/report/internal/reporttest"
)

func TestOutlinePlan(t *testing.T) {
	testrun.NotForRaces(t)
	var b bytes.Buffer
	if err := OutlinePNG(&b, reporttest.Outline()); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if size := img.Bounds().Size(); size.X != pictureWidthPx || size.Y != pictureHeightPx {
		t.Errorf("size %v", size)
	}
	// Every answer has its color somewhere on the plan, beside the legend.
	found := map[string]bool{}
	for y := range img.Bounds().Dy() {
		for x := range pictureWidthPx * 4 / 5 {
			for _, c := range []dryrun.Class{dryrun.WouldHold, dryrun.WithCare, dryrun.WouldNotHold} {
				r, g, bl, _ := img.At(x, y).RGBA()
				want := stateColour(classState(c))
				if uint8(r>>8) == want.R && uint8(g>>8) == want.G && uint8(bl>>8) == want.B {
					found[c.String()] = true
				}
			}
		}
	}
	if len(found) != 3 {
		t.Errorf("only %v are on the plan", found)
	}
}
