package parse

// CoolantChange is a block that turns coolant on or off (NIST RS274NGC v3, 3.6.4): M7 mist, M8 flood, M9 both off. M2
// and M30 turn both off, too (3.6.1); a tool change leaves them as they are (3.6.3). What comes out at M7 and M8 is the
// machine's own: mist, air, oil, water.
type CoolantChange struct {
	Mist, Flood bool // on from here
	Line        int
	Move        int // index of the first move after it
}

// setCoolant carries out M7, M8 and M9, and the end of the program.
func (it *interp) setCoolant(mist, flood bool) {
	m := &it.modal
	if mist == m.mist && flood == m.flood {
		return
	}
	m.mist, m.flood = mist, flood
	it.p.Coolant = append(it.p.Coolant,
		CoolantChange{Mist: mist, Flood: flood, Line: it.say.cause, Move: it.p.Moves.Len()})
}
