package parse

type call struct{}

func (it *interp) call(b *block) {
	it.say.unread(b.codeCol(groupCall), "subprograms are not read yet")
	b.used |= b.has
}

func (it *interp) returnFromCall(col int, endOfFile bool) bool { return false }

func (it *interp) programStart(n int) {}
