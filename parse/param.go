package parse

// params are the numbered parameters of a program, 1 to 5399 (NIST RS274NGC v3, 3.2.1).
type params struct {
	value map[int]float64
	// system answers for the parameters that the machine keeps itself.
	system func(n int) (float64, bool)
}

const maxParam = 5399

func (p *params) get(n int) (v float64, set bool) {
	if p.system != nil {
		if v, ok := p.system(n); ok {
			return v, true
		}
	}
	v, set = p.value[n]
	return v, set
}

func (p *params) put(n int, v float64) {
	if p.value == nil {
		p.value = make(map[int]float64)
	}
	p.value[n] = v
}
