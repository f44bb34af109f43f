package job_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/pelletier/go-toml/v2"

	"staydown/hold/job"
	"staydown/hold/material"
)

// The built-in figures are written as a job file writes its own: a table of theirs, read as one, gives the same
// material and the same layer. Figures that are ranges there and not in a job file count by their likely value.
func TestBuiltinFiguresAreWrittenAsInAJob(t *testing.T) {
	text, err := os.ReadFile("../material/builtin.toml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Default  map[string]any
		Material map[string]map[string]any
		Layer    map[string]map[string]any
	}
	if err := toml.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	for _, built := range material.Works() {
		var own strings.Builder
		for _, key := range []string{"specific_force", "exponent", "edge_force", "radial_ratio", "density", "failure"} {
			v, ok := file.Material[built.Name][key]
			if base, faced := file.Material[built.Name]["based_on"].(string); faced && !ok {
				v, ok = file.Material[base][key]
			}
			if !ok {
				v = file.Default[key]
			}
			fmt.Fprintf(&own, "%s = %s\n", key, tomlOf(v, key == "specific_force"))
		}
		j := read(t, "material = \"aluminium-wrought\"\n", "material = \"own\"\n[material.own]\n"+own.String())
		w := j.Stock.Material
		kc := w.KC11
		kc.Source = built.KC11.Source
		if d := cmp.Diff(built.KC11, kc); d != "" {
			t.Errorf("%s: specific force (-built in +own)\n%s", built.Name, d)
		}
		if w.MC.Likely != built.MC.Likely || w.Edge.Likely != built.Edge.Likely ||
			w.Radial.Likely != built.Radial.Likely ||
			w.Density.Likely != built.Density.Likely || w.Ductile != built.Ductile {
			t.Errorf("%s: own %+v, built in %+v", built.Name, w, built)
		}
	}
	for _, built := range material.Layers() {
		l := file.Layer[built.Name]
		text := strings.NewReplacer(`"0.8 mm"`, tomlOf(l["thickness"], false), `"3e-13 m2"`,
			tomlOf(l["through"], true)+"\nalong = "+tomlOf(l["along"], false)).Replace(minimal)
		j, err := job.Parse("j.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if d := doubtOf(t, j, "permeability of the layer"); d.Low != built.Through.Low ||
			d.High != built.Through.High ||
			j.Layer.ThicknessMM != built.Thickness.Likely || j.Layer.AlongM2 != built.Along.Likely {
			t.Errorf("%s: %+v, %+v", built.Name, j.Layer, built)
		}
	}
}

// tomlOf writes a value as it stands in a job file; of a range that is none there the likely one.
func tomlOf(v any, ranged bool) string {
	switch v := v.(type) {
	case string:
		return fmt.Sprintf("%q", v)
	case []any:
		if !ranged {
			return tomlOf(v[1], false)
		}
		var all []string
		for _, x := range v {
			all = append(all, tomlOf(x, false))
		}
		return "[" + strings.Join(all, ", ") + "]"
	}
	return fmt.Sprint(v)
}
