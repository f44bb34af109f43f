package parse

// code is a G or M word of a block.
type code struct {
	n   int // G in tenths, M in ones
	col int
}

// block is the words of one line, sorted into codes by group and numbers by letter.
type block struct {
	has  uint32
	val  [26]float64
	col  [26]int32
	used uint32 // letters that a code has taken

	groups uint32 // bit per group
	code   [groups]code
	first  int // column of the first word
	lineF  bool
	// mixed tells that the line holds G90 and G91; then incremental says, per letter, what governs its number.
	mixed       bool
	incremental uint32
	words       int
	corner      float64 // behind ",R" or ",C", program units; 0: none
	cornerCut   bool    // ",C"
	cornerCol   int
	cancel      bool   // G80 beside another code of its group
	arguments   []word // of a macro call
	bare        uint32 // axes named without a number
	machine     []word // M codes that only the machine knows
	// ownM are those that the options explain: they mean that, unless the published standard says otherwise
	ownM map[int]bool
}

func bit(letter byte) uint32 { return 1 << (letter - 'A') }

func (b *block) got(letter byte) bool { return b.has&bit(letter) != 0 }

// take gives the number behind a letter and marks it as used.
func (b *block) take(letter byte) (v float64, ok bool) {
	if b.has&bit(letter) == 0 {
		return 0, false
	}
	b.used |= bit(letter)
	return b.val[letter-'A'], true
}

func (b *block) at(letter byte) int { return int(b.col[letter-'A']) }

// is gives the code of a group, or noCode.
func (b *block) is(g group) int {
	if b.groups&(1<<g) == 0 {
		return noCode
	}
	return b.code[g].n
}

func (b *block) codeCol(g group) int { return b.code[g].col }

const (
	axisWords   = 1<<('X'-'A') | 1<<('Y'-'A') | 1<<('Z'-'A')
	centreWords = 1<<('I'-'A') | 1<<('J'-'A') | 1<<('K'-'A')
)

func (b *block) hasAxis() bool { return b.has&axisWords != 0 }

// fill sorts words into a block. What does not fit is noted; it reports false when the block must not be executed.
func (b *block) fill(words []word, modalIncremental bool, say *notes) bool {
	b.has, b.used, b.groups, b.mixed, b.cancel, b.incremental = 0, 0, 0, false, false, 0
	b.machine = b.machine[:0]
	b.first, b.words, b.lineF, b.corner, b.arguments, b.bare = int(words[0].col), len(words), false, 0, nil, 0
	ok := true
	incremental := modalIncremental
	var relative uint32
	changes, ms := 0, 0
	for i, w := range words {
		if b.arguments != nil {
			break
		}
		switch w.letter {
		case 'G':
			n, good := b.addG(w, say)
			ok = ok && good
			if n == g65 {
				b.arguments = words[i+1:]
			}
			if n == g90 || n == g91 {
				incremental = n == g91
				if changes++; changes == 2 {
					b.mixed = true
				}
			}
		case 'M':
			ms++
			ok = b.addM(w, say) && ok
		case 'r', 'c':
			if b.corner != 0 {
				say.unread(int(w.col), "two words behind commas in one block; keep one")
				ok = false
			}
			b.corner, b.cornerCut, b.cornerCol = w.value, w.letter == 'c', int(w.col)
		default:
			ok = b.addNumber(w, say) && ok
			if incremental {
				relative |= bit(w.letter)
			}
			if w.bare {
				b.bare |= bit(w.letter)
			}
		}
	}
	b.incremental = relative | b.bare
	if b.got('U') && (b.is(groupOneShot) != g4 || say.strict) {
		say.unread(b.at('U'), "the word U is not understood; the block is not read, take the word out")
		ok = false
	}
	if ms > 4 {
		say.lenient(lenManyM, b.first, "more than four M words in one block; all of them are read")
	}
	return ok
}

func (b *block) addNumber(w word, say *notes) bool {
	m := bit(w.letter)
	if b.has&m != 0 {
		say.unread(int(w.col), "%c stands twice in one block; keep one", w.letter)
		return false
	}
	switch w.letter {
	case 'E', 'V', 'W':
		if w.letter == 'E' && (b.is(groupQuiet) == g187 || b.is(groupMachine) == 66) {
			break
		}
		say.unread(int(w.col), "the word %c is not understood; the block is not read, take the word out", w.letter)
		return false
	}
	b.has |= m
	b.val[w.letter-'A'] = w.value
	b.col[w.letter-'A'] = w.col
	return true
}

func (b *block) addG(w word, say *notes) (n int, ok bool) {
	n, whole := closeInt(w.value * 10)
	g, beyond, known := groupOfG(n)
	if !whole || !known || n < 0 {
		say.unread(int(w.col), "G%s is not understood; the block is not read", formatNumber(w.value))
		return n, false
	}
	if beyond && say.strict {
		say.unread(int(w.col), "%s is not in the published standard; use a code that is", codeName(n))
	}
	if b.groups&(1<<g) == 0 {
		b.groups |= 1 << g
		b.code[g] = code{n, int(w.col)}
		return n, true
	}
	old := b.code[g]
	switch {
	case old.n == n:
		say.lenient(lenRepeatedCode, int(w.col), "%s stands twice in one block; read once", codeName(n))
		return n, true
	case g == groupQuiet:
		b.code[g] = code{n, int(w.col)}
		return n, true
	case g == groupDistance && !say.strict:
		say.reading(lenMixedDistance, int(w.col), "G90 and G91 in one block; each governs the numbers behind it")
		b.code[g] = code{n, int(w.col)}
		return n, true
	case g == groupMotion && (old.n == g80 || n == g80) && !say.strict:
		say.reading(lenCancelWithMotion, int(w.col), "G80 beside another motion code; the cycle ends first, then "+
			"the other code holds")
		b.cancel = true
		if old.n == g80 {
			b.code[g] = code{n, int(w.col)}
		}
		return n, true
	}
	say.unread(int(w.col), "%s and %s belong to one group and stand in one block; keep one", codeName(old.n),
		codeName(n))
	return n, false
}

const (
	mistAndFlood = 1000 // stands for M7 and M8 in one block
	machineM     = 1001 // stands for M codes that only the machine knows
)

func (b *block) addM(w word, say *notes) bool {
	n, whole := closeInt(w.value)
	g, beyond, known := groupOfM(n)
	if !whole || !known || beyond && b.ownM[n] {
		b.machine = append(b.machine, w)
		if b.groups&(1<<groupMachine) == 0 {
			b.groups |= 1 << groupMachine
			b.code[groupMachine] = code{machineM, int(w.col)}
		}
		return true
	}
	if beyond && say.strict {
		say.unread(int(w.col), "M%d is not in the published standard; use a code that is", n)
	}
	if b.groups&(1<<g) != 0 && g != groupMachine {
		old := b.code[g].n
		switch {
		case g == groupCoolant && old+n == 7+8: // mist and flood together do no harm
			n = mistAndFlood
		case old == n:
			say.lenient(lenRepeatedCode, int(w.col), "M%d stands twice in one block; read once", n)
		default:
			say.unread(int(w.col), "M%d and M%d belong to one group and stand in one block; keep one", old, n)
			return false
		}
	}
	b.groups |= 1 << g
	b.code[g] = code{n, int(w.col)}
	return true
}
