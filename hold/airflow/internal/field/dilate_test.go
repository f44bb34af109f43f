package field

import "testing"

func TestDilateTakesTheLargestInASquare(t *testing.T) {
	v := []float32{0, 0, 0, 0, 0, 9, 0, 0, 0, 0, 0, 0, 0, 0, 3}
	dilate(v, 5, 3, 1)
	want := []float32{9, 9, 0, 0, 0, 9, 9, 0, 3, 3, 9, 9, 0, 3, 3}
	for i := range want {
		if v[i] != want[i] {
			t.Fatalf("got %v, want %v", v, want)
		}
	}
}
