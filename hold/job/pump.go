package job

import (
	"fmt"

	"staydown/hold/internal/gas"
	"staydown/hold/material"
	"staydown/parse/units"
)

// defaultLeakShare is the leak of hoses and rims at full vacuum as a share of the pump's flow (common practice, no
// source).
const defaultLeakShare = 0.05

// pump reads [pump]. What pressures mean is checked against the ambient one.
func (r *reader) pump(root *node, ambientPa float64, where string) Pump {
	s := r.section(root, "pump")
	var out Pump
	if !s.given() {
		if r.absent(root, "pump") {
			r.say(s.at, "pump", "the table is missing", "write [pump] with kind and flow")
		}
		return out
	}
	kinds := []PumpKind{RotaryVane, DryClaw, SideChannel, Ejector}
	s.need("kind", `"rotary-vane"`)
	kind, okKind := s.choice("kind", "rotary-vane", "dry-claw", "side-channel", "ejector")
	out.Kind = kinds[kind]
	outside := air{ambientPa, where}
	if out.Kind == SideChannel || out.Kind == Ejector {
		outside = air{gas.SeaLevelPa, "at sea level, where the figures of such pumps are taken"}
		if ambientPa != gas.SeaLevelPa {
			r.assume("pressures of the %v pump taken as those at sea level (%s) and brought to the "+
				"ambient pressure in proportion", out.Kind, inAbsolute(gas.SeaLevelPa))
		}
	}
	if s.has("curve") {
		out.Curve = s.curve(outside)
	}
	of := material.OfPumpFlow
	if s.has("curve") {
		of = material.OfPumpCurve
	}
	f, okFlow := s.figure("flow", flow, flowM3h, of)
	switch {
	case okFlow:
	case len(out.Curve) > 0:
		f = single(out.Curve[0].FlowM3h, of, fromFile)
	case !s.has("curve"):
		s.need("flow", `"63 m3/h"`)
	}
	out.FlowM3h = f.Likely
	r.flowDoubt(f)
	u := s.ultimate(out, okKind, outside)
	out.UltimatePa = u.Likely
	r.ultimateDoubt(u)

	l, ok := s.figure("leak", flow, someFlowM3h, material.OfLeak)
	if !ok && !s.has("leak") && out.FlowM3h > 0 {
		l = single(defaultLeakShare*out.FlowM3h, material.OfAssumedLeak, "assumed")
		out.LeakAssumed = true
		r.assumeInput("hose and rim leakage", "hose and rim leakage %s assumed, %g %% of the pump's flow (leak)",
			inFlow(l.Likely),
			100*defaultLeakShare)
	}
	out.LeakM3h = l.Likely
	r.leakDoubt(l, out.FlowM3h)
	out.Hose, out.Valve = s.hose(), s.valve()
	out.AlarmPa = s.alarm(ambientPa, where)
	return out
}

// alarm reads the vacuum below which the machine stops; 0 for none.
func (s section) alarm(ambientPa float64, where string) float64 {
	a, ok := s.quantity("alarm", pressure, vacuumPa)
	if !ok {
		if !s.has("alarm") {
			s.assume("no vacuum switch stops the machine (alarm)")
		}
		return 0
	}
	if a >= ambientPa {
		s.say(s.where("alarm"), "alarm", fmt.Sprintf("a vacuum of %s is not possible: the ambient pressure is "+
			"only %s (%s inHg, %s)", pressure.write(a), pressure.write(ambientPa),
			trimmed(ambientPa/units.InHgPa), where), "give an alarm vacuum smaller than the ambient pressure")
	}
	return a
}

// hose reads the hose of a pump or zone.
func (s section) hose() *Hose {
	h, ok := s.inner("hose")
	if !ok {
		return nil
	}
	okL, okB := h.need("length", `"3 m"`), h.need("bore", `"50 mm"`)
	l, okM := h.quantity("length", length, hoseMM)
	b, okN := h.quantity("bore", length, portMM)
	if !okL || !okB || !okM || !okN {
		return nil
	}
	return &Hose{LengthMM: l, BoreMM: b}
}

