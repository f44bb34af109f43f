package parallel_test

import (
	"fmt"
	"testing"

	"staydown/sweep/parallel"
)

// Every number comes once, and no worker has a number of its own beyond those asked for.
func TestEveryNumberComesOnce(t *testing.T) {
	for _, c := range []struct{ workers, n, run int }{{1, 10, 1}, {3, 10, 1}, {3, 10, 4}, {8, 3, 1}, {0, 5, 2},
		{4, 0, 3}, {2, 1000, 7}} {
		seen, sums := make([]int, c.n), make([]int, max(1, c.workers))
		parallel.ForRuns(c.workers, c.n, c.run, func(worker, i int) {
			seen[i]++
			sums[worker] += i
		})
		sum := 0
		for _, part := range sums {
			sum += part
		}
		if want := c.n * (c.n - 1) / 2; sum != want {
			t.Errorf("%+v: numbers add up to %d, want %d", c, sum, want)
		}
		for i, n := range seen {
			if n != 1 {
				t.Errorf("%+v: %d came %d times", c, i, n)
			}
		}
	}
}

func ExampleFor() {
	squares := make([]int, 5)
	parallel.For(2, len(squares), func(_, i int) { squares[i] = i * i })
	fmt.Println(squares)
	// Output: [0 1 4 9 16]
}
