package job

import (
	"github.com/paulmach/orb"

	"staydown/hold/material"
	"staydown/parse"
	"staydown/parse/units"
	"staydown/sweep"
)

// Job is a job file, read and checked, in mm, Pa, N, rad and m3/h.
type Job struct {
	Path      string // of the nearest of its files, as given
	AmbientPa float64
	Stock     Stock
	Layer     *Layer // nil for a bare gasketed chuck
	Zones     []Zone
	Pump      Pump
	Machine   Machine
	Clamps    []Clamp
	Fixtures  []Fixture
	Tools     map[int]Tool
	Origins   map[string]Origin // work offsets by name ("G54" ... "G59.3"), machine coordinates of each; may be empty
	Limits    Limits
	// RecordsSince is the day from which on records of the shop count, as "2026-05-04"; "": all.
	RecordsSince string
	CellMM       float64 // 0: chosen from tools and stock
	// material at or below this height counts as a web; 0: chosen from the stock's thickness
	WebMM    float64
	Units    units.System     // of reports; Unchosen: those of the program
	Assumed  units.Statements // every value taken for want of one given
	Decisive map[int]string   // what those of Assumed that move margins are about, in few words, by their index
	Doubts   []Doubt          // what of the above is not known exactly
	Sources  []Source         // which file gives which values, the farthest file first
}

// Origin is the place of a work offset in the coordinates that stock and zones use, mm.
type Origin struct{ X, Y, Z float64 }

// Stock is the blank (or blanks) with its material.
type Stock struct {
	sweep.Stock
	Material material.Work
	Faced    material.Facing // faces that a tight skin covers; matters only where air passes through the material
	Anchored bool            // the outer frame is screwed or clamped as well
	// ToleranceMM is how far thickness and flatness of the blank may be off, either way.
	ToleranceMM float64
}

// EdgeKind tells whether the rim of the layer breathes.
type EdgeKind uint8

const (
	OpenEdge   EdgeKind = iota // air enters at the rim
	SealedEdge                 // the rim is taped, no air enters
)

// Layer is the sacrificial sheet between stock and chuck.
type Layer struct {
	Name        string // built-in name, or ""
	ThicknessMM float64
	ThroughM2   float64  // permeability across the sheet
	AlongM2     float64  // permeability in its plane
	Friction    Friction // part on layer
	TackPa      float64  // shear strength of an adhesive face
	CutLimitMM  float64
	Edge        EdgeKind
	Gauges      []Gauge // readings that tell ThroughM2 and the pump's leak better; hold evaluates them
}

// SealKind tells what closes a zone.
type SealKind uint8

const (
	LayerSeal  SealKind = iota // the permeable layer lies on it
	GasketSeal                 // a cord round it, the stock itself closes it
)

// Groove is a square pattern of grooves in the chuck's face.
type Groove struct {
	PitchMM, WidthMM float64
	DepthMM          float64 // 0: not given
}

// Port is an opening by which air leaves a zone, one of several alike.
type Port struct {
	Count      float64 // 0: by the pitch
	PitchMM    float64 // both ways; 0: by the count
	DiameterMM float64
}

// Zone is a part of the chuck with its own valve.
type Zone struct {
	Name     string
	Area     orb.Polygon // mm, program coordinates
	Seal     SealKind
	Groove   *Groove // nil: the whole zone breathes
	Open     bool
	Covered  bool     // what the stock leaves bare of it is covered airtight; of zones with a layer
	Friction Friction // part on what carries it; of gasketed zones alone
	Port     *Port    // nil: not given
	Hose     *Hose    // of its own, to where the zones meet; nil: not given
	Valve    *Valve   // of its own; nil: not given
}

// PumpKind is a family of vacuum pumps.
type PumpKind uint8

const (
	RotaryVane  PumpKind = iota // deep vacuum, flow nearly the same down to it
	DryClaw                     // middling vacuum, without oil
	SideChannel                 // a blower: much flow, little vacuum
	Ejector                     // driven by compressed air
)

