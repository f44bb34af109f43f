package parse

import "math"

// setFeed reads F in the meaning of the feed mode.
func (it *interp) setFeed(b *block) {
	m := &it.modal
	f, _ := b.take('F')
	if f < 0 {
		it.say.unread(b.at('F'), "a negative feed; left out, write a positive one")
		return
	}
	if m.feedMode != inverseTime {
		f *= m.unitMM()
	}
	b.lineF = f > 0
	m.feed = f
}

// feedFor gives the feed (mm/min) of a move of lengthMM. Where the program gives none the rapid rate stands in: the
// fastest feed loads the part most.
func (it *interp) feedFor(b *block, lengthMM float64) float64 {
	m := &it.modal
	f := m.feed
	switch m.feedMode {
	case inverseTime:
		if !b.lineF {
			it.say.unread(b.first, "no F in the block under G93; the move is read at the rapid rate, write its F")
			return it.rapid
		}
		f *= lengthMM
		if lengthMM == 0 || math.IsNaN(f) {
			return f
		}
	case perRevolution:
		if f > 0 && it.rpm() == 0 {
			it.say.unread(b.first, "feed per revolution with a stopped spindle; the move is read at the rapid "+
				"rate, start the spindle")
			return it.rapid
		}
		f *= it.rpm()
	}
	if f == 0 {
		it.say.unread(b.first, "no feed is given for the move; it is read at the rapid rate, write an F")
		return it.rapid
	}
	if f < minFeedMMMin {
		it.say.unread(b.first, "a feed below %s/min; the move is read at the rapid rate, correct its F",
			m.length(minFeedMMMin))
		return it.rapid
	}
	return f
}

// emit adds a move from the place of the tip to mv.End and takes the tip there. Kind, the end, and for an arc its
// plane, center and turn are given; the rest is filled in.
func (it *interp) emit(b *block, mv Move) {
	if it.p.Moves.Len() >= maxMoves {
		if !it.ended {
			it.say.unread(0, "more than %d moves; reading stops here", maxMoves)
		}
		it.ended = true
		return
	}
	if it.blend.pending {
		it.noBlend("a corner word that is not between two straight feed moves of the plane")
	}
	m := &it.modal
	mv.Spindle, mv.RPM = m.spindle, it.rpm()
	mv.Line, mv.Sub, mv.Tool = int32(it.say.cause), it.sub, int32(m.tool)
	mv.Start = it.at.tip.point()
	mv.LengthMM = pathLength(&mv)
	switch mv.Kind {
	case Rapid:
		mv.DurationS = mv.LengthMM / it.rapid * 60
	case Feed, Arc:
		if mv.LengthMM == 0 {
			return
		}
		if mv.FeedMMMin == 0 {
			mv.FeedMMMin = it.feedFor(b, mv.LengthMM)
			if m.feedMode == inverseTime && b.lineF {
				mv.DurationS = 60 / m.feed
				break
			}
		}
		mv.DurationS = mv.LengthMM / mv.FeedMMMin * 60
	}
	if mv.Kind != Dwell && (mv.LengthMM == 0 || it.at.open && it.staysUnknown(mv.End.axes())) {
		return
	}
	if math.IsNaN(mv.LengthMM) || (it.at.open && mv.Kind == Dwell) {
		it.at.pending = append(it.at.pending, int32(it.p.Moves.Len()))
	}
	if mv.Kind == Feed || mv.Kind == Arc {
		it.sys.feedIn(m.system)
	}
	it.at.tip = mv.End.axes()
	it.at.rise(mv.End.Z)
	it.p.OtherFeeds = it.p.OtherFeeds || (mv.Kind == Feed || mv.Kind == Arc) && m.feedMode != perMinute
	home := b.is(groupOneShot) == g28 || b.is(groupOneShot) == g30 // of "G91 G28 Z0", as most posts end
	it.p.MovedZ = it.p.MovedZ || m.incremental && !home || it.frame.shift(2) != 0
	it.p.Moves.add(&mv)
}

// staysUnknown tells whether a move to end changes no coordinate: one that is unknown before and behind stays.
func (it *interp) staysUnknown(end axes) bool {
	for i, v := range end {
		if v != it.at.tip[i] && !(math.IsNaN(v) && math.IsNaN(it.at.tip[i])) {
			return false
		}
	}
	return true
}

// measure gives length, feed and duration to a move whose coordinates have become known or were changed.
func (it *interp) measure(mv *Move) {
	old := mv.LengthMM
	mv.LengthMM = pathLength(mv)
	switch {
	case mv.Kind == Rapid:
		mv.DurationS = mv.LengthMM / it.rapid * 60
	case mv.Kind == Dwell:
	case math.IsNaN(mv.FeedMMMin): // inverse time: the duration is what is known
		mv.FeedMMMin = mv.LengthMM / mv.DurationS * 60
	case math.IsNaN(old) || mv.FeedMMMin > 0:
		mv.DurationS = mv.LengthMM / mv.FeedMMMin * 60
	}
}

// finish settles what is open, adds up and orders the notes.
func (it *interp) finish() {
	p := it.p
	it.settleAll()
	if it.usedRapid() && !(it.opt.RapidMMMin > 0) {
		it.assume("rapid rate: %s", p.Units.Rapid().Text(assumedRapidMMMin))
	}
	it.startByHand()
	for _, mv := range p.Moves.All() {
		p.DurationS += mv.DurationS
		if mv.Kind == Feed || mv.Kind == Arc {
			p.CutLengthMM += mv.LengthMM
		}
	}
	p.Moves.known = nil // nothing is added any more
	it.arcFaults.note(&it.say)
	p.Notes = it.say.sorted()
}

func (it *interp) usedRapid() bool {
	for _, m := range it.p.Moves.All() {
		if m.Kind == Rapid {
			return true
		}
	}
	return false
}

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
