package hold

import (
	"bytes"
	"os"
	"slices"
	"strings"
	"testing"

	"staydown/hold/internal/toolpath"
	"staydown/hold/result"
	"staydown/parse"
)

// The demo with a skin is held. Cut short it never is, nor at risk, whatever was read of it, until its M30 stands in
// full: what is then missing are line ends and the closing percent sign, which cannot matter.
func TestDemoCutShortIsNeverHeld(t *testing.T) {
	const dir = "../testdata/demo/panels-skin"
	src, err := os.ReadFile(dir + ".nc")
	if err != nil {
		t.Fatal(err)
	}
	jobFile, err := os.ReadFile(dir + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	whole := bytes.Index(src, []byte("M30")) + len("M30")
	never := func(v result.Verdict) bool { return v == result.Incomplete || v == result.Loose }
	// The findings about the text alone call for the verdict, and no other finding can make it better.
	for k := 0; k < len(src); k += 97 {
		a := &Analysis{prog: parse.Read(src[:k], parse.Options{Name: "part.nc"})}
		a.clock = toolpath.NewClock(&a.prog.Moves)
		if v := result.Judge(a.checks().Notes()); never(v) != (k < whole) {
			t.Errorf("cut after byte %d: %v", k, v)
		}
	}
	// The whole road: in the head, in the drilling, in the first and the last pass, before and behind M30.
	for _, k := range []int{97, 679, 4850, 9603, whole - 1, whole} {
		a := road(t, string(src[:k]), string(jobFile)+"\n[grid]\ncell = \"1 mm\"\n")
		if v := a.Result.Verdict; never(v) != (k < whole) {
			t.Errorf("cut after byte %d: %v, %v", k, v, a.Result.Findings)
		}
		if k > 97 && k < whole && len(findingsOf(a.Result, result.RuleCutShort)) != 1 {
			t.Errorf("cut after byte %d: %v, want one finding of rule %s", k, a.Result.Findings, result.RuleCutShort)
		}
	}
}

func TestWhatDoesNotEndOrCutIsIncomplete(t *testing.T) {
	base := square(74, 600, 5.6, 6.2) // held, see TestRulesOfTheTable
	end := func(with string) string { return strings.Replace(base, "M30\n", with, 1) }
	none := "[machine]\nend = \"none\"\n"
	for _, c := range []struct {
		name, program, machine string
		verdict                result.Verdict
		rule                   string // that must be found; "": none of those below
	}{
		{"no end", end(""), "", result.Incomplete, result.RuleCutShort},
		{"no end, as the post writes it", end(""), none, result.Held, ""},
		{"last word broken", end("G0 X10"), none, result.Incomplete, result.RuleCutShort},
		{"only M30", "M30\n", "", result.Incomplete, result.RuleNoCut},
		{"only a header", "%\nO1 (PLATE)\nG21 G90 G17\nT1 M6\nS18000 M3\nM30\n%\n", "", result.Incomplete,
			result.RuleNoCut},
		{"rapids in the air", "G21 G90\nT1 M6\nG0 X5 Y5 Z5\nX60\nM30\n", "", result.Incomplete, result.RuleNoCut},
		{"feed in the air", "G21 G90\nT1 M6\nS18000 M3\nG0 X5 Y5 Z5\nG1 X60 F600\nM30\n", "", result.Incomplete,
			result.RuleNoCut},
		{"units not named", strings.Replace(base, "G21 ", "", 1), "", result.Incomplete, result.RuleUnits},
		{"units of the job", strings.Replace(base, "G21 ", "", 1), "[machine]\nunits = \"mm\"\n", result.Held, ""},
		{"blocks behind the end", base + "G1 X60 F600\n", "", result.Held, result.RuleAfterEnd},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := road(t, c.program, c.machine+aPlate().toml()).Result
			if r.Verdict != c.verdict {
				t.Errorf("verdict %v, want %v: %v", r.Verdict, c.verdict, r.Findings)
			}
			for _, rule := range []string{result.RuleCutShort, result.RuleNoCut, result.RuleUnits, result.RuleAfterEnd,
				result.RuleUnread} {
				if found := findingsOf(r, rule); len(found) > 0 != (rule == c.rule) {
					t.Errorf("rule %s: %v", rule, found)
				}
			}
		})
	}
}

