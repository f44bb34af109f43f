package units

import "fmt"

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

// unit of the figure in a system.
func (f Figure) unit(s System) Unit {
	return [...]func(System) Unit{System.Length, System.Flow, System.Rapid, System.Absolute,
		System.Pressure}[f.Kind](s)
}

// In writes the sentence.
func (s Statement) In(system System) string {
	args := make([]any, len(s.Args))
	for i, a := range s.Args {
		if f, ok := a.(Figure); ok {
			a = f.unit(system).Text(f.X)
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
