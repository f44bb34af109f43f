package job_test

import (
	"strings"
	"testing"

	"staydown/hold/material"
	"staydown/parse/units"
)

// How air passes through the work: built-in, own, based on another; and which faces are tight.
func TestPermeabilityOfTheWork(t *testing.T) {
	const own = "specific_force = \"30 MPa\"\nexponent = 0.3\ndensity = \"650 kg/m3\"\n"
	for _, row := range []struct {
		name, stock    string
		through, along float64
		faced          material.Facing
		porous         bool
	}{
		{"acrylic", "material = \"pmma\"\n", 0, 0, material.FacedNone, false},
		{"raw board", "material = \"mdf\"\n", 1e-13, 2e-13, material.FacedNone, true},
		{"raw board, faced above", "material = \"mdf\"\nfaced = \"top\"\n", 1e-13, 2e-13, material.FacedTop, true},
		{"raw board, faced below", "material = \"mdf\"\nfaced = \"bottom\"\n", 1e-13, 2e-13, material.FacedBottom,
			false},
		{"faced board", "material = \"mdf-faced\"\n", 1e-13, 2e-13, material.FacedBoth, false},
		{"faced board, planed", "material = \"mdf-faced\"\nfaced = \"none\"\n", 1e-13, 2e-13, material.FacedNone, true},
		{"own, not said", "material = \"a\"\n[material.a]\n" + own, 0, 0, material.FacedNone, false},
		{"own", "material = \"a\"\n[material.a]\n" + own + "through = \"2 darcy\"\n", 2 * 9.869233e-13,
			2 * 9.869233e-13, material.FacedNone, true},
		{"own, both", "material = \"a\"\n[material.a]\n" + own + "through = \"1e-14 m2\"\nalong = \"5e-14 m2\"\n",
			1e-14, 5e-14, material.FacedNone, true},
		{"based, in proportion", "material = \"a\"\n[material.a]\nbased_on = \"mdf\"\nthrough = \"3e-13 m2\"\n", 3e-13,
			6e-13, material.FacedNone, true},
		{"based, along", "material = \"a\"\n[material.a]\nbased_on = \"mdf\"\nalong = \"3e-13 m2\"\n", 1e-13, 3e-13,
			material.FacedNone, true},
	} {
		j := read(t, "material = \"aluminium-wrought\"\n", row.stock)
		w := j.Stock.Material
		near := func(a, b float64) bool { return a == b || a > 0.999999*b && a < 1.000001*b }
		if !near(w.Through.Likely, row.through) || !near(w.Along.Likely, row.along) || j.Stock.Faced != row.faced ||
			j.Stock.Porous() != row.porous {
			t.Errorf("%s: through %g, along %g, faced %v, porous %v; want %+v", row.name, w.Through.Likely,
				w.Along.Likely, j.Stock.Faced, j.Stock.Porous(), row)
		}
		said := strings.Contains(strings.Join(j.Assumed.In(units.Metric), "\n"),
			"permeability "+"1e-13 m2 across the sheet")
		if want := row.porous && !strings.HasPrefix(w.Through.Source, "job file"); said != want {
			t.Errorf("%s: assumed %q", row.name, j.Assumed)
		}
	}
}
