package hold

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"staydown/hold/result"
)

// onTable is a plate of 400 x 300 x 6 mm, its top at Z0, with more on the table and keys of the 6 mm tool.
func onTable(more, tool string) string {
	text := strings.Replace(aPlate().sized(400, 300).on(2), "number = 1\n", "number = 1\n"+tool, 1)
	return text + more
}

const (
	aClamp = "[[clamp]]\nname = \"left\"\ncorner = [\"100 mm\",\"100 mm\"]\nsize = [\"40 mm\",\"20 mm\"]\nheight " +
		"= \"25 mm\"\nforce = \"500 N\"\n"
	aFixture = "[[fixture]]\nname = \"stop\"\ncorner = [\"-60 mm\",\"0 mm\",\"-6 mm\"]\nsize = [\"40 mm\",\"300 " +
		"mm\",\"16 mm\"]\n"
	aTable  = "[machine]\ntable = [[\"-100 mm\",\"-50 mm\"],[\"450 mm\",\"350 mm\"]]\n"
	aHolder = "holder = \"40 mm\"\ngauge_length = \"22 mm\"\n"
)

// TestCollisions: places by hand. The clamp reaches from X100 Y100 to X140 Y120 and up to Z25, the fixture from X-60 to
// X-20 and up to Z10; the cutter is 3 mm in radius, the holder 20 mm from 22 mm above the tip.
func TestCollisions(t *testing.T) {
	for _, c := range []struct {
		name, blocks, more, tool string
		line                     int // 0: nothing is met
		says                     []string
		x, y                     float64
	}{
		{"passes over at the top of the clamp", "G0 X50 Y110 Z25\nX200", aClamp, "", 0, nil, 0, 0},
		{"from the side at rapid", "G0 X50 Y110 Z24.9\nX200", aClamp, "", 5, []string{"tool 1 meets clamp left from " +
			"the side at rapid", "clear of it from Z25.000"}, 97, 110},
		{"from above", "G0 X120 Y110 Z40\nG1 Z5 F300", aClamp, "", 5, []string{"meets clamp left from above:",
			"Z25.000 mm, clear"}, 120, 110},
		{"down a ramp onto its top: half way from Z45 to Z5", "G0 X80 Y110 Z45\nG1 X160 Z5 F300", aClamp, "", 5,
			[]string{"from above"}, 120, 110},
		{"a cut past it at 3 mm touches and no more", "G0 X50 Y97 Z30\nG1 Z-2 F300\nX200 F600\nG0 Z30", aClamp, "", 0,
			nil, 0, 0},
		{"a cut past it at 2.9 mm", "G0 X50 Y97.1 Z30\nG1 Z-2 F300\nX200 F600\nG0 Z30", aClamp, "", 6,
			[]string{"from the side: tip"}, 100 - math.Sqrt(9-2.9*2.9), 97.1},
		{"past its corner", "G0 X50 Y97.8 Z30\nG1 Z-2 F300\nX97.9 F600\nG0 Z30", aClamp, "", 0, nil, 0, 0},
		{"an arc that bulges into it: lowest reach X103 from X90", "G0 X90 Y97 Z30\nG1 Z-2 F300\nG3 X90 Y123 J13 " +
			"F600\nG0 Z30", aClamp, "", 6, []string{"from the side"}, 0, 0},
		{"an arc that stays away: X97 less 0.02 mm", "G0 X83.98 Y97 Z30\nG1 Z-2 F300\nG3 X83.98 Y123 J13 F600\nG0 Z30",
			aClamp, "", 0, nil, 0, 0},
		{"the holder: tip at Z2, so it ends at Z24, 19 mm beside", "G0 X50 Y81 Z30\nG1 Z2 F300\nX200 F600\nG0 Z30",
			aClamp, aHolder, 6, []string{"the holder of tool 1 (40 mm wide from 22 mm above the tip) meets clamp " +
				"left from the side", "Z3.000 mm up"}, 100 - math.Sqrt(400-361), 81},
		{"the holder clears it at Z3", "G0 X50 Y81 Z30\nG1 Z3 F300\nX200 F600\nG0 Z30", aClamp, aHolder, 0, nil, 0, 0},
		{"the holder from above", "G0 X120 Y85 Z30\nG1 Z-1 F300\nG0 Z30", aClamp, aHolder, 5,
			[]string{"the holder of tool 1", "from above", "Z3.000 mm, clear"}, 120, 85},
		{"a fixture", "G0 X-80 Y50 Z9\nX-10", aFixture, "", 5, []string{"tool 1 meets fixture stop from the side at " +
			"rapid", "Z10.000 mm up"}, -63, 50},
		{"over a fixture", "G0 X-80 Y50 Z10\nX-10", aFixture, "", 0, nil, 0, 0},
		{"up to the edge of the table", "G0 X400 Y50 Z5\nG1 Z-1 F300\nX447 F600\nG0 Z5", aTable, "", 0, nil, 0, 0},
		{"over the edge", "G0 X400 Y50 Z5\nG1 Z-1 F300\nX447.1 F600\nG0 Z5", aTable, "", 6,
			[]string{"goes beyond the edge of the table below the top of the stock"}, 447, 50},
		{"beyond the edge, above the stock", "G0 X400 Y50 Z0\nX600\nX400", aTable, "", 0, nil, 0, 0},
	} {
		program := "G21 G90 G17\nT1 M6\nS18000 M3\n" + c.blocks + "\nM30\n"
		r := road(t, program, onTable(c.more, c.tool)).Result
		found := findingsOf(r, result.RuleCollision)
		if c.line == 0 {
			if len(found) > 0 {
				t.Errorf("%s: %v", c.name, found)
			}
			continue
		}
		if len(found) != 1 || found[0].Line != c.line || found[0].Level != result.LevelError {
			t.Errorf("%s: %v, want one in line %d", c.name, found, c.line)
			continue
		}
		for _, says := range c.says {
			if !strings.Contains(found[0].Message, says) {
				t.Errorf("%s: %q does not say %q", c.name, found[0].Message, says)
			}
		}
		if c.x != 0 && math.Hypot(found[0].At[0]-c.x, found[0].At[1]-c.y) > 0.001 {
			t.Errorf("%s: first met at %v, by hand %g %g", c.name, found[0].At, c.x, c.y)
		}
		if r.Verdict < result.AtRisk {
			t.Errorf("%s: verdict %v", c.name, r.Verdict)
		}
	}
}

