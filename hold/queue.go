package hold

import "fmt"

// queue checks epochs concurrently and visits their results in order. Epochs are independent once their air is solved.
type queue[T any] struct {
	check   func(index int, chuckPa float64) ([]T, error)
	visit   func(T) bool
	slots   chan struct{}
	waiting []chan checked[T] // results not visited yet, in order
	over    bool              // visit has seen enough
}

// checked is the result of one epoch.
type checked[T any] struct {
	found []T
	err   error
}

// epochsAhead bounds the results that wait.
const epochsAhead = 16

func newQueue[T any](workers int, check func(index int, chuckPa float64) ([]T, error), visit func(T) bool) *queue[T] {
	return &queue[T]{check: check, visit: visit, slots: make(chan struct{}, workers)}
}

// all checks so many epochs from the first, with the chuck at the absolute pressure that chuckPa gives for each, until
// visit returns false.
func (q *queue[T]) all(epochs int, chuckPa func(index int) float64) error {
	for i := range epochs {
		if on, err := q.add(i, chuckPa(i)); !on || err != nil {
			return err
		}
	}
	return q.drain()
}

// add starts the check of an epoch with the chuck at an absolute pressure. on is false once visit has returned false.
func (q *queue[T]) add(index int, chuckPa float64) (on bool, err error) {
	done := make(chan checked[T], 1)
	q.waiting = append(q.waiting, done)
	q.slots <- struct{}{}
	go func() {
		found, err := q.check(index, chuckPa)
		<-q.slots
		done <- checked[T]{found, err}
	}()
	for len(q.waiting) > epochsAhead {
		if err := q.show(); err != nil || q.over {
			return false, err
		}
	}
	return true, nil
}

// show visits the result of the first waiting epoch.
func (q *queue[T]) show() error {
	c := <-q.waiting[0]
	q.waiting = q.waiting[1:]
	if c.err != nil {
		q.abandon()
		return fmt.Errorf("the margins cannot be computed: %w", c.err)
	}
	for _, t := range c.found {
		if !q.visit(t) {
			q.abandon()
			break
		}
	}
	return nil
}

// abandon waits for the running checks and drops their results.
func (q *queue[T]) abandon() {
	q.over = true
	for _, w := range q.waiting {
		<-w
	}
	q.waiting = nil
}

// drain visits everything that still waits.
func (q *queue[T]) drain() error {
	for len(q.waiting) > 0 {
		if err := q.show(); err != nil {
			return err
		}
	}
	return nil
}
