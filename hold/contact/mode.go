package contact

// Mode is a way in which a piece comes loose.
type Mode uint8

const (
	None Mode = iota // nothing loads the piece, or nothing can move it
	Lift
	Slip
	Twist
	Tip
)

// String gives the word for the mode; "" for None.
func (m Mode) String() string {
	if m > Tip {
		return "unknown"
	}
	return [...]string{"", "lift", "slip", "twist", "tip"}[m]
}
