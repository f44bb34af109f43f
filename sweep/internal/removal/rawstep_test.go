package removal

import "testing"

// Steps fill blocks of one size in their order.
func TestStepsInBlocks(t *testing.T) {
	var b StepBlocks
	const n = 2*stepBlock + 3
	for i := range n {
		b.add(Step{Move: int32(i)})
	}
	if len(b) != 3 || b.Count() != n || b[1][0].Move != stepBlock || len(b[2]) != 3 {
		t.Errorf("%d blocks with %d steps", len(b), b.Count())
	}
}
