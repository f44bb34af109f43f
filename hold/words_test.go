package hold

import (
	"math"
	"staydown/hold/result"
	"staydown/parse/units"
	"testing"

	"github.com/paulmach/orb"
)

// The sentence is that of the contract; sizes, places and forces are written as a shop reads them: whole from 10 on, a
// tenth below, no minus before a zero.
func TestFindingInWords(t *testing.T) {
	plate := &result.Piece{ID: 3, SizeMM: [2]float64{60.4, 39.6}, Centroid: orb.Point{120.3, 84.8}}
	strip := &result.Piece{ID: 4, SizeMM: [2]float64{9.96, 3.04}, Centroid: orb.Point{-0.3, -85.2}}
	lost := &result.Piece{ID: 5, SizeMM: [2]float64{math.NaN(), math.NaN()}}
	at := func(line int, mode result.Mode, margin, holdN, loadN float64) trial {
		return trial{mode: mode, margin: margin, holdN: holdN, loadN: loadN, line: line, tool: 2}
	}
	for _, c := range []struct {
		piece  *result.Piece
		system units.System
		run    stretch
		doubt  pieceRange
		want   string
	}{
		{plate, units.Metric, stretch{first: at(412, result.Slip, 0.62, 41.2, 23.4), worst: at(412, result.Slip, 0.62,
			41.2, 23.4),
			lastLine: 412},
			pieceRange{steps: []response{{trial: at(412, result.Slip, 0.62, 41.2, 23.4)}}, low: 0.4, high: 0.93,
				chance:  0.87,
				learned: 1,
				decides: "specific force of mdf"},
			"piece 3 (60 x 40 mm at X120 Y85) comes loose, slips: margin 0.62 (0.40 to 0.93), hold 41 N, load 23 N, " +
				"tool 2; it moves in 9 of 10 such jobs; specific force of mdf decides"},
		// By hand with 25.4 mm/in and 4.44822 N/lbf: 60.4 is 2.378, 39.6 is 1.559, 120.3 is 4.736, 84.8 is 3.339; 41.2
		// is
		// 9.262, 23.4 is 5.261.
		{plate, units.Inch, stretch{first: at(412, result.Slip, 0.62, 41.2, 23.4), worst: at(412, result.Slip, 0.62,
			41.2, 23.4),
			lastLine: 412}, pieceRange{learned: 1}, "piece 3 (2.38 x 1.56 in at X4.74 Y3.34) comes loose, slips: " +
			"margin 0.62, hold 9.3 lbf, load 5.3 lbf, tool 2"},
		{strip, units.Metric, stretch{first: at(7, result.Twist, 1.4, 9.94, 9.96), worst: at(9, result.Twist, 1.299,
			9.94, 9.96),
			lastLine: 12},
			pieceRange{learned: 1},
			"piece 4 (10 x 3.0 mm at X0 Y-85) is at risk of twisting: margin 1.29, hold 9.9 N, load 10 N, tool 2; " +
				"worst at line 9, lasts to line 12"},
		{strip, units.Metric, stretch{first: at(7, result.Twist, 1.4, 9.94, 9.96), worst: at(9, result.Twist, 1.299,
			9.94, 9.96),
			lastLine: 9},
			pieceRange{learned: 1},
			"piece 4 (10 x 3.0 mm at X0 Y-85) is at risk of twisting: margin 1.29, hold 9.9 N, load 10 N, tool 2; " +
				"worst at its end, line 9"},
		{lost, units.Metric, stretch{first: at(7, result.Lift, 0.5, 0, 2), worst: at(7, result.Lift, 0.5, 0, 2),
			lastLine: 8},
			pieceRange{learned: 1},
			"piece 5 comes loose, lifts: margin 0.50, hold 0.0 N, load 2.0 N, tool 2; lasts to line 8"},
	} {
		if got := c.run.finding(c.piece, &c.doubt, c.system).Message; got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}
