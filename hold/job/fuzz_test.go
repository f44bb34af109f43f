package job_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"testing"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/parse/units"
)

// Whatever the bytes are, there is either a job with finite figures in it or a list of problems with places.
func FuzzParse(f *testing.F) {
	f.Add([]byte(contractExample))
	f.Add([]byte(minimal))
	draft, _ := job.NewDraft(slotsAndHoles(), nil, "plate.nc", units.Unchosen)
	f.Add(draft.Text)
	f.Add([]byte("[material.a]\nbased_on = \"b\"\n[material.b]\nbased_on=\"a\"\n"))
	f.Add([]byte("[[stock]]\n[[stock.cutout]]\nzone.area = [[],[[]],{}]\n"))
	f.Add([]byte("a.b.c.d.e.f.g.h.i.j.k.l.m = 1"))
	f.Add([]byte("x = [[[[[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]]]]"))
	f.Add([]byte("[stock]\ncorner = [\"nan mm\", 1e400, \"-0x1p-3 m\"]\nsize=[inf]\n"))
	f.Add([]byte("\xef\xbb\xbf[site]\r\naltitude = '0 m'\r\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		j, err := job.Parse("j.toml", data)
		if err != nil {
			var all job.Errors
			if !errors.As(err, &all) || len(all) == 0 || j != nil {
				t.Fatalf("%T %v", err, err)
			}
			lines := bytes.Count(data, []byte("\n")) + 1
			for _, p := range all {
				if p.What == "" || p.Pos.File != "j.toml" || p.Pos.Line < 0 || p.Pos.Line > lines {
					t.Fatalf("%+v", p)
				}
			}
			return
		}
		for _, v := range []float64{j.AmbientPa, j.Stock.BottomMM, j.Pump.FlowM3h, j.Pump.UltimatePa, j.Pump.LeakM3h,
			j.Limits.Margin, j.Stock.Material.KC11.Likely} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%+v", j)
			}
		}
		if len(j.Stock.Blanks) == 0 || len(j.Zones) == 0 || len(j.Tools) == 0 || j.Pump.UltimatePa >= j.AmbientPa ||
			j.Pump.FlowM3h <= 0 || j.Limits.Margin < 1 {
			t.Fatalf("%+v", j)
		}
		for _, b := range j.Stock.Blanks {
			if !(b.TopMM > j.Stock.BottomMM) {
				t.Fatalf("%+v", b)
			}
		}
		if j.Layer != nil && (!(j.Layer.ThicknessMM > 0) || !(j.Layer.ThroughM2 > 0) || !(j.Layer.AlongM2 > 0) ||
			!(j.Layer.Friction.Dry > 0) || !(j.Layer.Friction.Wet > 0)) {
			t.Fatalf("%+v", j.Layer)
		}
		for _, tool := range j.Tools {
			if !(tool.DiameterMM > 0) || tool.Flutes < 1 || math.Abs(tool.HelixRad) > math.Pi/3+1e-9 {
				t.Fatalf("%+v", tool)
			}
		}
		j.MissingTools(&parse.Program{ToolCalls: []parse.ToolCall{{Tool: 5, Line: 1}}})
	})
}

// FuzzSet lays single values over a job: none makes the reader fail otherwise than with a message.
func FuzzSet(f *testing.F) {
	for _, text := range []string{"pump.flow=60 m3/h", "zone.A.area=[[0 mm, 0 mm], [5 mm, 6 mm]]", "a={b=1,c=[2]}",
		`machine.output."M62 P1"="pump on"`, "tool.1.flutes=0x2", "material.own.cut={", "=", "stock.cutout.1.size=[]"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		set, err := job.Set(text)
		if err != nil {
			return
		}
		j, err := job.ParseLayers(job.File{Name: "j.toml", Data: []byte(contractExample)}, set)
		if (j == nil) == (err == nil) {
			t.Fatal(j, err)
		}
	})
}

// BenchmarkParse reads the example of the format and nearly the most that the bounds let through: 19 outlines of 500
// corners, each reaching into the box of the next.
func BenchmarkParse(b *testing.B) {
	var worst bytes.Buffer
	worst.WriteString(minimal)
	for z := range 19 {
		fmt.Fprintf(&worst, "[[zone]]\nname = \"%d\"\narea = [", z)
		for i := range 500 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 500)
			x := 1000 + 144*float64(z)
			fmt.Fprintf(&worst, "[\"%.3f mm\", \"%.3f mm\"],", x+100*cos, x+100*sin)
		}
		worst.WriteString("]\n")
	}
	for _, c := range []struct {
		name string
		text []byte
	}{{"example", []byte(contractExample)}, {"worst", worst.Bytes()}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := job.Parse("j.toml", c.text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
