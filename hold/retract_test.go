package hold

import (
	"strings"
	"testing"
)

// The machine may wait behind a block only where the program never leaves it with the tool in the stock, whose top is
// at Z0.
func TestRetractAfterAPieceIsFreed(t *testing.T) {
	const head = "G21 G90 G17 G94\nT1 M6\nS18000 M3\nG0 X17 Y17 Z5\n"
	const round = "Y63 F600\nX63\nY17\nX17\n" // line 9 frees the piece, where line 5 goes down
	for name, c := range map[string]struct {
		program string
		retract string // text of the line
	}{
		"at once": {head + "G1 Z-6.2 F300\n" + round + "G0 Z5\nM30\n", "G0 Z5"},
		"after some more": {head + "G1 Z-6.2 F300\n" + round + "Y20\nG1 Z-1\nX10\nZ0\nG0 Z20\nM30\n",
			"Z0"},
		"never": {head + "G1 Z-6.2 F300\n" + round + "Y20\nG1 Z-1\nM30\n", ""},
		"in a block that goes down before": {head + "#1=-6.2\nM98 P10\n" + round + "#1=5\nM98 P10\nG0 " +
			"Z20\nM30\nO10\nG1 Z#1 F300\nM99\n", "G0 Z20"},
	} {
		a := road(t, c.program, aPlate().toml())
		p := a.Result.Pieces[1]
		got := ""
		if p.RetractLine > 0 {
			got = strings.Split(c.program, "\n")[p.RetractLine-1]
		}
		if !p.Freed || got != c.retract || p.RetractLine > 0 && p.RetractLine < p.FreedLine {
			t.Errorf("%s: freed: %t at line %d, retract at line %d, %q; want %q", name, p.Freed, p.FreedLine,
				p.RetractLine, got, c.retract)
		}
	}
}
