package parse

import "math"

// params are the parameters of a program: numbered ones from 1 (NIST RS274NGC v3, 3.2.1; above 5399 common practice, no
// source), and named ones, #<_name> of the whole program and #<name> of one run of a program or subprogram (published
// extension of RS274/NGC). A vacant one (NaN) is known to have no value: #0, and arguments that a macro call leaves
// out.
type params struct {
	locals locals
	value  map[int]float64 // the other numbered ones
	global map[string]float64
	own    map[string]float64
	// unknown are parameters that were set from another one without a known value; they keep what they come to with 0
	unknown map[param]param
	// control answers for the parameters that the control keeps itself.
	control func(p param) (v float64, ok bool)
}

// param is the number or the name of a parameter.
type param struct {
	n    int
	name string // lower case, without blanks
}

func (p param) String() string {
	if p.name != "" {
		return "#<" + p.name + ">"
	}
	return "#" + formatNumber(float64(p.n))
}

const (
	publishedParam = 5399
	maxParam       = 999_999
)

var vacant = math.NaN()

func isVacant(v float64) bool { return math.IsNaN(v) }

// orZero is what a value counts in arithmetic.
func orZero(v float64) float64 {
	if isVacant(v) {
		return 0
	}
	return v
}

func (p *params) get(q param) (v float64, set bool) {
	if q == (param{}) {
		return vacant, true
	}
	if p.control != nil {
		if v, ok := p.control(q); ok {
			return v, true
		}
	}
	switch {
	case q.name == "" && q.n <= macroLocals:
		return p.locals.value[q.n], p.locals.set&^p.locals.doubtful&(1<<q.n) != 0
	case q.name == "":
		v, set = p.value[q.n]
	case q.name[0] == '_':
		v, set = p.global[q.name]
	default:
		v, set = p.own[q.name]
	}
	if len(p.unknown) > 0 && set {
		_, doubtful := p.unknown[q]
		set = !doubtful
	}
	return v, set
}

func (p *params) put(q param, v float64) {
	if len(p.unknown) > 0 {
		delete(p.unknown, q)
	}
	switch {
	case q.name == "" && q.n <= macroLocals:
		p.locals.put(q.n, v)
	case q.name == "":
		put(&p.value, q.n, v)
	case q.name[0] == '_':
		put(&p.global, q.name, v)
	default:
		put(&p.own, q.name, v)
	}
}

// doubt sets a parameter from one whose value is not known, and counts as 0: it is not known either.
func (p *params) doubt(q param, v float64, from param) {
	if first, derived := p.unknown[from]; derived {
		from = first
	}
	p.put(q, v)
	if q.name == "" && q.n <= macroLocals {
		p.locals.doubtful |= 1 << q.n
	}
	if p.unknown == nil {
		p.unknown = make(map[param]param)
	}
	p.unknown[q] = from
}

// put sets an entry of a map that may not be made yet.
func put[K comparable](m *map[K]float64, k K, v float64) {
	if *m == nil {
		*m = make(map[K]float64)
	}
	(*m)[k] = v
}

// Numbered parameters that belong to one call: #1 to #33 of a macro call (common practice, no source), #1 to #30 of an
// O-word call (published extension of RS274/NGC).
const (
	macroLocals = 33
	oWordLocals = 30
)

// locals are #1 to #33.
type locals struct {
	value    [macroLocals + 1]float64
	set      uint64 // bit per number
	doubtful uint64 // set from a parameter whose value is not known
}

func (l *locals) put(n int, v float64) {
	l.value[n] = v
	l.set |= 1 << n
	l.doubtful &^= 1 << n
}

// join gives the first n of these and the others of rest.
func (l *locals) join(n int, rest *locals) locals {
	out := *rest
	copy(out.value[:n+1], l.value[:n+1])
	mask := uint64(1)<<(n+1) - 1
	out.set = l.set&mask | rest.set&^mask
	out.doubtful = l.doubtful&mask | rest.doubtful&^mask
	return out
}
