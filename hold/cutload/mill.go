package cutload

import (
	"math"
	"slices"

	"staydown/hold/job"
	"staydown/hold/material"
)

const (
	// rotorStep is the largest distance of two neighboring rotor angles; the entry and exit angles of the teeth come
	// on top. The peaks found so lie within 1 % of those of a ten times finer sampling.
	rotorStep = 9 * math.Pi / 180
	leastStep = 8 // rotor angles over the contact of one tooth, at least

	// leastArc and leastDepthMM are what a cut is taken to have that is said to have less: it does touch.
	leastArc     = math.Pi / 180
	leastDepthMM = 0.01

	// tipMM is the gap below the material up to which the bottom of the tool counts as cutting.
	tipMM = 0.05

	// fullEdgeMM is the chip of the bottom from which its edge force counts in full. Below, it fades, so that a slope
	// that is a rounding error loads nothing. Common practice, no source: a sharp edge is about so round.
	fullEdgeMM = 0.001
)

// mill is a side cut ready to be turned: all that does not change with the rotor angle.
type mill struct {
	law         law
	feed        feed
	right, left float64 // the arc of engagement, rad
	bands       []band
	seen        []*window // by band: what is seen of its chips through the arc, run-out counted
	pressed     float64   // share of the downward force of the helix that Rotor counts
	pressedMost float64   // factor of the same in an upper estimate
	bottom      float64   // tangential force of one bottom edge, N; 0 when the bottom does not cut
	thrust      float64   // downward force of one bottom edge, N
	reach       float64   // radius up to which the bottom edge cuts, mm
}

// newMill makes a mill of a law, a feed and a cut with a tool; its bottom does not cut.
func newMill(l law, f feed, tool job.Tool, cut Cut) mill {
	m := mill{
		law: l, feed: f,
		right: cut.RightRad, left: math.Min(cut.LeftRad, cut.RightRad+2*math.Pi),
		bands:   bands(tool, cut.TipGapMM, cut.TipGapMM+cut.DepthMM),
		pressed: 1, pressedMost: 1,
	}
	m.seen = m.windows(f)
	return m
}

// windows gives what is seen of each band's chips at a feed. Neighbors of one slant share theirs.
func (m *mill) windows(f feed) []*window {
	out := make([]*window, len(m.bands))
	for i, b := range m.bands {
		if i > 0 && b.sin == m.bands[i-1].sin {
			out[i] = out[i-1]
			continue
		}
		out[i] = newWindow(newChips(m.law, f, b.sin), m.right, m.left)
	}
	return out
}

// milling computes the load of a cut with the circumference of a tool turning clockwise, and with its bottom on a ramp.
func milling(work material.Work, tool job.Tool, cut Cut) Load {
	z := flutes(tool)
	cut = widened(cut, leastArc)
	cut.DepthMM = math.Max(cut.DepthMM, leastDepthMM)
	perTooth := cut.FeedMMMin / cut.RPM / float64(z)
	m := newMill(lawOf(work, tool), feed{perTooth * math.Cos(cut.RampRad), z, tool.RunoutMM}, tool, cut)
	if lift := work.Lift; lift.Likely > 0 {
		m.pressed, m.pressedMost = lift.Low/lift.Likely, lift.High/lift.Likely
	}
	load := Load{
		Kind:           Side,
		FeedPerToothMM: m.feed.perTooth,
		LowMM:          cut.TipGapMM,
		HighMM:         cut.TipGapMM + cut.DepthMM,
		RightRad:       m.right,
		LeftRad:        m.left,
		EdgeNmm:        work.Edge.Likely,
		RadialRatio:    work.Radial.Likely,
		LiftRatio:      work.Lift.Likely * math.Tan(tool.HelixRad),
		RakeFactor:     rakeFactor(work, tool),
		FeedPerTurnMM:  cut.FeedMMMin / cut.RPM,
		TeethInCut:     float64(z) * (m.left - m.right) / (2 * math.Pi),
	}
	if down := perTooth * math.Sin(cut.RampRad); down > 0 && cut.TipGapMM <= tipMM {
		m.ramp(work, down)
		load.Kind = Ramp
		load.BottomChipMM, load.BottomLengthMM, load.BottomThrustN = down, m.reach, m.thrust*float64(z)
	}
	m.chips(&load)
	load.SpecificN = m.law.Specific(load.ChipMeanMM)
	m.mean(&load)
	m.turn(&load)
	return load
}

// ramp adds the bottom edges, which cut a chip as thick as the tool goes down per tooth, over the arc of engagement.
// That they cut behind as well would only take from the sum. Their thrust follows the drilling law.
func (m *mill) ramp(work material.Work, down float64) {
	for _, b := range m.bands {
		m.reach = math.Max(m.reach, b.radius)
	}
	m.bottom = (m.law.Chip(down) + m.law.Edge*math.Min(1, down/fullEdgeMM)) * m.reach
	k := drillFactor(work, down)
	m.thrust = thrust(k, 2*m.reach, down*float64(m.feed.teeth)) / float64(m.feed.teeth)
}