func TestHintOnUnits(t *testing.T) {
	plain := func(program string) string { return strings.Replace(program, "G21 ", "", 1) }
	// 10 x 8 in in a plate of 400 x 300 mm
	inches := "G90\nT1 M6\nS18000 M3\nG0 X1 Y1 Z.2\nG1 Z-.24 F10\nX10 F20\nY8\nX1\nY1\nG0 Z.2\nM30\n"
	for _, c := range []struct{ name, program, hint string }{
		{"a square of 74 mm", plain(square(74, 600, 5.6, 6.2)), "only mm fit"},
		{"a square of 8 in", inches, "only inches fit"},
		{"a groove of 9 mm, or of 9 in", strings.NewReplacer("Z-.24", "Z-.04", "Y8\nX1\nY1\n", "").Replace(inches), ""},
		{"too large in both", strings.ReplaceAll(plain(square(74, 600, 5.6, 6.2)), "97", "970"), ""},
	} {
		found := findingsOf(road(t, c.program, aPlate().sized(400, 300).toml()).Result, result.RuleUnits)
		if len(found) != 1 {
			t.Errorf("%s: %v", c.name, found)
			continue
		}
		hinted := slices.ContainsFunc([]string{"only mm fit", "only inches fit"},
			func(s string) bool { return strings.Contains(found[0].Message, s) })
		if hinted != (c.hint != "") || !strings.Contains(found[0].Message, c.hint) {
			t.Errorf("%s: %q, want %q", c.name, found[0].Message, c.hint)
		}
	}
}

// Ways home (G28, G30, G53) are judged by the stock they may meet. The plate reaches from Z-6 to Z0, and the only other
// rapids are at Z25.
func TestWaysHomeAreJudgedByTheStock(t *testing.T) {
	program := func(home string) string {
		return strings.NewReplacer("Z5\nM30", home+"\nM30", "Z5", "Z25").Replace(square(74, 600, 5.6, 6.2))
	}
	// home lies beyond the plate, on the line along its lower kerf
	zero := "[machine]\nzero = [\"-500 mm\", \"17 mm\", \"200 mm\"]\n"
	for _, c := range []struct {
		name, home, machine string
		verdict             result.Verdict
		rule                string
		line                int
	}{
		{"lower than any rapid before, above the plate", "Z1\nG91 G28 X0 Y0", "", result.Held, "", 0},
		{"on the plate's top", "Z0\nG91 G30 X0 Y0", "", result.Held, "", 0},
		{"all axes", "Z1\nG28", "", result.Held, "", 0},
		{"lifted by the way home", "Z-6.2\nG91 G28 Z0\nG28 X0 Y0", "", result.Held, "", 0},
		{"in the kerf", "Z-6.2\nG91 G28 X0 Y0", "", result.Incomplete, result.RuleUnread, 16},
		{"just below the top", "Z-0.1\nG53 X0 Y0", "", result.Incomplete, result.RuleUnread, 16},
		{"in the kerf, all axes", "Z-6.2\nG28", "", result.Incomplete, result.RuleUnread, 16},
		{"place known, through the plate", "Z-3\nG53 X0", zero, result.Held, result.RuleRapidCut, 16},
		{"place known, above the plate", "Z1\nG53 X0 Y0", zero, result.Held, "", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := road(t, program(c.home), c.machine+aPlate().toml()).Result
			// What a rapid through material does to hold shows in the margins.
			if c.rule != result.RuleRapidCut && r.Verdict != c.verdict {
				t.Errorf("verdict %v, want %v: %v", r.Verdict, c.verdict, r.Findings)
			}
			for _, rule := range []string{result.RuleUnread, result.RuleRapidCut} {
				found := findingsOf(r, rule)
				if len(found) > 0 != (rule == c.rule) || rule == c.rule &&
					(len(found) != 1 || found[0].Line != c.line) {
					t.Errorf("rule %s: %v, want %q in line %d", rule, found, c.rule, c.line)
				}
			}
		})
	}
}
