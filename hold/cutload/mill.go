package cutload

import (
	"math"

	"staydown/hold/job"
	"staydown/hold/material"
)

const (
	// rotorStep is the largest distance of two neighbouring rotor angles; the entry and exit angles of the teeth come
	// on top. The peaks found so lie within 1 % of those of a ten times finer sampling.
	rotorStep = 9 * math.Pi / 180
	leastStep = 8 // rotor angles over the contact of one tooth, at least

	// leastArc and leastDepthMM are what a cut is taken to have that is said to have less: it does touch.
	leastArc     = math.Pi / 180
	leastDepthMM = 0.01

	// tipMM is the gap below the material up to which the bottom of the tool counts as cutting.
	tipMM = 0.05

	// fullEdgeMM is the chip of the bottom from which its edge force counts in full. Below, it fades, so that a slope that is
	// a rounding error loads nothing. Common practice, no source: a sharp edge is about so round.
	fullEdgeMM = 0.001
)

// mill is a side cut ready to be turned: all that does not change with the rotor angle.
type mill struct {
	law    law
	window window
	bands  []band
	lags   []float64 // angle by which each band's lower end, and the last one's upper end, trails the tip; rad
	flutes int
	runout float64 // factor of the chip force of the tooth that stands out
	bottom float64 // tangential force of one bottom edge, N; 0 when the bottom does not cut
	thrust float64 // downward force of one bottom edge, N
	reach  float64 // radius up to which the bottom edge cuts, mm
}

// milling computes the load of a cut with the circumference of a tool turning clockwise, and with its bottom on a ramp.
func milling(t *turn, work material.Work, tool job.Tool, cut Cut) Load {
	z := flutes(tool)
	cut = widened(cut, leastArc)
	cut.DepthMM = math.Max(cut.DepthMM, leastDepthMM)
	perTooth := cut.FeedMMMin / cut.RPM / float64(z)
	feed := perTooth * math.Cos(cut.RampRad)
	m := mill{
		law:    kienzle(work, tool, feed),
		window: t.window(cut.RightRad, cut.LeftRad),
		bands:  bands(tool, cut.TipGapMM, cut.TipGapMM+cut.DepthMM, t.power),
		flutes: z,
		runout: 1,
	}
	m.lag(math.Tan(tool.HelixRad) / (tool.DiameterMM / 2))
	if feed > 0 {
		m.runout = chipForce(work, tool, standingOut(feed, z, tool.RunoutMM)) / chipForce(work, tool, feed)
	}
	load := Load{
		Kind:           Side,
		FeedPerToothMM: feed,
		LowMM:          cut.TipGapMM,
		HighMM:         cut.TipGapMM + cut.DepthMM,
		RightRad:       m.window.right,
		LeftRad:        m.window.left,
		RunoutFactor:   m.runout,
		EdgeNmm:        work.Edge.Value,
		RadialRatio:    work.Radial.Value,
		LiftRatio:      math.Tan(tool.HelixRad),
		RakeFactor:     rakeFactor(work, tool),
		FeedPerTurnMM:  cut.FeedMMMin / cut.RPM,
		TeethInCut:     float64(z) * (m.window.left - m.window.right) / (2 * math.Pi),
	}
	if down := perTooth * math.Sin(cut.RampRad); down > 0 && cut.TipGapMM <= tipMM {
		m.ramp(work, tool, down)
		load.Kind = Ramp
		load.BottomChipMM, load.BottomLengthMM, load.BottomThrustN = down, m.reach, m.thrust*float64(z)
	}
	m.chips(&load)
	load.SpecificN = specific(work, load.ChipMeanMM) * load.RakeFactor
	m.mean(&load)
	m.turn(&load)
	return load
}

