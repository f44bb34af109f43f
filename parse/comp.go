package parse

// comp is the state of cutter radius compensation.
type comp struct {
	r     float64
	lastD int
	haveD bool
}

func (c *comp) forget() {}

func (it *interp) setComp(b *block) {
	if b.is(groupComp) == g40 {
		it.modal.side = 0
		return
	}
	it.say.unread(b.codeCol(groupComp), "%s is not read yet; the programmed path is read as it stands", codeName(b.is(groupComp)))
}

func (it *interp) compensate(b *block, s segment) {}
