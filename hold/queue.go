package hold

import "fmt"

// queue checks epochs side by side, a few at a time, and shows their trials in order all the same: epochs do not depend on
// each other once their air is solved.
type queue struct {
	a       *Analysis
	visit   func(trial) bool
	slots   chan struct{}
	waiting []chan checked // of the epochs that were not shown yet, in order
	over    bool           // visit has seen enough
}

// checked is what came out of one epoch.
type checked struct {
	trials []trial
	err    error
}

// epochsAhead bounds the trials that wait for their turn.
const epochsAhead = 16

func (a *Analysis) newQueue(visit func(trial) bool) *queue {
	return &queue{a: a, visit: visit, slots: make(chan struct{}, a.workers)}
}

// add starts the check of an epoch with the chuck at an absolute pressure. on is false when visit has seen enough.
func (q *queue) add(index int, chuckPa float64) (on bool, err error) {
	done := make(chan checked, 1)
	q.waiting = append(q.waiting, done)
	q.slots <- struct{}{}
	go func() {
		trials, err := q.a.sweepEpoch(index, chuckPa)
		<-q.slots
		done <- checked{trials, err}
	}()
	for len(q.waiting) > epochsAhead {
		if err := q.show(); err != nil || q.over {
			return false, err
		}
	}
	return true, nil
}

// show hands the trials of the first waiting epoch to visit.
func (q *queue) show() error {
	c := <-q.waiting[0]
	q.waiting = q.waiting[1:]
	if c.err != nil {
		q.abandon()
		return fmt.Errorf("the loads cannot be set against the hold: %w", c.err)
	}
	for _, t := range c.trials {
		if !q.visit(t) {
			q.abandon()
			break
		}
	}
	return nil
}

// abandon waits for what is under way and shows no more.
func (q *queue) abandon() {
	q.over = true
	for _, w := range q.waiting {
		<-w
	}
	q.waiting = nil
}

// drain shows everything that still waits.
func (q *queue) drain() error {
	for len(q.waiting) > 0 {
		if err := q.show(); err != nil {
			return err
		}
	}
	return nil
}
