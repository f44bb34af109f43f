package cutload

import (
	"math"
	"strings"
	"testing"

	"staydown/hold/material"
	"staydown/sweep"
)

func value(t *testing.T, terms []Term, symbol string) float64 {
	t.Helper()
	for _, term := range terms {
		if term.Symbol == symbol {
			return term.Value
		}
	}
	t.Fatalf("no %s in the working", symbol)
	return 0
}

// The formulas in the working must give the values beside them: here with a pocket calculator's arithmetic.
func TestWorkingOfASideCut(t *testing.T) {
	work, _ := material.WorkNamed("aluminium-wrought")
	tool := endMill(6, 2)
	tool.HelixRad = math.Pi / 6
	load, terms, err := Explain(work, tool, side(6, 1, 10, 1800, 18000))
	if err != nil {
		t.Fatal(err)
	}
	v := func(symbol string) float64 { return value(t, terms, symbol) }
	near(t, "fz", v("fz"), v("F")/v("n")/v("z"), 1e-12)
	a1, a2 := v("a1")*math.Pi/180, v("a2")*math.Pi/180
	near(t, "hm", v("hm"), v("fz")*(math.Sin(a2)-math.Sin(a1))/(a2-a1), 1e-12)
	near(t, "hmax", v("hmax"), 0.03727, 1e-5)
	near(t, "f", v("f"), v("ke")+v("cr")*v("kc1")*v("hm"), 1e-9)
	near(t, "kc", v("kc"), v("f")/v("hm"), 1e-9)
	near(t, "Ft", v("Ft"), v("f")*v("b"), 1e-9)
	near(t, "teeth", v("t"), 0.2677, 1e-4)
	near(t, "lift", v("u"), 0.6*0.57735, 1e-4)
	near(t, "power", load.PowerW, 2*math.Pi*v("n")*math.Abs(v("M"))/60, 1e-9)
}

// The same of a law with an exponent, on either side of the chip where the straight line ends.
func TestWorkingOfAnExponent(t *testing.T) {
	work, _ := material.WorkNamed("steel-mild")
	for _, feed := range []float64{600, 6000} {
		_, terms, err := Explain(work, endMill(6, 2), side(6, 6, 2, feed, 18000))
		if err != nil {
			t.Fatal(err)
		}
		v := func(symbol string) float64 { return value(t, terms, symbol) }
		near(t, "ht", v("ht"), math.Pow(v("ke")/(v("m")*v("cr")*v("kc1")), 1/(1-v("m"))), 1e-9)
		want := v("cr") * v("kc1") * math.Pow(v("hm"), 1-v("m"))
		if v("hm") <= v("ht") {
			want = v("ke") + (1-v("m"))*v("cr")*v("kc1")*math.Pow(v("ht"), -v("m"))*v("hm")
		}
		near(t, "f", v("f"), want, 1e-9)
		if below := feed == 600; below != (v("hm") <= v("ht")) {
			t.Errorf("F%g: mean chip %.4f mm, straight to %.4f mm", feed, v("hm"), v("ht"))
		}
	}
}

func TestWorkingOfADrill(t *testing.T) {
	work, _ := material.WorkNamed("steel-mild")
	cut := plunge(2, 300, 3000)
	cut.Breakthrough = true
	load, terms, err := Explain(work, twist118(6), cut)
	if err != nil {
		t.Fatal(err)
	}
	v := func(symbol string) float64 { return value(t, terms, symbol) }
	near(t, "thrust", v("T"), 570*v("K")*v("d")*math.Pow(v("f"), 0.85), 1e-9)
	near(t, "torque", v("M"), v("K")*v("d")*v("d")*(0.630+16.84*v("f"))/100, 1e-9)
	near(t, "pull", v("U"), 2000*v("M")/v("d")*math.Tan(math.Pi/6), 1e-9)
	near(t, "lift", load.UpN, v("U"), 1e-9)
}

// Every kind of cut is explained in full: no value without a name, none that is no number, each given figure with a
// source.
func TestEveryKindIsExplained(t *testing.T) {
	seen := map[string]bool{}
	for _, work := range material.Works() {
		for _, flags := range []Cut{{}, {Rub: true}, {RampRad: 0.1}, {Plunge: true}, {Retract: true, Plunge: true}} {
			for _, shape := range []sweep.Shape{sweep.Flat, sweep.Drill} {
				cut := side(6, 3, 3, 1800, 18000)
				cut.Rub, cut.RampRad, cut.Plunge, cut.Retract = flags.Rub, flags.RampRad, flags.Plunge, flags.Retract
				tool := twist118(6)
				tool.Shape = shape
				_, terms, err := Explain(work, tool, cut)
				if err != nil {
					t.Fatal(err)
				}
				seen[terms[0].Text] = true
				for _, term := range terms {
					if term.What == "" || term.Text == "" && (math.IsNaN(term.Value) || math.IsInf(term.Value, 0)) {
						t.Errorf("%s: %+v", terms[0].Text, term)
					}
					if strings.HasPrefix(term.Symbol, "k") && term.Source == "" {
						t.Errorf("%s has no source", term.What)
					}
				}
			}
		}
	}
	if len(seen) != 5 {
		t.Errorf("kinds seen: %v", seen)
	}
}