// standingOut is the chip thickness, at full feed, of the tooth that cuts deepest when the tool's centre lies off the axis
// by e: neighbouring teeth then differ in radius by at most 2 e sin(pi/z). No tooth can cut more than all together. A
// single flute has no neighbour to differ from.
func standingOut(feed float64, z int, e float64) float64 {
	return math.Min(feed+2*e*math.Sin(math.Pi/float64(z)), feed*float64(z))
}

// lag fills in how far the flutes trail, perMM in rad per mm of height. A cutter of constant lead is assumed: on a rounded
// or pointed end the flutes trail as on the shank.
func (m *mill) lag(perMM float64) {
	m.lags = make([]float64, len(m.bands)+1)
	for i, b := range m.bands {
		m.lags[i] = b.low * perMM
		m.lags[i+1] = b.high * perMM
	}
}

// ramp adds the bottom edges, which cut a chip as thick as the tool goes down per tooth, over the arc of engagement. That
// they cut behind as well would only take from the sum. Their thrust follows the drilling law.
func (m *mill) ramp(work material.Work, tool job.Tool, down float64) {
	for _, b := range m.bands {
		m.reach = math.Max(m.reach, b.radius)
	}
	m.bottom = (chipForce(work, tool, down) + work.Edge.Value*math.Min(1, down/fullEdgeMM)) * m.reach
	k := drillFactor(work, down)
	m.thrust = thrust(k, 2*m.reach, down*float64(m.flutes)) / float64(m.flutes)
}

// chips gives the chip thickness over the arc at the full radius.
func (m *mill) chips(load *Load) {
	right, left := math.Max(m.window.right, -math.Pi/2), math.Min(m.window.left, math.Pi/2)
	if right > left {
		return
	}
	c := math.Max(math.Cos(right), math.Cos(left))
	if right <= 0 && left >= 0 {
		c = 1
	}
	load.ChipMaxMM = load.FeedPerToothMM * math.Max(c, 0)
	load.ChipMeanMM = load.ChipMaxMM
	if left > right {
		load.ChipMeanMM = load.FeedPerToothMM * (math.Sin(left) - math.Sin(right)) / (left - right)
	}
}

// sum is what all teeth do at one rotor angle.
type sum struct {
	force   Force   // with Up as Rotor counts it
	lift    float64 // all upward parts
	press   float64 // all downward parts, positive
	torque  float64
	momentA float64 // sum of force times height above the tip, N mm
	momentL float64
}

// add puts in what a band does to the basis w, an integral or a value over its part of the arc, divided by its angle.
func (m *mill) add(s *sum, b band, w basis, runout float64) {
	l, chip := &m.law, b.chip*runout
	// An edge at phi of a clockwise cutter moves along (sin phi, -cos phi), and outwards is (cos phi, sin phi).
	chipT, chipR := chip*l.chip.tangential, chip*l.chip.radial*b.sin
	edgeT, edgeR := b.edge*l.edge.tangential, b.edge*l.edge.radial*b.sin
	ahead := float64(chipT*w.chipSin) + float64(chipR*w.chipCos) + float64(edgeT*w.edgeSin) + float64(edgeR*w.edgeCos)
	left := float64(chipR*w.chipSin) - float64(chipT*w.chipCos) + float64(edgeR*w.edgeSin) - float64(edgeT*w.edgeCos)
	s.force.Ahead += ahead
	s.force.Left += left
	height := (b.low + b.high) / 2
	s.momentA += float64(ahead * height)
	s.momentL += float64(left * height)
	s.torque -= float64(b.radius * (float64(chipT*w.chip) + float64(edgeT*w.edge)))

	along := float64(chip*l.chip.lift*w.chip) + float64(b.edge*l.edge.lift*w.edge)
	s.lift += math.Max(along, 0)
	s.press += math.Max(-along, 0)
	s.press += float64(b.cos * (float64(chip*l.chip.radial*w.chip) + float64(b.edge*l.edge.radial*w.edge)))
}

