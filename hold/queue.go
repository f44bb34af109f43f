package hold

import (
	"fmt"

	"staydown/hold/airflow"
)

// queue checks parts of epochs side by side, a few at a time, and shows their trials in order all the same: steps do
// not depend on each other once the air of their epoch is solved.
type queue struct {
	check   func(p epochPart, chuck airflow.Chuck, found func(trial)) error
	visit   func(trial)
	slots   chan struct{}
	waiting []chan batch // of the parts that were not shown to their end yet, in order
}

// epochPart is a stretch of the steps of an epoch, [from, to).
type epochPart struct{ epoch, from, to int }

// partSteps is the length of a part: an epoch can be the whole program, and each part builds its bodies anew.
const partSteps = 1 << 12

// parts lists the parts of the epoch with an index.
func (e *epoch) parts(index int) (out []epochPart) {
	for from := e.firstStep; from < e.lastStep; from += partSteps {
		out = append(out, epochPart{index, from, min(from+partSteps, e.lastStep)})
	}
	return out
}

// batch is what came out of a stretch of a part.
type batch struct {
	found []trial
	err   error // which ends the part
}

// What waits for its turn is bounded: a trial takes 200 bytes.
const (
	partsAhead   = 16
	batchTrials  = 256
	batchesAhead = 16 // of a part
)

func newQueue(workers int, check func(epochPart, airflow.Chuck, func(trial)) error, visit func(trial)) *queue {
	return &queue{check: check, visit: visit, slots: make(chan struct{}, workers)}
}

// addEpoch starts the check of an epoch, part by part.
func (q *queue) addEpoch(index int, e *epoch) error {
	for _, p := range e.parts(index) {
		if err := q.add(p, e.state.Chuck); err != nil {
			return err
		}
	}
	return nil
}

// add starts the check of a part with the chuck at a pressure. While it has to wait for a worker it shows
// what there is: workers wait for that in turn.
func (q *queue) add(p epochPart, chuck airflow.Chuck) error {
	for started := false; !started; {
		var front chan batch
		if len(q.waiting) > 0 {
			front = q.waiting[0]
		}
		select {
		case q.slots <- struct{}{}:
			started = true
		case b, more := <-front:
			if err := q.show(b, more); err != nil {
				return err
			}
		}
	}
	out := make(chan batch, batchesAhead)
	q.waiting = append(q.waiting, out)
	go q.work(p, chuck, out)
	for len(q.waiting) > partsAhead {
		b, more := <-q.waiting[0]
		if err := q.show(b, more); err != nil {
			return err
		}
	}
	return nil
}

// work checks one part.
func (q *queue) work(p epochPart, chuck airflow.Chuck, out chan<- batch) {
	var found []trial
	err := q.check(p, chuck, func(t trial) {
		if found = append(found, t); len(found) == batchTrials {
			out <- batch{found: found}
			found = make([]trial, 0, batchTrials)
		}
	})
	<-q.slots
	out <- batch{found, err}
	close(out)
}

// show hands a batch of the first waiting part to visit; more is false when there was none left.
func (q *queue) show(b batch, more bool) error {
	if !more {
		q.waiting = q.waiting[1:]
		return nil
	}
	if b.err != nil {
		q.abandon()
		return fmt.Errorf("the margins cannot be computed: %w", b.err)
	}
	for i := range b.found {
		q.visit(b.found[i])
	}
	return nil
}

// abandon waits for what is under way and shows no more.
func (q *queue) abandon() {
	for _, w := range q.waiting {
		for range w {
		}
	}
	q.waiting = nil
}

// drain shows everything that still waits.
func (q *queue) drain() error {
	for len(q.waiting) > 0 {
		b, more := <-q.waiting[0]
		if err := q.show(b, more); err != nil {
			return err
		}
	}
	return nil
}
