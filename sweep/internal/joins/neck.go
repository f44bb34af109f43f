package joins

import (
	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/removal"
)

// Neck tells up to which size what joins a piece counts as a neck under the load of a step. Both bounds must be passed
// for more than that.
type Neck struct {
	WidthMM    float64 // of full-height material; never more than the diameter of the largest tool
	SectionMM2 float64 // of its smallest section
	BendMM2    float64 // of the sum of width times height squared over length, see Section.BendMM2
}

func (n Neck) union(o Neck) Neck {
	return Neck{max(n.WidthMM, o.WidthMM), max(n.SectionMM2, o.SectionMM2), max(n.BendMM2, o.BendMM2)}
}

func (n Neck) weaker(s *pieces.Section) bool {
	return s.AreaMM2 < n.SectionMM2 || s.BendMM2() < n.BendMM2
}

// necks are the bounds by move, and those that hold for all of them.
type necks struct {
	moves []Neck
	all   Neck
}

// chooseNecks asks for the bounds of every step. Where nobody tells, a full-height bridge as wide as the largest tool
// is one.
func chooseNecks(s *plan.Setup, ask func(*removal.Step) Neck, blocks removal.StepBlocks) (n necks) {
	if ask == nil {
		n.all = Neck{s.Largest, s.Largest * s.Top, s.Top * s.Top}
		return n
	}
	n.moves = make([]Neck, s.Moves.Len())
	for _, steps := range blocks {
		for i := range steps {
			m := &n.moves[steps[i].Move]
			*m = m.union(ask(&steps[i]))
		}
	}
	for i := range n.moves {
		n.all = n.all.union(n.moves[i])
	}
	n.all.WidthMM = min(n.all.WidthMM, s.Largest)
	return n
}

// between gives the bounds for the moves from one up to, but without, another.
func (n *necks) between(from, to int) (out Neck) {
	if n.moves == nil {
		return n.all
	}
	for i := from; i < min(to, len(n.moves)); i++ {
		out = out.union(n.moves[i])
	}
	return out
}
