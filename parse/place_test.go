package parse

import (
	"reflect"
	"strings"
	"testing"
)

// Programs as posted do not say where the tool begins, nor where the machine's zero is. The rules are this
// package's own and listed in its comment.
func TestUnknownPlaces(t *testing.T) {
	for _, c := range []struct {
		name, program string
		first, last   Point // start of the first and end of the last move
		moves         int
		assumed       string
		unread        string
	}{
		{"approach", "G21 G0 X10 Y20 | Z5 | G1 Z-1 F60", Point{10, 20, 5}, Point{10, 20, -1}, 1, "highest Z (5 mm)",
			""},
		{"height first", "G21 G0 Z50 | X10 Y20 | Z5", Point{10, 20, 50}, Point{10, 20, 5}, 1, "highest Z (50 mm)", ""},
		{"diagonal", "G21 G0 X10 Y20 Z5 | G1 Z-1 F60", Point{10, 20, 5}, Point{10, 20, -1}, 1, "", ""},
		{"plunge without a height", "G21 G0 X10 Y20 | G1 Z-1 F60 | G0 Z3", Point{10, 20, 3}, Point{10, 20, 3}, 2,
			"highest Z (3 mm)", ""},
		{"feed at once", "G21 G1 X10 F60 | Y5", Point{0, 0, 0}, Point{10, 5, 0}, 2, "all moves are taken to be at Z0",
			""},
		{"increments", "G21 G91 G1 X10 Z-1 F60 | Y5", Point{0, 0, 0}, Point{10, 5, -1}, 2, "begin at Z0", ""},
		{"G92 first", "G21 G92 X0 Y0 Z10 | G1 X5 F60", Point{0, 0, 10}, Point{5, 0, 10}, 1, "G92 says so", ""},
		{"arc first", "G21 G2 X10 Y0 I5 J0 F60", Point{0, 0, 0}, Point{10, 0, 0}, 1, "begin at X0", ""},
		{"home first", "G21 G91 G28 Z0 | G90 G0 X10 Y20 | G43 H1 Z5 | G1 Z-1 F60", Point{10, 20, 5}, Point{10, 20, -1},
			1, "lift the tool", ""},
		{"home at the end", "G21 G0 X10 Y20 Z50 | Z5 | X11 | G1 Z-1 F60 | G0 Z5 | G91 G28 Z0 | G28 X0 Y0",
			Point{10, 20, 50}, Point{11, 20, 50}, 5, "lift the tool", ""},
		{"G53 retract", "G21 G0 X10 Y20 Z5 | G1 Z-1 F60 | G53 G0 Z0 | G0 X1 Y1", Point{10, 20, 5}, Point{1, 1, 5}, 3,
			"lift the tool", ""},
		{"home from a clear height", "G21 G0 X10 Y20 Z50 | Z5 | X11 | G1 Z-1 F60 | G0 Z5 | G28", Point{10, 20, 50},
			Point{11, 20, 50}, 5, "lift the tool", ""},
		{"home out of the cut", "G21 G0 X10 Y20 Z5 | X11 | G1 Z-1 F60 | G91 G28 X0 Y0", Point{10, 20, 5},
			Point{11, 20, -1}, 2, "", ""},
		{"feed to a machine place", "G21 G0 X10 Y20 Z5 | G1 Z-1 F60 | G53 G1 X0", Point{10, 20, 5}, Point{10, 20, -1},
			1, "", "machine's zero"},
		{"holes at once", "G21 G81 X10 Y20 Z-3 R2 F60 | X15 | G80", Point{10, 20, 2}, Point{15, 20, 2}, 5,
			"begins at its R", ""},
		{"holes from home", "G21 G0 Z9 | G91 G28 Z0 | G90 G81 X10 Y20 Z-3 R2 F60 | G80", Point{10, 20, 9},
			Point{10, 20, 9}, 3, "greatest Z so far", ""},
		{"no increment", "G21 G91 G0 X0 Y0 Z0 | G90 X10 Y20 Z5 | G1 Z-1 F60", Point{10, 20, 5}, Point{10, 20, -1}, 1,
			"", ""},
		{"increment from home", "G21 G0 X10 Y20 Z5 | G91 G28 Z0 | G0 Z-5", Point{10, 20, 5}, Point{10, 20, 0}, 1, "",
			"increment of Z"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := Read(blocksOf(c.program), Options{Name: "x.nc", RapidMMMin: 1000})
			checkSound(t, p)
			if p.Moves.Len() != c.moves || p.Moves.At(0).Start != c.first || endOf(p) != c.last {
				t.Errorf("moves %+v\nwant from %v to %v", p.Moves, c.first, c.last)
			}
			if all := strings.Join(p.Assumed, "\n"); !strings.Contains(all, c.assumed) {
				t.Errorf("assumed %q, want %q", all, c.assumed)
			}
			var unread string
			for _, n := range unreadNotes(p) {
				unread += n.Message
			}
			if c.unread == "" && unread != "" || !strings.Contains(unread, c.unread) {
				t.Errorf("unread %q, want %q", unread, c.unread)
			}
		})
	}
}

