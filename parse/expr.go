package parse

import (
	"bytes"
	"math"
	"strconv"
	"strings"
)

// readError is why a line cannot be read, and where.
type readError struct {
	col int // 1-based byte column
	msg string
}

func (e *readError) Error() string { return e.msg }

// evaluator reads one value (number, parameter, bracketed expression or function) out of a line and gives the
// number. Blanks mean nothing anywhere (NIST RS274NGC v3, 3.3.2).
type evaluator struct {
	line   []byte
	i      int
	depth  int
	params *params
	say    *notes
	// A parameter without a known value is a note, or where it is only set into another one it is kept here.
	inSetting bool
	unknown   *param
}

func (e *evaluator) fail(at int, msg string) error { return &readError{col: at + 1, msg: msg} }

func (e *evaluator) peek() byte {
	for e.i < len(e.line) && isBlank(e.line[e.i]) {
		e.i++
	}
	if e.i == len(e.line) {
		return 0
	}
	return e.line[e.i]
}

// value reads one real value.
func (e *evaluator) value() (float64, error) {
	at := e.i
	if e.depth++; e.depth > maxNestedBrackets {
		return 0, e.fail(at, "too many brackets one inside the other; write the value in steps")
	}
	defer func() { e.depth-- }()
	c := e.peek()
	switch {
	case isDigit(c) || c == '.':
		return e.number()
	case c == '+' || c == '-':
		sign := e.i
		e.i++
		d := e.peek()
		if isDigit(d) || d == '.' {
			e.i = sign
			return e.number()
		}
		if d != '#' && d != '[' && upper(d) == 0 {
			return 0, e.fail(sign, "a sign without a number; write the number")
		}
		e.say.lenient(lenSignedExpression, sign+1, "a sign before a parameter, bracket or function; read as its "+
			"negative or itself, as controls do (the published spelling is [0-#1])")
		v, err := e.value()
		if c == '-' {
			v = -v
		}
		return v, err
	case c == '#':
		return e.parameter()
	case c == '[':
		return e.bracketed()
	case upper(c) != 0:
		return e.function()
	}
	return 0, e.fail(e.i, "no number where one is needed; write it")
}

// setting reads the value behind #n=. The published spelling of an expression is #1=[#1+1] (NIST RS274NGC v3, 3.3.3);
// controls also take it without brackets (common practice, no source).
func (e *evaluator) setting() (float64, error) {
	at := e.i
	v, err := e.value()
	if err != nil || !operatorAt(e.line, e.i) || !e.operandBehind() {
		return v, err
	}
	e.say.lenient(lenBareExpression, at+1,
		"an expression without brackets; read as if it stood in brackets, as in #1=[#1+1]")
	e.i = at
	return e.expression(1)
}

// operandBehind tells whether a value follows the operator at hand: a slash with anything else behind it is a remark.
func (e *evaluator) operandBehind() bool {
	t := *e
	_, width := t.operator()
	t.i += width
	c := t.peek()
	value := isDigit(c) || c != 0 && strings.IndexByte(".#[+-", c) >= 0
	return width > 0 && (value || (&scanner{line: t.line, i: t.i}).functionAhead())
}

func (e *evaluator) number() (float64, error) {
	at := e.i
	var buf [32]byte
	text := buf[:0]
	text, next, ok := appendNumber(text, e.line, e.i)
	if !ok {
		return 0, e.fail(at, "a number without a digit; write its digits")
	}
	e.i = next
	v, err := strconv.ParseFloat(string(text), 64)
	if err != nil {
		return 0, e.fail(at, "a number too large to be read; shorten it")
	}
	return v, nil
}

// appendNumber appends the number at line[i:] without its blanks. It reports where the number ends and whether it
// has a digit.
func appendNumber(dst, line []byte, i int) (out []byte, next int, ok bool) {
	point, digits := false, 0
	first := true
	last := i
	for ; i < len(line); i++ {
		c := line[i]
		switch {
		case isBlank(c):
			continue
		case isDigit(c):
			digits++
		case c == '.' && !point:
			point = true
		case (c == '+' || c == '-') && first:
		default:
			return dst, last, digits > 0
		}
		first = false
		dst = append(dst, c)
		last = i + 1
	}
	return dst, last, digits > 0
}

// parameter reads # and what is behind it, and gives the parameter's value. One that neither the program sets nor the
// reader knows of the machine counts as 0.
func (e *evaluator) parameter() (float64, error) {
	at := e.i
	p, err := e.param()
	if err != nil {
		return 0, err
	}
	v, set := e.params.get(p)
	from, derived := e.params.unknown[p]
	switch {
	case set:
	case e.inSetting:
		e.unknown = &p
	case derived && from != p:
		e.say.unread(at+1,
			"%v comes from %v, whose value is not known; read as 0, set it in the program before its use",
			p, from)
	case p.name == "" && p.n > publishedParam || p.name != "" && p.name[0] == '_':
		e.say.unread(at+1, "%v is kept by the control, and its value is not known; read as 0, set it in the program "+
			"before its use", p)
	default:
		e.say.unread(at+1, "parameter %v is never set in the program; read as 0, set it before its use", p)
	}
	return v, nil
}

