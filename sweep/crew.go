package sweep

import (
	"sync"
	"sync/atomic"
)

// share hands the numbers 0..n-1 out to at most jobs workers, in rising order, and waits for all of them. work is
// called with the worker's own number, below jobs; what it writes must not depend on which worker had which numbers.
func share(jobs, n int, work func(worker, i int)) { shareRuns(jobs, n, 1, work) }

// shareRuns does the same with runs of numbers: what lies side by side in memory is then mostly with one worker.
func shareRuns(jobs, n, long int, work func(worker, i int)) {
	var next atomic.Int64
	run := func(worker int) {
		for {
			to := int(next.Add(int64(long)))
			from := to - long
			if from >= n {
				return
			}
			for i := from; i < min(to, n); i++ {
				work(worker, i)
			}
		}
	}
	var wg sync.WaitGroup
	for w := 1; w < min(jobs, (n+long-1)/long); w++ {
		wg.Add(1)
		go func() { defer wg.Done(); run(w) }()
	}
	run(0)
	wg.Wait()
}
