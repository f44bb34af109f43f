package parse

// ModalAt is ModalsAt for one line.
func (p *Program) ModalAt(line int) string { return p.ModalsAt([]int{line})[0] }
