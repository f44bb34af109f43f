package joins

import (
	"staydown/sweep/internal/pieces"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/removal"
	"staydown/sweep/parallel"
)

// Neck tells up to which size what joins a piece counts as a neck under the load of a step. All bounds must be passed
// for more than that.
type Neck struct {
	WidthMM    float64 // of full-height material; never more than the diameter of the largest tool
	SectionMM2 float64 // of its smallest section
	BendMM2    float64 // of the sum of width times height squared over length, see Section.BendMM2
	EdgeMM2    float64 // of the sum of height times width squared over length, see Section.EdgeMM2
}

func (n Neck) union(o Neck) Neck {
	return Neck{max(n.WidthMM, o.WidthMM), max(n.SectionMM2, o.SectionMM2), max(n.BendMM2, o.BendMM2),
		max(n.EdgeMM2, o.EdgeMM2)}
}

func (n Neck) weaker(s *pieces.Section) bool {
	return s.AreaMM2 < n.SectionMM2 || s.BendMM2() < n.BendMM2
}

// weakAtEnd counts bending edgewise as well: of what is left at the end, not of the last bit of a closing cut, which is
// narrow for the last of its way only.
func (n Neck) weakAtEnd(s *pieces.Section) bool { return n.weaker(s) || s.EdgeMM2() < n.EdgeMM2 }

// necks are the bounds by move, as indices of those that there are, and those that hold for all of them.
type necks struct {
	moves []uint32
	kinds []Neck // the first is that of moves without a step
	all   Neck
}

// Steps whose bounds are kept until they are taken over, and steps that a worker takes at once.
const (
	stepsAtOnce = 1 << 16
	stepRun     = 1 << 8
)

// chooseNecks asks for the bounds of every step. Where nobody tells, a full-height bridge as wide as the largest tool
// is one.
func chooseNecks(s *plan.Setup, ask func(*removal.Step) Neck, steps *removal.Steps) (n necks) {
	if ask == nil {
		n.all = Neck{s.Largest, s.Largest * s.Top, s.Top * s.Top, 0}
		return n
	}
	n.moves, n.kinds = make([]uint32, s.Moves.Len()), []Neck{{}}
	known := map[Neck]uint32{{}: 0}
	told := make([]Neck, min(steps.Len(), stepsAtOnce))
	for first := 0; first < steps.Len(); first += stepsAtOnce {
		told = told[:min(len(told), steps.Len()-first)]
		parallel.ForRuns(s.Opt.Jobs, len(told), stepRun, func(_, i int) { told[i] = ask(steps.At(first + i)) })
		for i, bounds := range told {
			m := &n.moves[steps.At(first+i).Move]
			if bounds = n.kinds[*m].union(bounds); bounds == n.kinds[*m] {
				continue
			}
			kind, ok := known[bounds]
			if !ok {
				kind = uint32(len(n.kinds))
				n.kinds, known[bounds] = append(n.kinds, bounds), kind
			}
			*m = kind
		}
	}
	for _, bounds := range n.kinds {
		n.all = n.all.union(bounds)
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
		out = out.union(n.kinds[n.moves[i]])
	}
	return out
}
