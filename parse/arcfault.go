package parse

import (
	"fmt"
	"math"
)

// arcFault tells what is wrong with the center of an arc.
type arcFault uint8

const (
	outOfRound     arcFault = iota
	roundOtherwise          // in round if center words were absolute where they are not, or the other way round
	arcFaultKinds
)

// arcFaults gathers the arcs that are not read for their centers: a post or a control set otherwise makes them by the
// hundred, so that each kind is one note, at the first of them.
type arcFaults [arcFaultKinds]struct {
	n         int
	file      string
	line, col int
	cause     int
	last      int     // line
	worst     int     // line
	words     string  // of the worst
	missMM    float64 // by how much it is out of round
	absolute  bool    // how the centers were read
}

// add counts an arc.
func (c *arcFaults) add(a *arcBlock, kind arcFault) {
	k, say := &c[kind], &a.it.say
	r, re := a.radii(a.center(a.it.modal.centreAbsolute))
	if k.n++; k.n == 1 {
		k.file, k.line, k.col, k.cause = say.file, say.line, a.b.first, say.cause
		k.absolute = a.it.modal.centreAbsolute
	}
	if miss := math.Abs(r - re); k.n == 1 || miss > k.missMM {
		k.missMM, k.worst, k.words = miss, say.line, a.roundness()
	}
	k.last = say.line
}

// note says what was gathered.
func (c *arcFaults) note(say *notes) {
	for kind := range c {
		k := &c[kind]
		if k.n == 0 {
			continue
		}
		say.file, say.line, say.cause = k.file, k.line, k.cause
		arcs, are, them := "the arc", "is", "it is not read"
		if k.n > 1 {
			arcs, are, them = fmt.Sprintf("%d arcs, the last in line %d,", k.n, k.last), "are", "they are not read"
		}
		switch {
		case arcFault(kind) == outOfRound && k.n == 1:
			say.unread(k.col, "start and end radius of the arc differ by %s; it is not read, correct its center or end",
				k.words)
		case arcFault(kind) == outOfRound:
			say.unread(k.col,
				"start and end radius of %s differ, the worst, in line %d, by %s; they are not read, correct their "+
					"centers or ends",
				arcs, k.worst, k.words)
		case k.absolute:
			say.unread(k.col,
				"%s %s in round only when I, J and K count from the start of the arc and not from zero; %s, write "+
					"G91.1, or leave out [machine] arc_centres",
				arcs, are, them)
		default:
			say.unread(k.col,
				"%s %s in round only when I, J and K are absolute places and do not count from the start of the arc; "+
					"%s, write G90.1, or [machine] arc_centres = \"absolute\" in the job file",
				arcs, are, them)
		}
	}
}

// roundIf tells whether the arc would be in round with its center words read as absolute or not.
func (a *arcBlock) roundIf(absolute bool) bool {
	r, re := a.radii(a.center(absolute))
	_, warn := a.it.modal.roundBands()
	return r > 0 && re > 0 && math.Abs(r-re) <= warn
}

// roundness tells by how much the arc is out of round as read.
func (a *arcBlock) roundness() string {
	m := &a.it.modal
	r, re := a.radii(a.center(m.centreAbsolute))
	return fmt.Sprintf(
		"%s (radius %s at its start, %s at its end)", m.length(math.Abs(r-re)), m.length(r), m.length(re))
}
