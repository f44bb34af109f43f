// Package parallel shares loops out among goroutines.
package parallel

import (
	"sync"
	"sync/atomic"
)

// For calls work for the numbers 0..n-1, in rising order, on at most so many workers, and waits for all of them. work
// gets the worker's own number, below workers; what it writes must not depend on which worker had which numbers.
func For(workers, n int, work func(worker, i int)) { ForRuns(workers, n, 1, work) }

// ForRuns does the same with runs of so many numbers: what lies side by side in memory is then mostly with one worker.
func ForRuns(workers, n, run int, work func(worker, i int)) {
	var next atomic.Int64
	take := func(worker int) {
		for {
			to := int(next.Add(int64(run)))
			from := to - run
			if from >= n {
				return
			}
			for i := from; i < min(to, n); i++ {
				work(worker, i)
			}
		}
	}
	var others sync.WaitGroup
	for worker := 1; worker < min(workers, (n+run-1)/run); worker++ {
		others.Go(func() { take(worker) })
	}
	take(0)
	others.Wait()
}
