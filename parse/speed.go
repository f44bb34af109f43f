package parse

// rpm is the spindle speed commanded: S, or where the program names none that of the options.
func (it *interp) rpm() float64 {
	m := &it.modal
	switch {
	case m.spindle == SpindleStopped:
		return 0
	case m.speedSet:
		return m.speed
	}
	return it.givenRPM(int32(m.tool))
}

// givenRPM is the spindle speed of the options for a tool, or 0.
func (it *interp) givenRPM(tool int32) float64 {
	if rpm := it.opt.Tools[int(tool)].RPM; rpm > 0 {
		return rpm
	}
	return max(0, it.opt.RPM)
}

// startByHand gives the moves of a program that never starts the spindle the speed of the options, clockwise: somebody
// starts it by hand, or it is a router without any S and M3. Without such a speed the spindle stands.
func (it *interp) startByHand() {
	if it.modal.started {
		return
	}
	rests := it.p.Moves.rests
	for i := range rests {
		rpm := it.givenRPM(rests[i].tool)
		if rpm == 0 {
			continue
		}
		rests[i].setSpindle(SpindleClockwise, rpm)
		it.assume("spindle: the program never starts it; it is taken to turn clockwise at the speed of the job file")
	}
}