func TestOneRunIntoAClampIsOneFinding(t *testing.T) {
	blocks := "G0 X50 Y110 Z20\n"
	for x := 98; x < 142; x++ {
		blocks += fmt.Sprintf("G1 X%d F600\n", x)
	}
	found := findingsOf(road(t, "G21 G90 G17\nT1 M6\nS18000 M3\n"+blocks+"G1 X200\nG0 Y200\nG0 Y110\nX120\nM30\n",
		onTable(aClamp, "")).Result, result.RuleCollision)
	if len(found) != 2 || found[0].Line != 5 || found[0].LastLine != 49 || found[1].Line != 52 {
		t.Errorf("%v, want lines 5 to 49 and line 52", found)
	}
}

func TestTheHolderThatIsNotKnownIsListedOnce(t *testing.T) {
	program := "G21 G90 G17\nT1 M6\nS18000 M3\nG0 X50 Y50 Z5\nX60\nM30\n"
	listed := func(toml string) (n int) {
		for _, s := range road(t, program, toml).Result.Assumed {
			if strings.Contains(s, "the holder is not checked") {
				n++
			}
		}
		return n
	}
	for _, c := range []struct {
		name, toml string
		want       int
	}{
		{"nothing to meet", onTable("", ""), 0},
		{"no holder", onTable(aClamp+aFixture, ""), 1},
		{"no gauge length", onTable(aTable, "holder = \"40 mm\"\n"), 1},
		{"both", onTable(aClamp, aHolder), 0},
		{"the length that stands out of the holder says the same", onTable(aClamp, "holder = \"40 mm\"\nlength = "+
			"\"25 mm\"\n"), 0},
	} {
		if got := listed(c.toml); got != c.want {
			t.Errorf("%s: listed %d times, want %d", c.name, got, c.want)
		}
	}
}

// TestARapidToAnUnknownPlaceMayMeetAClamp: from the top of the stock up it meets no stock, but the clamp is higher.
func TestARapidToAnUnknownPlaceMayMeetAClamp(t *testing.T) {
	program := func(z float64) string {
		return fmt.Sprintf("G21 G90 G17\nT1 M6\nS18000 M3\nG0 X50 Y50 Z5\nG1 Z-1 F300\nX60 F600\nG0 Z%g\nG53 G0 X0 "+
			"Y0\nM30\n", z)
	}
	for _, c := range []struct {
		z    float64
		more string
		want int
	}{{20, "", 0}, {20, aClamp, 1}, {25, aClamp, 0}} {
		if found := findingsOf(road(t, program(c.z), onTable(c.more, "")).Result,
			result.RuleUnread); len(found) != c.want {
			t.Errorf("from Z%g, %q: %v, want %d", c.z, c.more, found, c.want)
		}
	}
}
