package removal

import "testing"

func numbered(n int) (s Steps) {
	for i := range n {
		s.Add(&Step{Move: int32(i)})
	}
	return s
}

func checkNumbers(t *testing.T, s *Steps, n int) {
	t.Helper()
	if s.Len() != n {
		t.Errorf("%d steps, want %d", s.Len(), n)
	}
	for i, step := range s.All() {
		if int(step.Move) != i || s.At(i) != step {
			t.Fatalf("step %d is %d", i, step.Move)
		}
	}
}

// Steps fill blocks of one size in their order.
func TestStepsInBlocks(t *testing.T) {
	const n = 2*stepBlock + 3
	s := numbered(n)
	checkNumbers(t, &s, n)
	if len(s.blocks) != 3 || len(s.blocks[2]) != 3 {
		t.Errorf("%d blocks, the last of %d", len(s.blocks), len(s.blocks[len(s.blocks)-1]))
	}
}

// A long program has no room for two steps in the place of one: the blocks of the old are filled with the new.
func TestReplacedStepsTakeTheSameBlocks(t *testing.T) {
	const n = 5*stepBlock + 7
	s := numbered(n)
	old := map[*Step]bool{}
	for _, b := range s.blocks {
		old[&b[0]] = true
	}
	var got []Step
	s.Replace(2, func(blocks [][]Step) {
		got = got[:0]
		for _, b := range blocks {
			for _, step := range b {
				got = append(got, Step{Move: 2 * step.Move}, Step{Move: 2*step.Move + 1})
			}
		}
	}, func(add func(*Step)) {
		for i := range got {
			add(&got[i])
		}
	})
	checkNumbers(t, &s, 2*n)
	again := 0
	for _, b := range s.blocks {
		if old[&b[0]] {
			again++
		}
	}
	if again != len(old) || s.spare != nil {
		t.Errorf("%d of %d blocks are used again", again, len(old))
	}
}
