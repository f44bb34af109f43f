package parse

import (
	"math"
	"strings"
	"testing"
)

// Values by hand or from closed forms; the rules are those of NIST RS274NGC v3, 3.3.2.2 to 3.3.2.4.
func TestExpressions(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
	}{
		{"[1+2*3]", 7},
		{"[[1+2]*3]", 9},
		{"[2**3**2]", 64}, // equal ranks go from left to right
		{"[7-4-2]", 1},
		{"[8/4/2]", 1},
		{"[2-3+4]", 3},
		{"[-2**2]", 4}, // the sign belongs to the number
		{"[7 MOD 4]", 3},
		{"[-7 MOD 4]", 1}, // from memory: never negative
		{"[1 OR 0 AND 0]", 0},
		{"[0 OR 5]", 1},
		{"[2 XOR 0]", 1},
		{"[1 + 2 m o d 2]", 1},
		{"ABS[-1.5]", 1.5},
		{"ACOS[0.5]", 60},
		{"ASIN[1]", 90},
		{"COS[60]", 0.5},
		{"SIN[30]", 0.5},
		{"TAN[45]", 1},
		{"EXP[1]", math.E},
		{"LN[EXP[2]]", 2},
		{"SQRT[2]", math.Sqrt2},
		{"ROUND[2.5]", 3},
		{"ROUND[-2.5]", -3},
		{"FIX[2.8]", 2},
		{"FIX[-2.8]", -3},
		{"FUP[2.2]", 3},
		{"FUP[-2.8]", -2},
		{"ATAN[1]/[1]", 45},
		{"ATAN[1]/[-1]", 135},
		{"ATAN[-1]/[-1]", -135},
		{"ATAN[-1]/[0]", -90},
		{"SQRT[SIN[90]*16]", 4},
		{"#7", 2.5},
		{"[#7*2]", 5},
		{"#[3+4]", 2.5},
		{"##8", 2.5},
		{"#8", 7},
		{"+.5", 0.5},
		{"-5.", -5},
		{"+0.", 0},
		{"0001", 1},
	} {
		var p params
		p.put(param{n: 7}, 2.5)
		p.put(param{n: 8}, 7)
		e := evaluator{line: []byte(c.text), params: &p, say: &notes{}}
		got, err := e.value()
		if err != nil || !near(got, c.want, 1e-12) || e.i != len(c.text) {
			t.Errorf("%s = %v (%v, read to %d), want %v", c.text, got, err, e.i, c.want)
		}
	}
}

func TestFaultyExpressions(t *testing.T) {
	for _, text := range []string{
		"", "[", "[1", "[1+]", "[1 1", "[1 ? 2]", "[1]]+", "#", "#0", "#1.5", "#5400", "#-1", "#<name>", "##0", "ABS",
		"ABS 1", "ABS[1", "SIN[",
		"ATAN[1]", "ATAN 1", "ATAN[1]/2", "ATAN[1]*[2]", "ATAN[1/[2]", "ATAN[1]/[2", "[1/0]", "[1 MOD 0]", "[-1**0.5]",
		"[9**999]", "LN[-1]", "LN[0]",
		"ACOS[2]", "SQRT[-1]", "EXP[9999]", "FOO[1]", "[1 EQ 1]", "-", "+-1", "--1", ".", "-.",
	} {
		e := evaluator{line: []byte(text), params: &params{}, say: &notes{strict: true}}
		v, err := e.value()
		if err == nil && e.i == len(text) && len(e.say.kept) == 0 {
			t.Errorf("%q = %v, want an error", text, v)
		}
		if err != nil && !strings.Contains(err.Error(), "; ") && !strings.Contains(err.Error(), "needs two values") {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// Settings take effect when the line has been read (NIST RS274NGC v3, 3.3.3).
func TestSettingsAreDelayed(t *testing.T) {
	p := read(t, "#1=5 | G1 X#1 F60 #1=8 | X#1")
	if p.Moves.Len() != 2 || p.Moves.At(0).End.X != 5 || p.Moves.At(1).End.X != 8 {
		t.Errorf("%+v", p.Moves)
	}
	// A deleted line sets nothing.
	p = read(t, "#1=5 | /#1=8 | G1 X#1 F60", func(o *Options) { o.BlockDelete = true })
	if endOf(p).X != 5 {
		t.Errorf("%+v", p.Moves)
	}
}
