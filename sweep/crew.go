package sweep

import (
	"sync"
	"sync/atomic"
)

// share hands the numbers 0..n-1 out to at most jobs workers, in rising order, and waits for all of them. work is called
// with the worker's own number, below jobs; what it writes must not depend on which worker had which numbers.
func share(jobs, n int, work func(worker, i int)) {
	var next atomic.Int64
	run := func(worker int) {
		for {
			i := int(next.Add(1)) - 1
			if i >= n {
				return
			}
			work(worker, i)
		}
	}
	var wg sync.WaitGroup
	for w := 1; w < min(jobs, n); w++ {
		wg.Add(1)
		go func() { defer wg.Done(); run(w) }()
	}
	run(0)
	wg.Wait()
}
