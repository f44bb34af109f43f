package hold

// Level tells how grave a finding is.
type Level uint8

const (
	LevelNote Level = iota
	LevelWarning
	LevelError
)

// String gives the word that the contract uses.
func (l Level) String() string { return [...]string{"note", "warning", "error"}[l] }

// Rule is a kind of finding.
type Rule struct {
	ID      string
	Level   Level  // the gravest level it is given
	Meaning string // one line, for help texts
	Advice  string // what to do in general; a finding's own remedy is computed
}
