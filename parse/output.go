package parse

import (
	"slices"
	"strconv"
)

// Output is an M code of the machine that switches something, such as M62 P3; the P word tells its outputs apart.
type Output struct {
	M int
	P int // NoP: written without P
}

// NoP is the P of an output that has none.
const NoP = -1

// String writes the output as it stands in a program.
func (o Output) String() string {
	if o.P == NoP {
		return "M" + strconv.Itoa(o.M)
	}
	return "M" + strconv.Itoa(o.M) + " P" + strconv.Itoa(o.P)
}

// OutputChange is an M code of Options.Outputs in a block that was executed.
type OutputChange struct {
	Output Output
	Move   int // index of the first move after it
}

// ownM gives the M codes that the options explain.
func ownM(opt Options) map[int]bool {
	own := map[int]bool{}
	for _, m := range opt.HarmlessM {
		own[m] = true
	}
	for _, o := range opt.Outputs {
		own[o.M] = true
	}
	return own
}

// StandardM tells whether the published standard gives an M code its meaning (NIST RS274NGC v3, table 7), so that a
// machine cannot give it another one.
func StandardM(m int) bool {
	_, beyond, known := groupOfM(m)
	return known && !beyond || m >= 97 && m <= 99
}

// isHarmless tells that the user knows a machine-specific M code to move nothing.
func (it *interp) isHarmless(m int) bool {
	return slices.Contains(it.opt.HarmlessM, m)
}

// outputOf gives the output of the options that an M code of a block is, with the block's P or without any.
func (it *interp) outputOf(b *block, m int) (o Output, ok bool) {
	p := NoP
	if n, whole := closeInt(b.val['P'-'A']); b.got('P') && whole {
		p = n
	}
	for _, known := range it.opt.Outputs {
		if known.M == m && (known.P == p || known.P == NoP) {
			if o, ok = known, true; known.P == p {
				break
			}
		}
	}
	return o, ok
}

// machineMs carries out the M codes of a block that only the machine knows.
func (it *interp) machineMs(b *block) {
	for _, w := range b.machine {
		m, whole := closeInt(w.value)
		o, isOutput := it.outputOf(b, m)
		b.used |= bit('P') | bit('Q') // such codes take these words
		switch {
		case whole && isOutput:
			it.p.Outputs = append(it.p.Outputs, OutputChange{Output: o, Move: it.p.Moves.Len()})
		case whole && it.isHarmless(m):
		default:
			it.unknownM(b, w)
		}
	}
}

// unknownM notes an M code of which neither the reader nor the job file knows what it does.
func (it *interp) unknownM(b *block, w word) {
	m := formatNumber(w.value)
	if w.value < 62 || w.value > 68 {
		it.say.unread(int(w.col), "M%s is not understood; the rest of the block is read, say in the job file what "+
			"it does: "+
			"[machine] harmless_m = [%s] if it moves and switches nothing, or what it switches under [machine.output]",
			m, m)
		return
	}
	o := Output{M: int(w.value), P: NoP}
	if p, whole := closeInt(b.val['P'-'A']); b.got('P') && whole {
		o.P = p
	}
	it.say.unread(int(w.col), "%v switches an output, which may be vacuum or clamps; it is left out, write under "+
		"[machine.output] in the job file what it does, as in \"%v\" = \"harmless\"", o, o)
}