// String gives the word of the job file.
func (k PumpKind) String() string {
	return [...]string{"rotary-vane", "dry-claw", "side-channel", "ejector"}[k]
}

// PumpPoint is one measured point of a pump.
type PumpPoint struct {
	AbsolutePa float64
	FlowM3h    float64 // suction flow at that inlet pressure
}

// Pump is the pump with its hoses.
type Pump struct {
	Kind       PumpKind
	FlowM3h    float64     // at no vacuum
	UltimatePa float64     // lowest absolute pressure
	Curve      []PumpPoint // measured: used instead; in order of falling pressure; nil for none
	LeakM3h    float64     // hose and rim leakage at full vacuum, free air
	// LeakAssumed: the job does not give it; it goes with the flow.
	LeakAssumed bool
	AlarmPa     float64 // vacuum below ambient at which the machine stops; 0 for none
	Hose        *Hose   // to the table; nil: not given
	Valve       *Valve  // valve or filter at the pump; nil: not given
}

// Hose is a pipe of round bore.
type Hose struct{ LengthMM, BoreMM float64 }

// Valve is a valve or filter by ISO 6358, or by its flow coefficient.
type Valve struct {
	Conductance float64 // sonic conductance C, m3/(s Pa)
	Critical    float64 // critical pressure ratio b
	KvM3h       float64 // used instead if above 0: m3/h of water at 1 bar
}

// Machine is what the program runs on.
type Machine struct {
	RapidMMMin float64
	RPM        float64      // spindle speed of programs that name none; 0: not known
	Extensions []string     // file name endings of programs, with the dot, lower case
	Zero       *Origin      // the machine's own zero in the coordinates of the stock; nil: not known
	HarmlessM  []int        // machine-specific M codes that move neither tool nor work
	Outputs    []Switch     // what other M codes of the machine switch, in the order of their codes
	Units      units.System // of programs that move before G20 or G21
	// ArcCentresAbsolute tells that I, J and K of an arc are places and not counted from its start.
	ArcCentresAbsolute bool
	M7, M8             Coolant
	NoEnd              bool // its programs end without M2, M30 or a closing percent sign
	// Table is the outline, mm, beyond which neither tool nor holder may go below the top of the stock; nil: none is
	// known.
	Table orb.Ring
}

// Switched is what an output of the machine switches.
type Switched uint8

const (
	SwitchesNothing Switched = iota
	SwitchesPump
	SwitchesZone
	SwitchesClamp
)

// Switch tells what an M code of the machine does.
type Switch struct {
	Output parse.Output
	What   Switched
	Name   string // of the zone or clamp; "": all of them
	On     bool
}

// Hand is the way a tool has to turn to cut, seen from above.
type Hand uint8

const (
	AnyHand   Hand = iota // not given: as the spindle turns
	RightHand             // clockwise (M3)
	LeftHand              // counter-clockwise (M4)
)

// Tool is a tool with what the load needs to know of it.
type Tool struct {
	sweep.Tool
	Flutes   int
	HelixRad float64 // positive: up-cut, negative: down-cut
	UpcutMM  float64 // of a compression tool: height above its tip to which it is up-cut, down-cut above; else 0
	Hand     Hand    // the way it cuts
	RakeRad  float64 // 0 unless given
	InPath   bool    // the program's path is already compensated for the radius
	LengthMM float64 // that stands out of the holder; 0 for unknown
	HolderMM float64 // diameter of the holder; 0 for unknown
	// GaugeMM is the gauge length, from the tip up to where the holder begins; LengthMM where only that is given; 0 for
	// unknown.
	GaugeMM  float64
	RunoutMM float64 // of the cutting edges, from the axis
	RPM      float64 // spindle speed where the program names none; 0: that of the machine
}

// Limits are the margin asked for and what is too thin to be of use.
type Limits struct {
	Margin      float64
	LeastSkinMM float64 // of a skin left under a piece
	LeastPassMM float64 // of a pass
}
