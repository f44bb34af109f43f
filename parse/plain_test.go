package parse

import (
	"strings"
	"testing"
)

// What a block says beyond its own motion holds, though its motion cannot be read. Each program ends with a move whose
// feed, speed, tool and kind are asked for. Before the block F100 S1000 T1 G0 hold.
func TestPlainWordsOfBlocksThatCannotBeRead(t *testing.T) {
	for _, c := range []struct {
		name, block string
		feed, rpm   float64
		tool        int32
		kind        Kind
	}{
		{"division by zero", "G1 X[1/0] F2000 S9000", 2000, 9000, 1, Feed},
		{"named parameter", "G1 X#<deep> F2000 S9000", 2000, 9000, 1, Feed},
		{"value undefined", "G1 XSQRT[-1] F2000 S9000", 2000, 9000, 1, Feed},
		{"letter without number", "G1 X F2000 S9000", 2000, 9000, 1, Feed},
		{"letter twice", "G1 X5 X6 F2000 S9000", 2000, 9000, 1, Feed},
		{"unknown code", "G5.3 Q1 G1 F2000 S9000", 2000, 9000, 1, Feed},
		{"unknown word", "G1 X5 E3 F2000 S9000", 2000, 9000, 1, Feed},
		{"byte not allowed", "G1 X5 @ F2000 S9000", 2000, 9000, 1, Feed},
		{"comment not closed", "G1 F2000 S9000 X9 (F7 S7", 2000, 9000, 1, Feed},
		{"fault in front", "X[ G1 F2000 S9000", 100, 1000, 1, Rapid},
		{"feed that is an expression", "G1 X[1/0] F[3*4] S9000", 100, 9000, 1, Feed},
		{"feed without brackets", "G1 X5 @ F3*4 S9000", 100, 9000, 1, Feed},
		{"decimal comma", "G1 X5 F20,5 S9000", 100, 9000, 1, Feed},
		{"feed twice", "G1 X5 F2000 F3000 S9000", 100, 9000, 1, Feed},
		{"macro call", "G65 P9010 A1 F20 S90 T2", 100, 1000, 1, Rapid},
		{"two motions", "G0 G1 X5 F2000", 2000, 1000, 1, Rapid},
		{"tool change", "T2 M6 E3 M3 F2000", 2000, 1000, 2, Rapid},
		{"units", "G20 G1 E3 F2", 50.8, 1000, 1, Feed},
		{"spindle", "M5 E3", 100, 0, 1, Rapid},
		{"text", "IF F2000 S9000", 100, 1000, 1, Rapid},
		{"text in words", "SETVN F2000", 100, 1000, 1, Rapid},
		{"remark", "G1 X5 @ /F2000 S9000", 100, 1000, 1, Feed},
		{"semicolon", "G1 X5 @ ;F2000", 100, 1000, 1, Feed},
		{"line too long", "G1 F2000 S9000 X" + strings.Repeat("0", maxLineBytes), 2000, 9000, 1, Feed},
	} {
		p := read(t, "G21 T1 M6 M3 F100 S1000 G0 Z0 | "+c.block+" | Y77 | M30")
		if p.Moves.Len() == 0 {
			t.Errorf("%s: no moves: %v", c.name, p.Notes)
			continue
		}
		last := p.Moves.At(p.Moves.Len() - 1)
		feed := last.FeedMMMin
		if last.Kind == Rapid {
			p = read(t, "G21 T1 M6 M3 F100 S1000 G0 Z0 | "+c.block+" | Y77 | G1 Y78 | M30")
			feed = p.Moves.At(p.Moves.Len() - 1).FeedMMMin
		}
		if last.Kind != c.kind || !near(feed, c.feed, 1e-9) || !near(last.RPM, c.rpm, 1e-9) || last.Tool != c.tool {
			t.Errorf(
				"%s: F%g S%g T%d kind %d, want F%g S%g T%d kind %d",
				c.name, feed, last.RPM, last.Tool, last.Kind, c.feed, c.rpm, c.tool, c.kind)
		}
		if len(unreadNotes(p)) == 0 {
			t.Errorf("%s: nothing is unread", c.name)
		}
	}
	// An end of the program holds too, and a deleted block has no say.
	if p := read(t, "G21 G1 X1 F60 | M30 X[1/0] | X5"); endOf(p).X != 1 {
		t.Errorf("M30 in a block that cannot be read: ends at %v", endOf(p))
	}
	if p := read(t, "G21 G1 X1 F60 | /F500 X[1/0] | X5 | M30",
		func(o *Options) { o.BlockDelete = true }); p.Moves.At(1).FeedMMMin != 60 {
		t.Errorf("a deleted block sets the feed to %g", p.Moves.At(1).FeedMMMin)
	}
}
