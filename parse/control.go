package parse

import "strings"

// controlParam answers for the parameters that the control keeps itself, as far as the reader knows them: offsets (NIST
// RS274NGC v3, 3.2.1), the place of the tool and the modes (#4001 on: common practice, no source; names: published
// extension of RS274/NGC). Those of lengths are in the units of the program.
func (it *interp) controlParam(p param) (v float64, ok bool) {
	unit, n := it.modal.unitMM(), p.n
	switch {
	case p.name != "":
		return it.namedControlParam(p.name)
	case n < 4001 || n > 5450:
		return 0, false
	case n < 5000:
		return it.modeParam(n)
	case n >= 5211 && n <= 5213:
		return it.frame.g92[n-5211] / unit, true
	case n == 5220:
		return float64(it.modal.system), true
	case n >= 5001 && n <= 5003, n >= 5041 && n <= 5043:
		return it.workPlace((n - 5001) % 20)
	case n >= 5420 && n <= 5422:
		return it.workPlace(n - 5420)
	case n >= 5021 && n <= 5023:
		i := n - 5021
		return (it.at.prog[i] - it.sys.zero.v[i]) / unit, it.at.why[i] == isKnown && it.sys.zero.known[i]
	case n == 5400:
		return float64(it.modal.tool), it.modal.loaded
	case n >= 5221 && n <= 5383 && (n-5221)%20 < 3:
		i := (n - 5221) % 20
		m := it.sys.set[(n-5221)/20+1]
		if m.known[i] {
			return m.v[i] / unit, true
		}
		if o, placed := it.sys.place[(n-5221)/20+1]; placed && it.sys.zero.known[i] {
			return (o[i] - it.sys.zero.v[i]) / unit, true
		}
	}
	return 0, false
}

// workPlace gives a coordinate of the programmed place in the active work system.
func (it *interp) workPlace(i int) (v float64, ok bool) {
	return it.frame.toWork(it.at.prog)[i] / it.modal.unitMM(), it.at.why[i] == isKnown
}

// modeParam answers for #4001 on: the code of a modal group that is in force, and the numbers of F, S, T, D and H.
func (it *interp) modeParam(n int) (v float64, ok bool) {
	m := &it.modal
	pick := func(t bool, yes, no float64) (float64, bool) {
		if t {
			return yes, true
		}
		return no, true
	}
	switch n {
	case 4001:
		return float64(m.motion) / 10, m.motion != noCode
	case 4002:
		return 17 + float64(m.plane), true
	case 4003:
		return pick(m.incremental, 91, 90)
	case 4005:
		return [...]float64{94, 93, 95}[m.feedMode], true
	case 4006:
		return pick(m.inch, 20, 21)
	case 4007:
		return [...]float64{42, 40, 41}[m.side+1], true
	case 4008:
		return pick(m.lengthOn, 43, 49)
	case 4010:
		return pick(m.retractToR, 99, 98)
	case 4014:
		return float64(53 + m.system), m.system <= 6
	case 4107:
		return float64(m.compD), true
	case 4109:
		return it.feedNumber(), m.feed > 0
	case 4111:
		return float64(m.lengthH), true
	case 4119:
		return m.speed, m.speed > 0
	case 4120:
		return float64(m.selected), m.toolGiven
	}
	return 0, false
}

// feedNumber gives the number behind the last F.
func (it *interp) feedNumber() float64 {
	if it.modal.feedMode == inverseTime {
		return it.modal.feed
	}
	return it.modal.feed / it.modal.unitMM()
}

func (it *interp) namedControlParam(name string) (v float64, ok bool) {
	m := &it.modal
	switch name {
	case "_x", "_y", "_z":
		return it.workPlace(strings.Index("xyz", name[1:]))
	case "_metric":
		return truth(!m.inch), true
	case "_imperial":
		return truth(m.inch), true
	case "_absolute":
		return truth(!m.incremental), true
	case "_incremental":
		return truth(m.incremental), true
	case "_plane":
		return 170 + 10*float64(m.plane), true
	case "_motion_mode":
		return float64(m.motion), m.motion != noCode
	case "_feed":
		return it.feedNumber(), true
	case "_rpm":
		return m.speed, true
	case "_spindle_on":
		return truth(m.spindle != SpindleStopped), true
	case "_current_tool":
		return float64(m.tool), m.loaded
	case "_selected_tool":
		return float64(m.selected), m.toolGiven
	case "_call_level":
		return float64(len(it.calls)), true
	case "_line":
		return float64(it.say.line), true
	}
	return 0, false
}

// set carries out a setting. One that depends on a value that is not known is told where the parameter is used, but for
// those of the control itself, which are used at once.
func (it *interp) set(s setting) {
	switch n := s.p.n; {
	case s.unknown == nil:
		it.setParam(s.p, s.v)
	case s.p.name == "" && (n >= 1100 && n < 1200 || n >= 2000 && n < 5400 || n >= 10_000 && n < 20_000):
		it.say.unread(s.col, "%v is set from %v, whose value is not known; read as 0, set it in the program before "+
			"its use",
			s.p, *s.unknown)
		it.setParam(s.p, s.v)
	default:
		it.par.doubt(s.p, s.v, *s.unknown)
	}
}

// setParam carries out #n=value. What the control does with a parameter of its own is done here where it is known.
func (it *interp) setParam(p param, v float64) {
	n := p.n
	switch {
	case p.name != "":
	case n == 3000:
		it.stopReading(0, "#3000 raises an alarm, which ends the program; reading stops here")
		return
	case n == 3006:
		it.p.Stops = append(it.p.Stops, Stop{Code: "M0", Line: it.say.cause, Move: it.p.Moves.Len()})
		return
	case n >= 1100 && n < 1200:
		it.say.unread(0, "#%d is an output of the machine, which may switch vacuum or clamps; left out, write the M "+
			"code of it and say what it does under [machine.output] in the job file", n)
	case n >= 2000 && n < 3000, n >= 10_000 && n < 20_000:
		it.comp.tableSet = true
	case n >= 5211 && n <= 5213:
		it.frame.g92[n-5211] = orZero(v) * it.modal.unitMM()
		return
	case n >= 5221 && n <= 5383 && (n-5221)%20 < 3:
		var at axes
		var named [3]bool
		i := (n - 5221) % 20
		at[i], named[i] = orZero(v)*it.modal.unitMM(), true
		it.setSystemOrigin(1, (n-5221)/20+1, at, named)
		return
	}
	it.par.put(p, v)
}
