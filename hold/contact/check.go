package contact

import (
	"math"

	"github.com/paulmach/orb"
)

// cheapChecks is what of a check costs next to nothing: all but the exact limit surface. Tip is left at +Inf where it
// cannot be the worst.
type cheapChecks struct {
	contactLoad
	line       straight
	lift, slip float64
	tip        float64
	edge       int
}

func (s *Support) cheapChecks(k *cheapChecks, l *Load) {
	s.contactLoad(&k.contactLoad, l)
	k.lift = s.lift(l)
	k.line = k.straight()
	k.slip = slip(&k.shares, k.levelN)
	// What tips later than it slips straight on is never the worst.
	if k.tip, k.edge = math.Inf(1), -1; !(s.bound.tipShare(l, k.levelN)*k.slip < 1-rounding) {
		k.tip, k.edge = s.tip(l)
	}
}

// least is a lower bound of the worst margin.
func (k *cheapChecks) least() float64 { return min(min(k.lift, k.tip), k.line.margin()) }

// Check gives the worst of lift, slip, twist and tip under a load; of equals the earlier in that order.
//
// Twist is force and moment together on the limit surface of the piece's own pressure. Since a moment only makes
// sliding easier, its margin is never above that of straight slip; where the moment's part in it is small (a sixth of
// F/Fmax + M/Mmax or less: a disc would turn about a point two radii away or farther) the outcome is called slip, with
// the margin of the two together.
func (s *Support) Check(l Load) Outcome {
	if o, done := s.trivial(&l); done {
		return o
	}
	var k cheapChecks
	s.cheapChecks(&k, &l)
	return s.conclude(&l, &k, math.Inf(1))
}

// trivial answers loads that need no computing.
func (s *Support) trivial(l *Load) (Outcome, bool) {
	if err := l.validate(); err != nil {
		return Outcome{Reason: "the load is not a usable number", Err: err}, true
	}
	if s.anchored {
		return Outcome{Margin: math.Inf(1), Reason: "screwed or clamped as well"}, true
	}
	return Outcome{}, false
}

// exact tells whether the straight line will not do.
func (s *Support) exact(k *cheapChecks) bool { return s.enough <= 0 || k.line.margin() < s.enough }

// conclude gives the outcome. Where the margin is above the limit, any other above it may be given.
func (s *Support) conclude(l *Load, k *cheapChecks, limit float64) Outcome {
	slide, exact, at := min(k.line.margin(), k.slip), false, twist{}
	// Where the line is as good as straight slip, or something else is worse than the line, the exact surface cannot
	// change the outcome.
	if slide < min(k.lift, k.tip) && slide < k.slip && s.exact(k) {
		slide, at = s.critical(&k.contactLoad, cutoff{high: limit})
		exact = true
	}
	switch worst := min(min(k.lift, k.tip), slide); {
	case math.IsInf(worst, 1):
		return Outcome{Margin: worst, HoldN: k.leftN, Reason: "nothing loads the piece"}
	case worst == k.lift:
		return s.raised(l, k)
	case worst == slide:
		return s.slid(l, k, slide, exact, at)
	default:
		return s.tipped(l, k)
	}
}

// All gives lift, slip, twist and tip, in this order, each with its working. Slip is straight sliding, without the
// moment; twist is exact even where Body.Enough would let the straight line do.
func (s *Support) All(l Load) [4]Outcome {
	all := [4]Outcome{}
	if o, done := s.trivial(&l); done {
		for i := range all {
			all[i] = o
			if o.Err != nil {
				all[i].Mode = Lift + Mode(i)
			}
		}
		return all
	}
	var k cheapChecks
	s.cheapChecks(&k, &l)
	k.tip, k.edge = s.tip(&l)
	slide, exact, at := min(k.line.margin(), k.slip), false, twist{}
	if slide < k.slip {
		slide, at = s.critical(&k.contactLoad, cutoff{})
		exact = true
	}
	all[0] = s.raised(&l, &k)
	all[1] = s.slidStraight(&k)
	all[2] = s.turned(&l, &k, slide, exact, at)
	all[3] = s.tipped(&l, &k)
	all[0].Steps = s.liftSteps(&l)
	all[1].Steps = s.slipSteps(&l, &k)
	all[2].Steps = s.twistSteps(&k, all[2])
	all[3].Steps = s.tipSteps(&l, &k)
	return all
}

func (s *Support) raised(l *Load, k *cheapChecks) Outcome {
	return Outcome{Mode: Lift, Margin: k.lift, HoldN: s.normalN + s.uprightN, LoadN: max(l.ZN, 0)}
}

func (s *Support) slidStraight(k *cheapChecks) Outcome {
	return Outcome{Mode: Slip, Margin: k.slip, HoldN: k.leftN, LoadN: k.levelN}
}

// slid names the combined motion slip or twist. It is exact when the motion on the limit surface is known.
func (s *Support) slid(l *Load, k *cheapChecks, margin float64, exact bool, at twist) Outcome {
	if k.line.turns() {
		return s.turned(l, k, margin, exact, at)
	}
	o := s.slidStraight(k)
	o.Margin = margin
	return o
}

func (s *Support) turned(l *Load, k *cheapChecks, margin float64, exact bool, at twist) Outcome {
	o := Outcome{Mode: Twist, Margin: margin, HoldN: k.leftN, LoadN: k.levelN}
	c := orb.Point{s.origin[0] + k.cx*s.reach, s.origin[1] + k.cy*s.reach}
	if exact {
		if centre, ok := s.slidingCentre(at); ok {
			c, o.slidingCentre, o.hasSlidingCentre = centre, centre, true
		}
	}
	o.momentNmm = math.Abs((l.X-c[0])*l.YN - (l.Y-c[1])*l.XN + l.TorqueNmm)
	return o
}

func (s *Support) tipped(l *Load, k *cheapChecks) Outcome {
	o := Outcome{Mode: Tip, Margin: k.tip, HoldN: k.leftN, LoadN: k.levelN}
	if o.LoadN == 0 {
		o.LoadN = math.Abs(l.ZN)
	}
	if k.edge < 0 && k.tip == 0 {
		o.Reason = "nothing it could stand on is known"
	}
	return o
}