// valve reads a valve or filter, by ISO 6358 or by its flow coefficient.
func (s section) valve() *Valve {
	v, ok := s.inner("valve")
	if !ok {
		return nil
	}
	if v.has("kv") {
		v.only("belongs to the other way of writing a valve", "write kv alone, or conductance and critical_ratio",
			"conductance", "critical_ratio")
		kv, ok := v.quantity("kv", flow, flowM3h)
		if !ok {
			return nil
		}
		return &Valve{KvM3h: kv}
	}
	okC, okB := v.need("conductance", `"40 dm3/(s bar)"`), v.need("critical_ratio", "0.3")
	c, okD := v.quantity("conductance", conductance, sonicM3sPa)
	b, okR := v.number("critical_ratio", criticalRange)
	if !okC || !okB || !okD || !okR {
		return nil
	}
	return &Valve{Conductance: c, Critical: b}
}

// air is the pressure that a pump's figures are measured against, and how to speak of it. For displacement pumps, which
// work alike at every altitude, it is the ambient one; blowers and ejectors reach a ratio of pressures, so their
// figures belong to sea level.
type air struct {
	pa    float64
	where string
}

func (a air) String() string { return pressure.write(a.pa) + " (" + a.where + ")" }

// ultimate reads the lowest absolute pressure of the pump, Pa. One value is exact: what a pump falls short of it counts
// with its flow.
func (s section) ultimate(p Pump, okKind bool, outside air) material.Range {
	u, ok := s.figure("ultimate", pressure, absolutePa, material.OfUltimate)
	switch {
	case ok && u.High >= outside.pa:
		s.say(s.where("ultimate"), "ultimate", fmt.Sprintf("%s is not below the ambient pressure of %v",
			pressure.write(u.High), outside),
			"write the lowest absolute pressure the pump reaches, not its vacuum below ambient")
	case ok, s.has("ultimate"):
	case len(p.Curve) > 0:
		last := p.Curve[len(p.Curve)-1]
		u = material.Exact(last.AbsolutePa, fromFile)
		if last.FlowM3h > 0 {
			s.assume("the pump reaches no pressure below the last point of its curve, %s",
				inAbsolute(last.AbsolutePa))
		}
	case okKind:
		built, known := material.PumpNamed(p.Kind.String())
		if !known {
			s.need("ultimate", `"20 mbar"`)
			return u
		}
		u = built.Ultimate
		s.assumeInput("lowest pressure of the pump", "lowest absolute pressure of the %v pump %s assumed (%s)", p.Kind,
			inAbsolute(u.Likely),
			u.Source)
	}
	return u
}

// curve reads measured points in order of falling pressure; the flow must not rise on the way.
func (s section) curve(outside air) []PumpPoint {
	const example = `[["1013 mbar", "63 m3/h"], ["20 mbar", "0 m3/h"]]`
	items, ok := s.items("curve", 2, maxCurve, example)
	if !ok {
		return nil
	}
	var points []PumpPoint
	for i, item := range items {
		if item.form != list || len(item.items) != 2 {
			s.say(item.at, "curve", fmt.Sprintf("point %d is not a pressure and a flow", i+1),
				`write ["500 mbar", "60 m3/h"]`)
			ok = false
			continue
		}
		p, okP := s.measure(item.items[0], "curve", pressure, absolutePa)
		q, okQ := s.measure(item.items[1], "curve", flow, someFlowM3h)
		if !okP || !okQ {
			ok = false
			continue
		}
		points = append(points, PumpPoint{AbsolutePa: p, FlowM3h: q})
		if n := len(points); ok && n > 1 {
			before := points[n-2]
			if p >= before.AbsolutePa {
				s.say(item.at, "curve", fmt.Sprintf("the pressure of point %d is not below that of the point before it",
					i+1), "write the points from the highest absolute pressure to the lowest")
				ok = false
			} else if q > before.FlowM3h {
				s.say(item.at, "curve", fmt.Sprintf("the flow of point %d rises while the pressure falls", i+1),
					"write flows that fall towards the lowest pressure")
				ok = false
			}
		}
	}
	if !ok {
		return nil
	}
	first, last := points[0], points[len(points)-1]
	if first.FlowM3h <= 0 {
		s.say(items[0].at, "curve", "the pump moves no air at the highest pressure", "write a flow above 0 there")
		return nil
	}
	if last.AbsolutePa >= outside.pa {
		s.say(items[len(items)-1].at, "curve", fmt.Sprintf("the whole curve lies above the ambient pressure of %v",
			outside), "write absolute pressures, not vacuum below ambient")
		return nil
	}
	if first.AbsolutePa < 0.98*outside.pa {
		s.assume("the pump's flow above %s, where its curve begins, taken as constant",
			inAbsolute(first.AbsolutePa))
	}
	return points
}
