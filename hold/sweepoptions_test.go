package hold

import (
	"testing"

	"staydown/hold/job"
	"staydown/hold/sweepjob"
	"staydown/parse"
)

// What decides the sweep: the layer only where the tool goes through it, and room for the grid where the user chose its
// cell.
func TestOptions(t *testing.T) {
	j, err := job.Parse("job.toml", []byte(aPlate().on(0))) // 6 mm of stock on 0.4 mm
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		program string
		layerMM float64
	}{{"G21 G90\nG0 X0 Y0 Z5\nG1 Z-6.2 F100\nM30\n", 0}, {"G21 G90\nG0 X0 Y0 Z5\nG1 Z-6.5 F100\nM30\n", 0.4}} {
		prog := parse.Read([]byte(c.program), parse.Options{Name: "a.nc"})
		if got := sweepjob.Options(prog, j); got.LayerMM != c.layerMM || got.MemoryBytes != 0 {
			t.Errorf("%q: layer %g, memory %d; want %g and 0", c.program, got.LayerMM, got.MemoryBytes, c.layerMM)
		}
		fine := *j
		fine.CellMM = 0.1
		if got := sweepjob.Options(prog, &fine); got.MemoryBytes == 0 || got.CellMM != 0.1 {
			t.Errorf("a chosen cell: %+v", got)
		}
	}
}