// param reads # and the number or name of a parameter behind it.
func (e *evaluator) param() (param, error) {
	at := e.i
	e.i++
	if e.peek() == '<' {
		return e.paramName(at)
	}
	v, err := e.value()
	if err != nil {
		return param{}, err
	}
	n, ok := closeInt(v)
	if e.say.strict && (n < 1 || n > publishedParam) {
		return param{}, e.fail(at, "parameter number "+formatNumber(v)+" is not from 1 to 5399; correct it")
	}
	if !ok || n < 0 || n > maxParam {
		return param{}, e.fail(at, "parameter number "+formatNumber(v)+" is not from 0 to 999999; correct it")
	}
	if n > publishedParam {
		e.say.lenient(lenHighParam, at+1, "a parameter above #5399; read as any other")
	}
	return param{n: n}, nil
}

// paramName reads <name>; case and blanks mean nothing (published extension of RS274/NGC).
func (e *evaluator) paramName(at int) (param, error) {
	name, next := readName(e.line, e.i)
	if name == "" {
		return param{}, e.fail(at, "the name of a parameter is not closed; write # and its name between < and >")
	}
	e.i = next
	e.say.lenient(lenNamedParam, at+1, "a named parameter; read as in the published extension of RS274/NGC")
	return param{name: name}, nil
}

// readName reads <name> at line[i:] and gives it in lower case and without blanks; "" if it has no end or no letters.
func readName(line []byte, i int) (name string, next int) {
	n := bytes.IndexByte(line[i:], '>')
	if n < 0 {
		return "", i
	}
	text := bytes.Map(func(r rune) rune {
		if r == ' ' || r == '\t' {
			return -1
		}
		return r
	}, bytes.ToLower(line[i+1:i+n]))
	return string(text), i + n + 1
}

func (e *evaluator) bracketed() (float64, error) {
	open := e.i
	e.i++
	v, err := e.expression(1)
	if err != nil {
		return 0, err
	}
	if e.peek() != ']' {
		if e.i >= len(e.line) {
			return 0, e.fail(open, "the bracket is not closed; write ]")
		}
		return 0, e.fail(e.i, "not an operator; write one of + - * / ** MOD AND OR XOR EQ NE GT GE LT LE")
	}
	e.i++
	return v, nil
}

// expression reads operators of rank least and tighter: 1 is OR XOR AND, 2 a comparison, 3 is + -, 4 is * / MOD, 5 is
// ** (published extension of RS274/NGC; NIST RS274NGC v3, 3.3.2.3, knows no comparisons and ranks OR XOR AND with + -).
// Equal ranks go from left to right.
func (e *evaluator) expression(least int) (float64, error) {
	if least > 5 {
		return e.value()
	}
	v, err := e.expression(least + 1)
	for err == nil {
		at := e.i
		op, width := e.operator()
		if op == 0 || e.rank(op) != least {
			break
		}
		e.i += width
		var r float64
		if r, err = e.expression(least + 1); err != nil {
			break
		}
		v, err = e.apply(op, v, r, at)
	}
	return v, err
}

// operator gives the operator at hand (A, O, X, M and P stand for AND, OR, XOR, MOD and **, = ! > ] < [ for the
// comparisons EQ NE GT GE LT LE) and its width in bytes.
func (e *evaluator) operator() (op byte, width int) {
	switch c := e.peek(); c {
	case '+', '-', '/':
		return c, 1
	case '*':
		if w := e.match("**"); w > 0 {
			return 'P', w
		}
		return '*', 1
	}
	for _, o := range operators {
		if w := e.match(o.name); w > 0 {
			return o.op, w
		}
	}
	return 0, 0
}

var operators = [...]struct {
	name string
	op   byte
}{
	{"AND", 'A'}, {"OR", 'O'}, {"XOR", 'X'}, {"MOD", 'M'},
	{"EQ", '='}, {"NE", '!'}, {"GT", '>'}, {"GE", ']'}, {"LT", '<'}, {"LE", '['},
}

// match gives the width of name at the current place, blanks allowed inside, or 0.
func (e *evaluator) match(name string) int {
	i := e.i
	for k := 0; k < len(name); k++ {
		for i < len(e.line) && isBlank(e.line[i]) {
			i++
		}
		if i == len(e.line) || (upper(e.line[i]) != name[k] && e.line[i] != name[k]) {
			return 0
		}
		i++
	}
	return i - e.i
}

func (e *evaluator) rank(op byte) int {
	switch op {
	case 'P':
		return 5
	case '*', '/', 'M':
		return 4
	case '=', '!', '>', ']', '<', '[':
		return 2
	case 'A', 'O', 'X':
		if !e.say.strict {
			return 1
		}
	}
	return 3
}

// truth is 1 or 0 (NIST RS274NGC v3, 3.3.2.3).
func truth(t bool) float64 {
	if t {
		return 1
	}
	return 0
}