// chips gives the chip thickness over the arc at the full radius.
func (m *mill) chips(load *Load) {
	load.RunoutFactor = 1
	right, left := math.Max(m.right, -math.Pi/2), math.Min(m.left, math.Pi/2)
	if right > left {
		return
	}
	c := math.Max(math.Cos(right), math.Cos(left))
	if right <= 0 && left >= 0 {
		c = 1
	}
	c = math.Max(c, 0)
	load.ChipMaxMM = load.FeedPerToothMM * c
	load.RunoutChipMM = m.feed.chip(c)
	load.RunoutFactor = (m.law.Edge + m.law.Chip(load.RunoutChipMM)) / (m.law.Edge + m.law.Chip(load.ChipMaxMM))
	if !(load.RunoutFactor >= 1) {
		load.RunoutFactor = 1 // no force, or a rounding error
	}
	load.ChipMeanMM = load.ChipMaxMM
	if left > right {
		load.ChipMeanMM = load.FeedPerToothMM * (math.Sin(left) - math.Sin(right)) / (left - right)
	}
}

// sum is what all teeth do at one rotor angle.
type sum struct {
	force   Force   // with Up as Rotor counts it
	along   float64 // upward force of the helix, negative where it presses in all
	press   float64 // other downward forces
	torque  float64
	momentA float64 // sum of force times height above the tip, N mm
	momentL float64
}

// add puts in what a band does to the basis w, an integral or a value over its part of the arc, divided by its angle.
func (m *mill) add(s *sum, b *band, w basis) {
	l := &m.law
	// An edge at phi of a clockwise cutter moves along (sin phi, -cos phi), and outwards is (cos phi, sin phi).
	chipT, chipR := b.edge*l.chip.tangential, b.edge*l.chip.radial*b.sin
	edgeT, edgeR := b.edge*l.Edge*l.edge.tangential, b.edge*l.Edge*l.edge.radial*b.sin
	ahead := float64(chipT*w.chip.sin) + float64(chipR*w.chip.cos) + float64(edgeT*w.edge.sin) +
		float64(edgeR*w.edge.cos)
	left := float64(chipR*w.chip.sin) - float64(chipT*w.chip.cos) +
		float64(edgeR*w.edge.sin) - float64(edgeT*w.edge.cos)
	s.force.Ahead += ahead
	s.force.Left += left
	height := (b.low + b.high) / 2
	s.momentA += float64(ahead * height)
	s.momentL += float64(left * height)
	s.torque -= float64(b.radius * (float64(chipT*w.chip.one) + float64(edgeT*w.edge.one)))
	s.along += float64(b.lift * b.edge * (float64(l.chip.lift*w.chip.one) + float64(l.Edge*l.edge.lift*w.edge.one)))
	s.press += float64(b.cos * b.edge * (float64(l.chip.radial*w.chip.one) + float64(l.Edge*l.edge.radial*w.edge.one)))
}

// underneath adds the bottom edge of a tooth at phi; it reaches from the axis to reach.
func (m *mill) underneath(s *sum, w basis) {
	force := m.bottom
	s.force.Ahead += float64(force * w.edge.sin)
	s.force.Left -= float64(force * w.edge.cos)
	s.torque -= float64(force * m.reach / 2 * w.edge.one)
	s.press += float64(m.thrust * w.edge.one)
}

// settle gives the vertical force as Rotor counts it: what lifts in full, what presses at its low end.
func (m *mill) settle(s *sum) {
	s.force.Up = s.along - float64(pressCredit*s.press)
	if s.along < 0 {
		s.force.Up = float64(m.pressed*s.along) - float64(pressCredit*s.press)
	}
}

// mean fills in the averages over a turn. They do not depend on the helix: every element of edge passes the whole arc.
// What one tooth cuts more for the run-out another cuts less.
func (m *mill) mean(load *Load) {
	if m.left <= m.right {
		return
	}
	var s sum
	seen := m.seen
	if m.feed.runout > 0 {
		seen = m.windows(feed{perTooth: m.feed.perTooth, teeth: m.feed.teeth})
	}
	perTurn := float64(m.feed.teeth) / (2 * math.Pi)
	for i := range m.bands {
		m.add(&s, &m.bands[i], basis{}.plus(seen[i].all, perTurn))
	}
	if m.bottom > 0 {
		m.underneath(&s, basis{}.plus(seen[0].all, perTurn))
	}
	m.settle(&s)
	load.Mean, load.MeanTorqueNmm = s.force, s.torque
	load.PressedN = s.force.Up - (s.along - s.press)
}

