package contact

import "testing"

// stock is a big blank: 600 x 400 mm on 5 mm cells, with the load of a cutter near its rim.
func stock(enough float64) Body {
	return Body{Elements: rectangle(600, 400, 120, 80, even(70e3)), Friction: 0.3, WeightN: 38, Enough: enough}
}

func cutterLoads(n int) []Load {
	loads := make([]Load, n)
	for i := range loads {
		k := float64(i) / float64(n)
		loads[i] = Load{XN: 120 * (0.5 - k), YN: 150 * k, ZN: 40 * k, X: 250, Y: 150, HeightMM: 4, TorqueNmm: 200}
	}
	return loads
}

func BenchmarkNewSupport(b *testing.B) {
	for _, c := range []struct {
		name string
		body Body
	}{{"stock of 9600 elements", stock(6)}, {"stock of 512 elements",
		Body{Elements: rectangle(600, 400, 32, 16, even(70e3)), Friction: 0.3, WeightN: 38}}, {"piece of 100 elements",
		Body{Elements: rectangle(50, 50, 10, 10, even(70e3)), Friction: 0.3}}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := NewSupport(c.body); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkCheck(b *testing.B) {
	for _, c := range []struct {
		name   string
		enough float64
	}{{"straight line", 6}, {"limit surface", 0}} {
		b.Run(c.name, func(b *testing.B) {
			s, loads := support(b, stock(c.enough)), cutterLoads(36)
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				s.Check(loads[i%len(loads)])
			}
		})
	}
}

func BenchmarkWorstOf36(b *testing.B) {
	for _, c := range []struct {
		name   string
		enough float64
	}{{"straight line", 6}, {"limit surface", 0}} {
		b.Run(c.name, func(b *testing.B) {
			s, loads := support(b, stock(c.enough)), cutterLoads(36)
			b.ReportAllocs()
			for b.Loop() {
				s.Worst(loads)
			}
		})
	}
}
