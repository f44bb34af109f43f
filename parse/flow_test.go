package parse

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// script writes the same program twice: with flow control, and with every block written out as often as it runs.
type script struct {
	t      *rapid.T
	macro  bool // WHILE, DO, END and IF GOTO instead of O-words
	flow   []string
	subs   []string
	labels int
	depth  int
}

// body adds a few things to the flow and gives what they come to, written out.
func (s *script) body() (plain []string) {
	s.depth++
	defer func() { s.depth-- }()
	for range rapid.IntRange(1, 3).Draw(s.t, "items") {
		kind := rapid.IntRange(0, 5).Draw(s.t, "item")
		if s.depth > 3 {
			kind = 0
		}
		s.labels++
		n := s.labels
		switch kind {
		case 0, 1:
			block := fmt.Sprintf("X%d Y%d", rapid.IntRange(-9, 9).Draw(s.t, "x"), 1+n%7)
			s.flow, plain = append(s.flow, block), append(plain, block)
		case 2:
			plain = append(plain, s.loop(n)...)
		case 3:
			plain = append(plain, s.condition(n)...)
		case 4:
			plain = append(plain, s.call(n)...)
		case 5:
			plain = append(plain, s.countedMoves(n)...)
		}
	}
	return plain
}

// repeated gives lines n times.
func repeated(lines []string, n int) (out []string) {
	for range n {
		out = append(out, lines...)
	}
	return out
}

// loop runs a body 0 to 3 times.
func (s *script) loop(n int) []string {
	times := rapid.IntRange(0, 3).Draw(s.t, "times")
	count := fmt.Sprintf("#%d", 300+n)
	begin, end := fmt.Sprintf("o%d while [%s LT %d]", n, count, times), fmt.Sprintf("o%d endwhile", n)
	switch {
	case s.macro && s.depth%2 == 0:
		begin, end = fmt.Sprintf("N%d IF [%s GE %d] GOTO %d", n, count, times, 5000+n),
			fmt.Sprintf("GOTO %d\nN%d %s=0", n, 5000+n, count)
	case s.macro:
		begin, end = fmt.Sprintf("WHILE [%s LT %d] DO%d", count, times, s.depth), fmt.Sprintf("END%d", s.depth)
	case rapid.Bool().Draw(s.t, "repeat"):
		begin, end = fmt.Sprintf("o%d repeat [%d]", n, times), fmt.Sprintf("o%d endrepeat", n)
	}
	s.flow = append(s.flow, count+"=0", begin, fmt.Sprintf("%s=[%s+1]", count, count))
	plain := s.body()
	s.flow = append(s.flow, end)
	return repeated(plain, times)
}

// condition runs one of two bodies.
func (s *script) condition(n int) []string {
	holds := rapid.Bool().Draw(s.t, "holds")
	begin, other, end := fmt.Sprintf("o%d if [%d EQ 1]", n, btoi(holds)), fmt.Sprintf("o%d else", n),
		fmt.Sprintf("o%d endif", n)
	if s.macro {
		begin, other, end = fmt.Sprintf("IF [%d NE 1] GOTO %d", btoi(holds), 6000+n),
			fmt.Sprintf("GOTO %d\nN%d", 7000+n, 6000+n), fmt.Sprintf("N%d", 7000+n)
	}
	s.flow = append(s.flow, begin)
	yes := s.body()
	s.flow = append(s.flow, other)
	no := s.body()
	s.flow = append(s.flow, end)
	if holds {
		return yes
	}
	return no
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// call runs a body as a subprogram, with an argument.
func (s *script) call(n int) []string {
	outside := s.flow
	s.flow = nil
	plain := s.body()
	arg := rapid.IntRange(1, 9).Draw(s.t, "argument")
	inside := s.flow
	if s.macro {
		s.subs = append(s.subs, fmt.Sprintf("O%d", 8000+n))
		s.subs = append(append(s.subs, inside...), "X#1", "M99")
		s.flow = append(outside, fmt.Sprintf("G65 P%d A%d", 8000+n, arg))
	} else {
		s.subs = append(s.subs, fmt.Sprintf("o%d sub", 8000+n))
		s.subs = append(append(s.subs, inside...), "X#1", fmt.Sprintf("o%d endsub", 8000+n))
		s.flow = append(outside, fmt.Sprintf("o%d call [%d]", 8000+n, arg))
	}
	return append(plain, fmt.Sprintf("X%d", arg))
}

// countedMoves makes moves as long as their count.
func (s *script) countedMoves(n int) (plain []string) {
	count := fmt.Sprintf("#%d", 300+n)
	begin, end := fmt.Sprintf("o%d while [%s LT 3]", n, count), fmt.Sprintf("o%d endwhile", n)
	if s.macro {
		begin, end = fmt.Sprintf("WHILE [%s LT 3] DO9", count), "END9"
	}
	s.flow = append(s.flow, count+"=0", begin, fmt.Sprintf("%s=[%s+1]", count, count), "Y["+count+"*2+1]", end)
	return []string{"Y3", "Y5", "Y7"}
}

// Loops, conditions and calls, one in the other, move as what they come to when they are written out by hand.
func TestWritingOutChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := script{t: t, macro: rapid.Bool().Draw(t, "macro")}
		plain := s.body()
		const head = "G21 G91 G1 F600"
		flow := append([]string{head}, s.flow...)
		if s.macro {
			flow = append(append(flow, "M30"), s.subs...)
		} else {
			flow = append(append([]string{head}, s.subs...), append(s.flow, "M30")...)
		}
		flow = strings.Split(strings.Join(flow, "\n"), "\n")
		a, b := readAll(t, flow), readAll(t, append(append([]string{head}, plain...), "M30"))
		sameMotion(t, a, b, 0)
		for _, n := range a.Notes {
			if n.Kind != Reading {
				t.Fatalf("%v in\n%s", n, strings.Join(flow, "\n"))
			}
		}
	})
}