// compare carries out a comparison. A vacant value equals only another one, and else counts 0 (common practice, no
// source).
func compare(op byte, a, b float64) float64 {
	if op == '=' || op == '!' {
		equal := a == b || isVacant(a) && isVacant(b)
		return truth(equal == (op == '='))
	}
	a, b = orZero(a), orZero(b)
	switch op {
	case '>':
		return truth(a > b)
	case ']':
		return truth(a >= b)
	case '<':
		return truth(a < b)
	}
	return truth(a <= b)
}

func (e *evaluator) apply(op byte, a, b float64, at int) (float64, error) {
	if e.rank(op) == 2 {
		e.say.lenient(lenFlow, at+1, "a comparison; read as in the published extension of RS274/NGC")
		return compare(op, a, b), nil
	}
	a, b = orZero(a), orZero(b)
	var v float64
	switch op {
	case '+':
		v = a + b
	case '-':
		v = a - b
	case '*':
		v = a * b
	case '/':
		if b == 0 {
			return 0, e.fail(at, "a division by zero; correct the divisor")
		}
		v = a / b
	case 'M':
		if b == 0 {
			return 0, e.fail(at, "MOD by zero; correct the divisor")
		}
		// The remainder is never negative (from memory of the published interpreter).
		if v = math.Mod(a, b); v < 0 {
			v += math.Abs(b)
		}
	case 'P':
		v = math.Pow(a, b)
	case 'A':
		v = truth(a != 0 && b != 0)
	case 'O':
		v = truth(a != 0 || b != 0)
	case 'X':
		v = truth((a != 0) != (b != 0))
	}
	return e.defined(v, at)
}

func (e *evaluator) defined(v float64, at int) (float64, error) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, e.fail(at, "the value is undefined or too large; correct the expression")
	}
	return v, nil
}

// functions of one bracketed argument; angles are in degrees (NIST RS274NGC v3, 3.3.2.4).
var functions = [...]struct {
	name string
	f    func(float64) float64
}{
	{"ABS", math.Abs},
	{"ACOS", func(x float64) float64 { return math.Acos(x) * 180 / math.Pi }},
	{"ASIN", func(x float64) float64 { return math.Asin(x) * 180 / math.Pi }},
	{"COS", func(x float64) float64 { return math.Cos(x * math.Pi / 180) }},
	{"EXP", math.Exp},
	{"FIX", math.Floor},
	{"FUP", math.Ceil},
	{"LN", math.Log},
	{"ROUND", math.Round},
	{"SIN", func(x float64) float64 { return math.Sin(x * math.Pi / 180) }},
	{"SQRT", math.Sqrt},
	{"TAN", func(x float64) float64 { return math.Tan(x * math.Pi / 180) }},
}

func (e *evaluator) function() (float64, error) {
	at := e.i
	if w := e.match("ATAN"); w > 0 {
		e.i += w
		return e.atan(at)
	}
	if w := e.match("EXISTS"); w > 0 {
		e.i += w
		return e.exists(at)
	}
	for _, fn := range functions {
		w := e.match(fn.name)
		if w == 0 {
			continue
		}
		e.i += w
		if e.peek() != '[' {
			return 0, e.fail(e.i, "a function without its bracket; write "+fn.name+"[...]")
		}
		x, err := e.bracketed()
		if err != nil {
			return 0, err
		}
		return e.defined(fn.f(orZero(x)), at)
	}
	return 0, e.fail(at, "a letter where a number is needed; write the number")
}

// exists reads [#<name>] behind EXISTS: whether the parameter has been set (published extension of RS274/NGC).
func (e *evaluator) exists(at int) (float64, error) {
	const want = "EXISTS needs a parameter; write EXISTS[#<name>]"
	if e.peek() != '[' {
		return 0, e.fail(at, want)
	}
	e.i++
	if e.peek() != '#' {
		return 0, e.fail(at, want)
	}
	p, err := e.param()
	if err != nil {
		return 0, err
	}
	if e.peek() != ']' {
		return 0, e.fail(at, want)
	}
	e.i++
	v, set := e.params.get(p)
	return truth(set && !isVacant(v)), nil
}

// atan reads [y]/[x] behind ATAN: the angle of the point (x, y), in all four quadrants.
func (e *evaluator) atan(at int) (float64, error) {
	const want = "ATAN needs two values; write ATAN[y]/[x]"
	if e.peek() != '[' {
		return 0, e.fail(e.i, want)
	}
	y, err := e.bracketed()
	if err != nil {
		return 0, err
	}
	if e.peek() != '/' {
		return 0, e.fail(e.i, want)
	}
	e.i++
	if e.peek() != '[' {
		return 0, e.fail(e.i, want)
	}
	x, err := e.bracketed()
	if err != nil {
		return 0, err
	}
	return e.defined(math.Atan2(orZero(y), orZero(x))*180/math.Pi, at)
}

// closeInt gives the integer within 0.0001 of v (NIST RS274NGC v3, 3.3.2.1).
func closeInt(v float64) (int, bool) {
	r := math.Round(v)
	if !(math.Abs(v-r) <= 0.0001) || math.Abs(r) > 1e9 {
		return 0, false
	}
	return int(r), true
}

func formatNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
