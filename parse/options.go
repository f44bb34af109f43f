package parse

import "staydown/parse/units"

// Options say how to read a program. The zero value reads leniently, without tools, origins or subprograms.
type Options struct {
	Name   string // file name for messages and Program.Name
	Strict bool   // hold to the published grammar: every leniency becomes Unread
	// BlockDelete is the block-delete switch: lines that begin with a slash are then read but not executed.
	BlockDelete bool
	// Units are those of a program that moves before G20 or G21. Unknown: it is read in mm, with a note of kind
	// NoUnits.
	Units units.System
	// ArcCentresAbsolute tells that I, J and K are places, as under G90.1, until G91.1.
	ArcCentresAbsolute bool
	// NoEnd tells that the post ends programs without M2, M30 or a closing percent sign, and subprograms without M99.
	NoEnd bool
	// RapidMMMin is the rapid rate along the path. 0 takes 10000 mm/min and lists it in Program.Assumed.
	RapidMMMin float64
	// RPM is the spindle speed of a program that names none, for tools without one of their own. 0: not known.
	RPM float64
	// Tools give the diameters for cutter radius compensation, by tool (and D) number.
	Tools map[int]Tool
	// Origins place the work systems "G54" to "G59.3" and "G54.1 P1" to "G54.1 P999" in the coordinates that the stock
	// uses. If it is empty, the first system that the program moves in is taken to be those coordinates.
	Origins map[string]Point
	// OpenSub gives the bytes of a subprogram file in the program's folder. The name never holds a path separator
	// or "..". nil: there are none.
	OpenSub func(name string) ([]byte, error)

	// MachineZero is the zero of the machine's own coordinates (G53, G10 L2, G28, G30), in the coordinates that the
	// stock uses. nil: not known.
	MachineZero *Point
	// HarmlessM lists machine-specific M codes that are known to move neither the tool nor the work.
	HarmlessM []int
	// Outputs lists M codes that switch something which is known; those met are Program.Outputs. One without P stands
	// for all with that M that are not listed themselves.
	Outputs []Output

	// start is the place of the tool tip before the first block, which tests of single blocks need. nil: not known.
	start *Point
}

// Tool is what the reader needs to know of a tool.
type Tool struct {
	DiameterMM float64 // negative: compensation acts on the other side
	RPM        float64 // spindle speed where the program names none; 0: not known
	// InPath tells that the program's path is that of the tool center already: G41 and G42 then change nothing.
	InPath bool
}
