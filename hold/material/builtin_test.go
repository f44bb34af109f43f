package material

import (
	"strings"
	"testing"
)

// The embedded file can be read, and every word in it is known.
func TestBuiltinFigures(t *testing.T) {
	all, err := readBuiltins(builtinText)
	if err != nil {
		t.Fatal(err)
	}
	if len(all.works) < 20 || len(all.layers) < 3 || len(all.pumps) != 4 || len(all.pairs) != 20 ||
		len(all.spreads) != int(OfClampForce)+1 {
		t.Errorf("%d materials, %d layers, %d pumps, %d pairs, %d spreads", len(all.works), len(all.layers),
			len(all.pumps), len(all.pairs), len(all.spreads))
	}
	for i, p := range all.pairs { // in the order that Friction's callers list them in
		if p.Work != Family(i/len(seats)) || p.On != Seat(i%len(seats)) {
			t.Errorf("pair %d is %v on %v", i, p.Work, p.On)
		}
	}
	for _, s := range all.spreads {
		if !(s.Low > 0 && s.Low <= 1 && s.High >= 1) || s.Source == "" || s.Meaning == "" || s.Keys == "" {
			t.Errorf("%+v", s)
		}
	}
	faced, _ := WorkNamed("mdf-faced")
	raw, _ := WorkNamed("mdf")
	if faced.Faced != FacedBoth || faced.KC11 != raw.KC11 || faced.Family != Wood || !faced.Board {
		t.Errorf("%+v", faced)
	}
}

// What is wrong in the file of figures is told with its place.
func TestWrongFigures(t *testing.T) {
	for _, c := range []struct{ old, in, want string }{
		{"[low, likely, high]", "", ""},
		{`specific_force = ["50 MPa", "90 MPa", "150 MPa"]`, `specific_force = ["50 MPa", "90 MPa"]`,
			"material.abs.specific_force: neither one value nor [low, likely, high]"},
		{`"50 MPa", "90 MPa", "150 MPa"`, `"50 kPa", "90 MPa", "150 MPa"`,
			`material.abs.specific_force: 50 kPa is not in "MPa"`},
		{"edge_force = [\"1 N/mm\"", "edge_forces = [\"1 N/mm\"", "material.abs: edge_forces is not known"},
		{"exponent = \"from memory: 0.2 to 0.4 for plastics\"\nedge", "edge", "material.abs.exponent: no source"},
		{`family = "plastic"`, `family = "plasic"`, "material.abs.family: plasic is not known"},
		{"[spread.tack]", "[spread.tac]", "spread: tac is not known"},
		{"[pump.dry-claw]", "pump.dry-claw]", "toml: "},
	} {
		_, err := readBuiltins([]byte(strings.Replace(string(builtinText), c.old, c.in, 1)))
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%q: %v", c.in, err)
		}
	}
}
