package hold

import (
	"sync"
	"testing"

	"staydown/hold/airflow"
)

// A long epoch is checked in parts, and its trials come in the order of the program all the same.
func TestLongEpochsAreSharedOut(t *testing.T) {
	e := &epoch{firstStep: 3, lastStep: 3 + 2*partSteps + 5}
	var mu sync.Mutex
	parts, next := 0, e.firstStep
	q := newQueue(2, func(p epochPart, _ airflow.Chuck, found func(trial)) error {
		mu.Lock()
		parts++
		mu.Unlock()
		for step := p.from; step < p.to; step++ {
			found(trial{step: step, epoch: p.epoch})
		}
		return nil
	}, func(u trial) {
		if u.step != next || u.epoch != 7 {
			t.Fatalf("step %d of epoch %d, want step %d of epoch 7", u.step, u.epoch, next)
		}
		next++
	})
	if err := q.addEpoch(7, e); err != nil {
		t.Fatal(err)
	}
	if err := q.drain(); err != nil {
		t.Fatal(err)
	}
	if parts != 3 || next != e.lastStep {
		t.Errorf("%d parts up to step %d, want 3 up to %d", parts, next, e.lastStep)
	}
}
