package removal

import (
	"iter"
	"slices"
)

// Steps are steps in their order. They are kept in blocks: they grow without being copied, and a block can be used
// again by itself. The zero value is empty.
type Steps struct {
	blocks [][]Step
	n      int
	spare  [][]Step // blocks to fill next
}

const (
	stepBits  = 12
	stepBlock = 1 << stepBits
)

// Len is the number of steps.
func (s *Steps) Len() int { return s.n }

// At gives step i, counted from 0, which must not be changed. It panics if there is none.
func (s *Steps) At(i int) *Step { return &s.blocks[i>>stepBits][i&(stepBlock-1)] }

// All gives the steps in their order, with their indices.
func (s *Steps) All() iter.Seq2[int, *Step] {
	return func(yield func(int, *Step) bool) {
		for i := range s.n {
			if !yield(i, s.At(i)) {
				return
			}
		}
	}
}

// Add appends a step.
func (s *Steps) Add(step *Step) {
	if s.n&(stepBlock-1) == 0 {
		block := make([]Step, 0, stepBlock)
		if n := len(s.spare); n > 0 {
			block, s.spare = s.spare[n-1][:0], s.spare[:n-1]
		}
		s.blocks = append(s.blocks, block)
	}
	last := &s.blocks[len(s.blocks)-1]
	*last = append(*last, *step)
	s.n++
}

// Clone is a copy that does not change with the steps.
func (s *Steps) Clone() Steps {
	out := Steps{n: s.n}
	for _, block := range s.blocks {
		out.blocks = append(out.blocks, slices.Clone(block))
	}
	return out
}

// Replace puts others in the place of the steps: of every block of them, some blocks at a time, others makes a list,
// perhaps side by side. The blocks are filled with what is in the lists.
func (s *Steps) Replace(atOnce int, others func(blocks [][]Step), next func(add func(*Step))) {
	from := s.blocks
	*s = Steps{}
	for len(from) > 0 {
		batch := from[:min(atOnce, len(from))]
		others(batch)
		s.spare = append(s.spare, batch...)
		clear(batch)
		from = from[len(batch):]
		next(s.Add)
	}
	s.spare = nil
}
