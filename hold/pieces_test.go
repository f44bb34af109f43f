package hold

import (
	"math"
	"strings"
	"testing"
)

// A square of 74 mm is cut free, then the 6 mm tool plunges through its middle: 74 x 74 = 5476 mm2 when it is freed
// and 9 pi less at the end (hand arithmetic). Lengths are good to a cell at either side, areas to the share of a rim
// cell.
func TestSizeAndAreasOfAPiece(t *testing.T) {
	prog := strings.Replace(square(74, 600, 5.6, 6.2), "M30\n", "X57 Y57\nG1 Z-6.2 F100\nG0 Z5\nM30\n", 1)
	r := road(t, prog, aPlate().on(1)).Result
	if len(r.Pieces) != 2 {
		t.Fatalf("%d pieces, want stock and square", len(r.Pieces))
	}
	cell := r.Grid.CellMM
	stock, piece := r.Pieces[0], r.Pieces[1]
	for i, want := range []float64{240, 180} {
		if math.Abs(stock.SizeMM[i]-want) > 2*cell {
			t.Errorf("the stock is %.2f mm along axis %d, want %.0f", stock.SizeMM[i], i, want)
		}
		if math.Abs(piece.SizeMM[i]-74) > 2*cell {
			t.Errorf("the square is %.2f mm along axis %d, want 74", piece.SizeMM[i], i)
		}
	}
	if want := 74.0 * 74; math.Abs(piece.AreaMM2-want) > 74*cell {
		t.Errorf("the square has %.1f mm2, want %.1f", piece.AreaMM2, want)
	}
	if lost, want := piece.AreaMM2-piece.FinalAreaMM2, 9*math.Pi; math.Abs(lost-want) > 6*cell {
		t.Errorf("the square has lost %.1f mm2 by the end, want %.1f", lost, want)
	}
}