// Moves that turn out to be none are taken out, and what points behind them follows.
func TestIndicesBehindMovesTakenOut(t *testing.T) {
	p := Read(blocksOf("G21 G0 X10 Y20 Z5 | T1 M6 | G1 Z-1 F60 | M0 | G0 Z5 | T2 M6 | M30"), Options{})
	if p.Moves.Len() != 2 || p.ToolCalls[0].Move != 0 || p.ToolCalls[1].Move != 2 || p.Stops[0].Move != 1 ||
		p.Stops[1].Move != 2 {
		t.Errorf("%+v %+v %+v", p.Moves, p.ToolCalls, p.Stops)
	}
}

// A rapid in X or Y to a machine place that is not known keeps X and Y in the moves; from where it goes is told.
func TestUnplacedRapids(t *testing.T) {
	for _, c := range []struct {
		name, program string
		want          []UnplacedRapid
	}{
		{"out of the cut", "G21 G0 X10 Y20 Z5 | G1 Z-1 F60 | G53 G0 X0 | M30",
			[]UnplacedRapid{{Move: 1, FromZ: -1, Pos: Pos{"x.nc", 3, 1}}}},
		{"all axes", "G21 G0 X10 Y20 Z5 | G1 Z-1 F60 | G28 | M30",
			[]UnplacedRapid{{Move: 1, FromZ: -1, Pos: Pos{"x.nc", 3, 1}}}},
		{"Z lifted before", "G21 G0 X10 Y20 Z5 | G1 Z-1 F60 | G53 G0 Z0 | G53 X0 Y0 | M30", nil},
		{"only Z", "G21 G0 X10 Y20 Z5 | G1 Z-1 F60 | G91 G28 Z0 | M30", nil},
	} {
		p := Read(blocksOf(c.program), Options{Name: "x.nc"})
		if !reflect.DeepEqual(p.Unplaced, c.want) || len(unreadNotes(p)) > 0 {
			t.Errorf("%s: %+v, want %+v; %v", c.name, p.Unplaced, c.want, p.Notes)
		}
	}
	zero := Read(blocksOf("G21 G0 X10 Y20 Z5 | G1 Z-1 F60 | G53 G0 X0 | M30"),
		Options{MachineZero: &Point{-50, -60, 70}})
	if len(zero.Unplaced) > 0 || endOf(zero) != (Point{-50, 20, -1}) {
		t.Errorf("with the machine's zero: %+v, ends at %v", zero.Unplaced, endOf(zero))
	}
}

func TestAssumedValuesAreListed(t *testing.T) {
	p := Read([]byte("G0 X1\nG1 Z-1 F60\nM30"), Options{})
	all := strings.Join(p.Assumed, "\n")
	for _, want := range []string{"rapid rate", "units", "start"} {
		// The first rapid only says where the tool is, so that no rapid rate is needed.
		if got := strings.Contains(all, want); got != (want != "rapid rate") {
			t.Errorf("%s in %q: %v", want, all, got)
		}
	}
	p = Read([]byte("G21\nG0 X1 Y1 Z1\nX2\nM30"), Options{})
	if !strings.Contains(strings.Join(p.Assumed, "\n"), "rapid rate: 10 m/min") {
		t.Errorf("%q", p.Assumed)
	}
}