// underneath adds the bottom edge of a tooth at phi; it reaches from the axis to reach.
func (m *mill) underneath(s *sum, w basis) {
	force := m.bottom
	s.force.Ahead += float64(force * w.edgeSin)
	s.force.Left -= float64(force * w.edgeCos)
	s.torque -= float64(force * m.reach / 2 * w.edge)
	s.press += float64(m.thrust * w.edge)
}

func (s *sum) settle() {
	s.force.Up = s.lift - float64(pressCredit*s.press)
}

// mean fills in the averages over a turn. They do not depend on the helix: every element of edge passes the whole arc.
func (m *mill) mean(load *Load) {
	if m.window.left <= m.window.right {
		return
	}
	var s sum
	w := basis{}.plus(m.window.all, float64(m.flutes)/(2*math.Pi))
	for _, b := range m.bands {
		m.add(&s, b, w, 1)
	}
	if m.bottom > 0 {
		m.underneath(&s, w)
	}
	s.settle()
	load.Mean, load.MeanTorqueNmm = s.force, s.torque
	load.PressedN = float64((1 - pressCredit) * s.press)
}

// angles lists the rotor angles: that of the tip of one tooth, counter-clockwise from the feed, while it or its successors
// go through the arc.
func (m *mill) angles() []float64 {
	first, last := m.lags[0], m.lags[len(m.lags)-1]
	least, most := math.Min(first, last), math.Max(first, last)
	pitch := 2 * math.Pi / float64(m.flutes)
	from := m.window.right - most
	reach := math.Min(m.window.left-least-from, pitch)
	n := max(leastStep, int(math.Ceil(reach/rotorStep)))
	out := make([]float64, 0, n+13)
	for i := 0; i <= n; i++ {
		out = append(out, from+float64(i)*reach/float64(n))
	}
	lags := []float64{first, (first + last) / 2, last}
	if last-first == 0 {
		lags = lags[:1]
	}
	if m.bottom > 0 {
		lags = append(lags, 0)
	}
	for _, at := range []float64{m.window.right, m.window.left, 0} {
		if at < m.window.right || at > m.window.left {
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
		load.DownN = math.Max(load.DownN, s.press-s.lift)
		load.SimultaneousMax = max(load.SimultaneousMax, touching)
		if math.Abs(s.torque) > math.Abs(load.TorqueNmm) {
			load.TorqueNmm = s.torque
		}
	}
	for i, f := range load.Rotor {
		load.HeightMM = math.Max(load.HeightMM, over(moments[i], math.Max(f.Horizontal(), load.Peak/2), load))
	}
}

// over is the height at which a force has the given moment about the tip's plane, within the tool's engaged length. Forces
// that cancel out have their moment at the top.
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
	pitch := 2 * math.Pi / float64(m.flutes)
	for k := 0; k < m.flutes; k++ {
		tip := theta + float64(k)*pitch
		if m.tooth(&s, tip) {
			touching++
		}
	}
	s.settle()
	return s, touching
}

func (m *mill) tooth(s *sum, tip float64) bool {
	touches := false
	if m.bottom > 0 {
		if w, ok := m.window.at(tip); ok {
			m.underneath(s, w)
			touches = true
		}
	}
	trailing := m.lags[len(m.lags)-1] - m.lags[0]
	if math.Abs(trailing) < thin {
		w, ok := m.window.at(tip + m.lags[0])
		if ok {
			for _, b := range m.bands {
				m.add(s, b, w, m.runout)
			}
		}
		return ok || touches
	}
	before := m.window.to(tip + m.lags[0])
	for i, b := range m.bands {
		after := m.window.to(tip + m.lags[i+1])
		angle := m.lags[i+1] - m.lags[i]
		if seen := after.minus(before); seen.edge != 0 && math.Abs(angle) > 0 {
			m.add(s, b, basis{}.plus(seen, 1/angle), m.runout)
			touches = true
		}
		before = after
	}
	return touches
}
