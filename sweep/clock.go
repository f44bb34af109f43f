package sweep

import (
	"math"
	"sort"

	"staydown/parse"
)

// clock turns moments of the program into ticks. Every move has at least one tick, and as many as keep one tick
// below a fraction of a cell along the path, so that ticks of different moves never meet.
type clock struct {
	first []tick // first tick of each move; one more entry for the end
}

// span is a stretch of time, the end left out.
type span struct{ from, to tick }

// newClock spreads the ticks. Where a program is too long for 32 bits the ticks grow.
func newClock(moves *parse.Moves, tickMM float64) clock {
	total := 0.0
	for _, m := range moves.All() {
		total += m.LengthMM
	}
	room := float64(math.MaxUint32) - 16 - 2*float64(moves.Len())
	if total/tickMM > room {
		tickMM = total / room * 1.0001
	}
	c := clock{first: make([]tick, moves.Len()+1)}
	t := firstTick
	for i, m := range moves.All() {
		c.first[i] = t
		t += 1 + tick(m.LengthMM/tickMM)
	}
	c.first[moves.Len()] = t
	return c
}

// count gives the number of ticks of a move.
func (c *clock) count(move int) float64 { return float64(c.first[move+1] - c.first[move]) }

// at gives the tick of a fraction of a move.
func (c *clock) at(move int, f float64) tick {
	n := c.count(move)
	k := math.Floor(f * n)
	return c.first[move] + tick(max(0, min(n-1, k)))
}

// move gives the move that a tick belongs to.
func (c *clock) move(t tick) int {
	return sort.Search(len(c.first)-1, func(i int) bool { return c.first[i+1] > t })
}

// moveNear does the same and is quick where the move is not far from another.
func (c *clock) moveNear(t tick, move int) int {
	lo, hi := move, move
	for step := 1; c.first[lo] > t; step *= 2 {
		lo, hi = max(0, lo-step), lo
	}
	for step := 1; c.first[hi] <= t && hi < len(c.first)-1; step *= 2 {
		lo, hi = hi, min(len(c.first)-1, hi+step)
	}
	for hi-lo > 1 {
		if m := (lo + hi) / 2; c.first[m] > t {
			hi = m
		} else {
			lo = m
		}
	}
	return lo
}

// progress gives the moment in the middle of a tick, which lies inside its move.
func (c *clock) progress(t tick) Progress {
	move := 0
	return c.progressBy(t, &move)
}

// progressBy does the same for ticks that mostly lie in the move of the one before, which it keeps.
func (c *clock) progressBy(t tick, move *int) Progress {
	if t == tickNever {
		return Never
	}
	if t < firstTick {
		return 0
	}
	if t < c.first[*move] || t >= c.first[*move+1] {
		*move = c.moveNear(t, *move)
	}
	return Progress(float64(*move) + c.fraction(*move, t))
}

// fraction gives the middle of a tick as a fraction of its move.
func (c *clock) fraction(move int, t tick) float64 {
	return (float64(t-c.first[move]) + 0.5) / c.count(move)
}

// Progress is a moment of the program: the index of a move plus the fraction of it that is done. Whole numbers
// are ends of moves: 3.0 is the start of move 3. Never means "not in this program".
type Progress float64

// Never is later than every moment of a program.
const Never Progress = 1e18

// Move gives the index of the move that is under way.
func (p Progress) Move() int { return int(p) }

// ticksPerCell is the resolution of the moment at which a cell is cut: a cell's width divided by it.
const ticksPerCell = 8
