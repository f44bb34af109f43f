package wording_test

import (
	"fmt"
	"math"
	"testing"

	"staydown/hold/wording"
)

func ExampleMargin() {
	fmt.Println(wording.Margin(0.996), "of", wording.Margin(1))
	// Output: 0.99 of 1.00
}

// A margin just below a limit must not be printed as the limit.
func TestMarginsAreRoundedDown(t *testing.T) {
	for v, want := range map[float64]string{0.999: "0.99", 1: "1.00", 1.999: "1.99", 2: "2.00", 0.62: "0.62", 0: "0.00",
		0.29: "0.29", 0.57: "0.57"} {
		if got := wording.Margin(v); got != want {
			t.Errorf("Margin(%v) = %q, want %q", v, got, want)
		}
	}
}

func TestClock(t *testing.T) {
	for v, want := range map[float64]string{0: "0:00:00", 59.6: "0:01:00", 3599: "0:59:59", 3661: "1:01:01",
		360000: "100:00:00", -1: "0:00:00"} {
		if got := wording.Clock(v); got != want {
			t.Errorf("Clock(%v) = %q, want %q", v, got, want)
		}
	}
	if got := wording.Clock(math.NaN()); got != "unknown" {
		t.Errorf("Clock(NaN) = %q", got)
	}
}

func TestLinesAreNamedInOrder(t *testing.T) {
	for want, ranges := range map[string][]wording.LineRange{
		"line 7":                 {{7, 7}},
		"":                       nil,
		"lines 7 to 9":           {{8, 9}, {7, 8}},
		"lines 3, 5 to 7 and 12": {{12, 12}, {5, 7}, {3, 3}},
		"lines 1 to 21":          {{1, 1}, {4, 4}, {7, 7}, {10, 11}, {14, 14}, {17, 17}, {20, 21}},
	} {
		if got := wording.Lines(ranges...); got != want {
			t.Errorf("%v: %q, want %q", ranges, got, want)
		}
	}
}

func ExampleLines() {
	fmt.Println(wording.Lines(wording.LineRange{First: 12, Last: 12}, wording.LineRange{First: 3, Last: 5}))
	// Output: lines 3 to 5 and 12
}
