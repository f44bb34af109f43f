package units

import (
	"fmt"
	"strconv"
)

// Statement is a sentence whose figures are written once the system of units is known.
type Statement struct {
	Format string
	Args   []any // Figure for those that have a unit
}

// Kind is a kind of figure.
type Kind uint8

const (
	Length Kind = iota
	Flow
	Rapid
	Absolute
	Vacuum
)

// Figure is an argument of a Statement, in the unit that the packages carry.
type Figure struct {
	Kind Kind
	X    float64
}

// Spread is an argument as Figure is, an end of a wide range: it is written with three digits that matter, whatever the
// step of its unit, and without the unit where Bare.
type Spread struct {
	Figure
	Bare bool
}

// text writes the end in a system.
func (e Spread) text(s System) string {
	u := e.unit(s)
	text := strconv.FormatFloat(u.In(e.X), 'g', 3, 64)
	if !e.Bare {
		text += " " + u.Name
	}
	return text
}

// unit of the figure in a system.
func (f Figure) unit(s System) Unit {
	return [...]func(System) Unit{System.Length, System.Flow, System.Rapid, System.Absolute,
		System.Pressure}[f.Kind](s)
}

// In writes the sentence.
func (s Statement) In(system System) string {
	args := make([]any, len(s.Args))
	for i, a := range s.Args {
		switch f := a.(type) {
		case Figure:
			a = f.unit(system).Text(f.X)
		case Spread:
			a = f.text(system)
		}
		args[i] = a
	}
	return fmt.Sprintf(s.Format, args...)
}

// Statements are sentences in their order.
type Statements []Statement

// In writes them.
func (all Statements) In(system System) []string {
	out := make([]string, len(all))
	for i, s := range all {
		out[i] = s.In(system)
	}
	return out
}
