package hold

import (
	"math"

	"staydown/hold/contact"
)

// byVacuum finds the changes of the margin of a trial. What an input does by the vacuum alone is found at the least and
// at the most vacuum that any input brings; between, the logarithm of the margin goes with that of the vacuum.
type byVacuum struct {
	t      trial
	bodies map[bodyKey]*contact.Support
	likely float64      // vacuum, Pa
	ends   [2]vacuumEnd // least and most
}

// vacuumEnd is the end of an input with the least or the most vacuum.
type vacuumEnd struct {
	rangeEnd
	log    float64 // of its vacuum over the likely one; 0: none
	change float64
	known  bool
}

func newByVacuum(r *ranges, t trial, bodies map[bodyKey]*contact.Support) *byVacuum {
	b := &byVacuum{t: t, bodies: bodies, likely: r.likely.of.air[t.epoch].state.VacuumPa()}
	for k := range r.ends {
		for _, e := range r.ends[k] {
			log, only := b.logOf(e)
			switch {
			case !only:
			case log < b.ends[0].log:
				b.ends[0] = vacuumEnd{rangeEnd: e, log: log}
			case log > b.ends[1].log:
				b.ends[1] = vacuumEnd{rangeEnd: e, log: log}
			}
		}
	}
	return b
}

// logOf is the logarithm of an end's vacuum over the likely one; only is true where the end differs in nothing else.
func (b *byVacuum) logOf(e rangeEnd) (log float64, only bool) {
	if b.likely <= 0 || !e.vacuumOnly(b.t) {
		return 0, false
	}
	vacuum, err := e.vacuumPa(b.t.epoch)
	if err != nil {
		return 0, false
	}
	return math.Log(vacuum / b.likely), vacuum > 0
}

// change is that of the logarithm of the margin at an end.
func (b *byVacuum) change(e rangeEnd) float64 {
	log, only := b.logOf(e)
	if !only {
		return e.change(b.t, b.bodies)
	}
	if log == 0 {
		return 0
	}
	far := &b.ends[0]
	if log > 0 {
		far = &b.ends[1]
	}
	if !far.known {
		far.change, far.known = far.rangeEnd.change(b.t, b.bodies), true
	}
	return far.change * log / far.log
}
