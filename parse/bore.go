package parse

// checkSpindle notes a spindle that does not turn as the cycle needs it.
func (it *interp) checkSpindle(b *block) {
	m := &it.modal
	switch m.motion {
	case g84:
		if m.spindle != SpindleClockwise {
			it.say.unread(b.first, "G84 (tapping) with a spindle that does not turn clockwise; read all the same, "+
				"write M3 before")
		}
	case g74:
		if m.spindle != SpindleCounterclockwise {
			it.say.unread(b.first, "G74 (left-hand tapping) with a spindle that does not turn counter-clockwise; "+
				"read all the same, write M4 before")
		}
	case g76, g86, g87, g88:
		if m.spindle == SpindleStopped {
			it.say.unread(b.first, "%s with a stopped spindle; read all the same, start it before",
				codeName(m.motion))
		}
	}
}

// bore carries out G74, G76 and G84 to G89 from R on (NIST RS274NGC v3, 3.5.16.5 to 3.5.16.10; G74, left-hand tapping,
// and G76, fine boring: common practice, no source).
func (h *hole) bore() {
	it, m := h.it, &h.it.modal
	turning := m.spindle
	switch h.code {
	case g74, g84:
		h.to(Feed, h.z)
		m.spindle = -turning
		h.to(Feed, h.clear)
		m.spindle = turning
	case g85:
		h.to(Feed, h.z)
		h.to(Feed, h.clear)
	case g76, g86: // G76 comes up beside the wall of the hole (common practice, no source)
		h.to(Feed, h.z)
		it.pause(h.b, h.cycle.pause)
		m.spindle = SpindleStopped
		h.to(Rapid, h.clear)
		m.spindle = turning
	case g87:
		h.backBore(turning)
	case g88:
		h.to(Feed, h.z)
		it.pause(h.b, h.cycle.pause)
		m.spindle = SpindleStopped
		it.p.Stops = append(it.p.Stops, Stop{Code: "M0", Line: it.say.cause, Move: it.p.Moves.Len()})
		it.say.reading(lenManualRetract, h.b.first, "G88 stops for the operator to take the tool out by hand; read "+
			"as a rapid straight up")
		h.to(Rapid, h.clear)
		m.spindle = turning
	case g89:
		h.to(Feed, h.z)
		it.pause(h.b, h.cycle.pause)
		h.to(Feed, h.clear)
	}
}

// backBore carries out G87: beside the hole down through it, then boring upwards to K from below.
func (h *hole) backBore(turning Spindle) {
	m := &h.it.modal
	back := axes{-h.shift[0], -h.shift[1], -h.shift[2]}
	top := h.shift[h.normal]
	m.spindle = SpindleStopped
	h.beside(h.shift)
	h.to(Rapid, h.z)
	h.beside(back)
	m.spindle = turning
	h.to(Feed, top)
	h.to(Feed, h.z)
	m.spindle = SpindleStopped
	h.beside(h.shift)
	h.to(Rapid, h.clear)
	h.beside(back)
	m.spindle = turning
}