// lags lists the angles by which the ends of the bands trail the tip where the helix begins, ends or turns, and the
// middle.
func (m *mill) lags() []float64 {
	first, last := m.bands[0], m.bands[len(m.bands)-1]
	if first.lagLow == last.lagHigh && first.lift == last.lift {
		return []float64{first.lagLow}
	}
	out := []float64{first.lagLow, (first.lagLow + last.lagHigh) / 2, last.lagHigh}
	for i := 1; i < len(m.bands); i++ {
		if m.bands[i].lift != m.bands[i-1].lift {
			out = append(out, m.bands[i].lagLow)
		}
	}
	return out
}

// angles lists the rotor angles: that of the tip of one tooth, counter-clockwise from the feed, while it or its
// successors go through the arc.
func (m *mill) angles() []float64 {
	lags := m.lags()
	least, most := slices.Min(lags), slices.Max(lags)
	pitch := 2 * math.Pi / float64(m.feed.teeth)
	from := m.right - most
	reach := math.Min(m.left-least-from, pitch)
	n := max(leastStep, int(math.Ceil(reach/rotorStep)))
	out := make([]float64, 0, n+17)
	for i := 0; i <= n; i++ {
		out = append(out, from+float64(i)*reach/float64(n))
	}
	if m.bottom > 0 {
		lags = append(lags, 0)
	}
	for _, at := range []float64{m.right, m.left, 0} {
		if at < m.right || at > m.left {
			continue
		}
		for _, lag := range lags {
			out = append(out, at-lag)
		}
	}
	return out
}

// thin is the trailing angle below which an average over it is no better than the value in its middle.
const thin = 1e-6

// turn fills in what happens at each rotor angle.
func (m *mill) turn(load *Load) {
	angles := m.angles()
	load.Rotor = make([]Force, 0, len(angles))
	load.Torque = make([]float64, 0, len(angles))
	load.Heights = make([]float64, 0, len(angles))
	moments := make([]float64, 0, len(angles))
	load.UpN = math.Inf(-1)
	for _, theta := range angles {
		s, touching := m.moment(theta)
		if touching == 0 {
			continue
		}
		size := s.force.Horizontal()
		load.Rotor = append(load.Rotor, s.force)
		load.Torque = append(load.Torque, s.torque)
		moment := math.Hypot(s.momentA, s.momentL)
		moments = append(moments, moment)
		load.Heights = append(load.Heights, over(moment, size, load))
		load.Peak = math.Max(load.Peak, size)
		load.UpN = math.Max(load.UpN, s.force.Up)
		load.DownN = math.Max(load.DownN, m.down(&s))
		load.SimultaneousMax = max(load.SimultaneousMax, touching)
		if math.Abs(s.torque) > math.Abs(load.TorqueNmm) {
			load.TorqueNmm = s.torque
		}
	}
	for i, f := range load.Rotor {
		load.HeightMM = math.Max(load.HeightMM, over(moments[i], math.Max(f.Horizontal(), load.Peak/2), load))
	}
}

// down is the downward force, taken large.
func (m *mill) down(s *sum) float64 {
	if s.along < 0 {
		return s.press - float64(m.pressedMost*s.along)
	}
	return s.press - float64(m.pressed*s.along)
}

// over is the height at which a force has the given moment about the tip's plane, within the tool's engaged length.
// Forces that cancel out have their moment at the top.
func over(moment, force float64, load *Load) float64 {
	if moment >= force*load.HighMM {
		return load.HighMM
	}
	return moment / force
}

// moment sums over all teeth when the tip of one stands at theta, and counts those that touch.
func (m *mill) moment(theta float64) (sum, int) {
	var s sum
	touching := 0
	pitch := 2 * math.Pi / float64(m.feed.teeth)
	for k := 0; k < m.feed.teeth; k++ {
		if m.tooth(&s, theta+float64(k)*pitch) {
			touching++
		}
	}
	m.settle(&s)
	return s, touching
}

// tooth adds what the tooth with its tip at the angle does, and tells whether it touches.
func (m *mill) tooth(s *sum, tip float64) bool {
	touches := false
	if m.bottom > 0 {
		if w, ok := m.seen[0].at(tip); ok {
			m.underneath(s, w)
			touches = true
		}
	}
	var before, straight basis
	inside := false
	for i := range m.bands {
		b, w := &m.bands[i], m.seen[i]
		same := i > 0 && w == m.seen[i-1] // and so what the band below has found
		angle := b.lagHigh - b.lagLow
		if math.Abs(angle) < thin {
			if !same || b.lagLow != m.bands[i-1].lagLow {
				straight, inside = w.at(tip + b.lagLow)
			}
			if inside {
				m.add(s, b, straight)
				touches = true
			}
			continue
		}
		if !same {
			before = w.to(tip + b.lagLow)
		}
		after := w.to(tip + b.lagHigh)
		if part := after.minus(before); part.edge.one != 0 {
			m.add(s, b, basis{}.plus(part, 1/angle))
			touches = true
		}
		before = after
	}
	return touches
}
