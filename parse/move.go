package parse

import (
	"fmt"
	"staydown/parse/units"
)

// Point is a place of the tool tip, or an offset, in program coordinates: millimeters, right-handed, Z up.
type Point struct{ X, Y, Z float64 }

// Pos is a place in the text of a program. Line and Col count from 1, Col in bytes; 0 means unknown.
type Pos struct {
	File string
	Line int
	Col  int
}

// String renders the place in the GNU error form, leaving out what is unknown.
func (p Pos) String() string {
	switch {
	case p.Line == 0:
		return p.File
	case p.Col == 0:
		return fmt.Sprintf("%s:%d", p.File, p.Line)
	default:
		return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col)
	}
}

// Kind tells how the tool goes from the start of a move to its end.
type Kind uint8

const (
	Rapid Kind = iota // straight, at the machine's rapid rate (G0 and the rapid parts of cycles)
	Feed              // straight, at feed
	Arc               // circular or helical, at feed
	Dwell             // no motion, only time
)

// Plane is the plane of an arc; its normal is the third axis.
type Plane uint8

const (
	PlaneXY Plane = iota // G17, normal +Z
	PlaneZX              // G18, normal +Y
	PlaneYZ              // G19, normal +X
)

// Spindle is the sense of rotation, seen along the tool from above.
type Spindle int8

const (
	SpindleStopped          Spindle = 0  // M5, or not started yet
	SpindleClockwise        Spindle = 1  // M3
	SpindleCounterclockwise Spindle = -1 // M4
)

// Move is one motion of the tool tip, or a dwell.
//
// An arc turns about Center by TurnRad, positive counter-clockwise seen from the positive end of its plane's
// normal; the coordinate along the normal goes linearly from Start to End with the angle. A full circle has
// Start and End alike in the plane and TurnRad of plus or minus 2 pi (times the number of turns). A post's rounding
// may leave the radius at the end different from that at the start, by at most 0.02 mm (0.002 in in an inch program).
type Move struct {
	Kind    Kind
	Plane   Plane
	Spindle Spindle
	// Line is the 1-based line of the main program that caused the move. For a move out of a subprogram kept in
	// another file it is the line of the call.
	Line int32
	Sub  int32 // number of that file, from 1 in order of first use; 0 for the main file
	Tool int32 // tool in the spindle; 0 before the first tool change

	Start, End Point
	Centre     Point
	TurnRad    float64

	LengthMM  float64 // of the path of the tool tip
	FeedMMMin float64 // 0 for rapids and dwells
	RPM       float64 // spindle speed commanded, 0 when stopped or unset
	DurationS float64
}

// ToolCall is a tool brought into the spindle.
type ToolCall struct {
	Tool int
	Line int
	Move int // index of the first move with it
}

// Stop is a program stop (M0, M1, M60) or end (M2, M30).
type Stop struct {
	Code string // "M0", "M1", ...
	Line int
	Move int // index of the first move after it
}

// UnplacedRapid is a rapid in X or Y to a place of the machine whose coordinates are not known (G28, G30, G53). X and Y
// keep their place in the moves, so that material on its way is not seen by them.
type UnplacedRapid struct {
	Move  int     // index of the first move after it
	FromZ float64 // of the tool tip where it begins, mm
	Pos   Pos
}

// NoteKind tells what a note is about.
type NoteKind uint8

const (
	Reading   NoteKind = iota // a leniency taken; noted once per kind
	Unread                    // something that could not be interpreted
	CutShort                  // the file may have been cut short: its end is missing
	NoUnits                   // the program moves before it names its units
	BehindEnd                 // blocks behind M2 or M30 would move the tool and are never executed
)

// Note is what the reader has to say about a place in the program, in the words of a message to the user.
type Note struct {
	Kind    NoteKind
	Pos     Pos
	Message string
}

// Program is a posted program as read.
type Program struct {
	Name   string
	SHA256 string // of the bytes of the main file, lower-case hexadecimal
	Lines  int
	Blocks int          // lines that carry words
	Units  units.System // of its first G20 or G21; Unchosen is read in mm

	Moves     Moves
	ToolCalls []ToolCall
	Stops     []Stop
	Coolant   []CoolantChange
	Outputs   []OutputChange
	Unplaced  []UnplacedRapid
	Notes     []Note // in order of line
	Assumed   []string

	OtherFeeds bool // F of some cut is no speed (G93, G95)
	// Z of some move is not the number in the program: an offset is active, or G91 (but on the way home)
	MovedZ bool

	DurationS   float64 // feed, rapid and dwell
	CutLengthMM float64 // all feed moves, in the material or not

	src []byte // for ModalsAt
	opt Options
}
