package parse

import (
	"bytes"
	"fmt"
)

// macroArguments gives the numbered parameter that each letter of a macro call becomes; 0 for letters that are none
// (common practice, no source).
var macroArguments = [26]int{
	1, 2, 3, 7, 8, 9, 0, 11, 4, 5, 6, 0, 13, // A to M
	0, 0, 0, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26, // N to Z
}

// maxThrees is how often I, J and K may stand again: the last are #31 to #33.
const maxThrees = 9

// macroCall carries out G65 (common practice, no source): the words behind it are arguments, which are parameters of
// the program that P names and of no other; those not given are vacant. I, J and K may stand again and again: the
// second three of them are #7 to #9, and so on.
func (it *interp) macroCall(b *block) {
	col := b.codeCol(groupCall)
	var args locals
	for n := 1; n <= macroLocals; n++ {
		args.put(n, vacant)
	}
	w := callWords{number: -1, label: -1, times: 1}
	round, last := 0, -1
	for _, a := range b.arguments {
		n := macroArguments[a.letter&^0x20-'A']
		whole, isWhole := closeInt(a.value)
		switch {
		case a.letter == 'P' && isWhole && whole >= 0:
			w.number = whole
		case a.letter == 'L' && isWhole && whole >= 0 && whole <= maxRepeats:
			w.times = whole
		case n >= 4 && n <= 6 && (n > last || round < maxThrees):
			if n <= last {
				round++
			}
			last = n
			args.put(n+3*round, a.value)
		case n > 0 && (n < 4 || n > 6):
			args.put(n, a.value)
		default:
			it.say.unread(int(a.col), "%c%s in a macro call is no argument; the call is left out", a.letter,
				formatNumber(a.value))
			return
		}
	}
	s, at, ok := it.findProgram(w.number)
	switch {
	case w.number < 0:
		it.say.unread(col, "G65 without P; the call is left out, write the number of the subprogram")
	case !ok:
		it.say.unread(col, "subprogram O%d is not found; the call is left out, put it into the program or its folder",
			w.number)
	case w.times > 0:
		it.enterSub(col, call{body: at, left: w.times, name: fmt.Sprintf("O%d", w.number), locals: macroLocals,
			args: args}, s)
	}
}

// callArguments takes words beside M98 that nothing else in the block takes, and that the program called uses as
// parameters, for its arguments (common practice, no source). They stay as they are behind the call.
func (it *interp) callArguments(b *block) {
	p, whole := closeInt(b.val['P'-'A'])
	if !b.got('P') || !whole || b.has&^b.used == 0 {
		return
	}
	s, _, ok := it.findProgram(p)
	if !ok {
		return
	}
	for l := byte('A'); l <= 'Z'; l++ {
		n := macroArguments[l-'A']
		if n == 0 || b.has&^b.used&bit(l) == 0 || !usesParam(s.src, n) {
			continue
		}
		v, _ := b.take(l)
		it.say.lenient(lenCallArgument, b.at(l), "a word beside M98 that the subprogram uses as a parameter; read as "+
			"its argument")
		it.par.put(param{n: n}, v)
	}
}

// usesParam tells whether #n stands anywhere in a text.
func usesParam(src []byte, n int) bool {
	name := []byte(fmt.Sprintf("#%d", n))
	for {
		i := bytes.Index(src, name)
		if i < 0 {
			return false
		}
		if src = src[i+len(name):]; len(src) == 0 || !isDigit(src[0]) {
			return true
		}
	}
}
