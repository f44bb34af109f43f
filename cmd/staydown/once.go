package main

import (
	"sync"

	"staydown/sweep"
)

// once sweeps over each table side at most once, for checks of one sweep that run side by side.
func once(over func(bottomMM float64) (*sweep.Record, error)) func(bottomMM float64) (*sweep.Record, error) {
	var mu sync.Mutex
	done := map[float64]*sweep.Record{}
	return func(bottomMM float64) (rec *sweep.Record, err error) {
		mu.Lock()
		defer mu.Unlock()
		rec, ok := done[bottomMM]
		if !ok {
			if rec, err = over(bottomMM); err == nil {
				done[bottomMM] = rec
			}
		}
		return rec, err
	}
}
