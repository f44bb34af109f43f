package parse

import (
	"fmt"
	"staydown/parse/units"
	"strings"
)

// feedMode tells what F means.
type feedMode uint8

const (
	perMinute     feedMode = iota // G94
	inverseTime                   // G93: F is 1/min for each move
	perRevolution                 // G95
)

// modal is the state that a block leaves to the next one.
type modal struct {
	motion         int // G code in tenths; g80 or noCode (nothing given yet)
	beforeCycle    int // G0 to G3, whichever was given last, or noCode: what most controls go back to behind G80
	plane          Plane
	incremental    bool // G91
	centreAbsolute bool // G90.1
	feedMode       feedMode
	inch           bool
	unitsGiven     bool // by the program or the options
	unitsNamed     bool // by the program
	side           int  // of compensation: +1 left (G41), -1 right (G42)
	compD          int
	lengthOn       bool // G43
	lengthH        int
	lengthUsed     bool // G43 was on before
	retractToR     bool // G99
	system         int
	exact          int     // g61, g61p1 or g64
	toleranceMM    float64 // G64 P
	polar          bool    // G16

	feed      float64 // mm/min, 1/min or mm per revolution, by feedMode; 0 not given
	speed     float64 // S, 1/min
	speedSet  bool    // an S was met
	started   bool    // M3 or M4 was met
	spindle   Spindle
	mist      bool
	flood     bool
	selected  int // T
	toolGiven bool
	tool      int // in the spindle
	loaded    bool
	changed   bool // an M6 was met
}

func startModal() modal {
	// NIST RS274NGC v3, 3.2.2 and 3.6.1; the units are assumed until G20 or G21.
	return modal{motion: noCode, beforeCycle: noCode, system: 1, exact: g61}
}

func (m *modal) unitMM() float64 {
	if m.inch {
		return units.InchMM
	}
	return 1
}

func (m *modal) units() units.System {
	if m.inch {
		return units.Inch
	}
	return units.Metric
}

// String prints the state as a block that would restore it.
func (m *modal) String() string {
	var b strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&b, format+" ", args...) }
	pick := func(t bool, yes, no string) string {
		if t {
			return yes
		}
		return no
	}
	if m.motion != noCode {
		say("%s", codeName(m.motion))
	}
	say("%s", [...]string{"G17", "G18", "G19"}[m.plane])
	say("%s", pick(m.inch, "G20", "G21"))
	say("%s", pick(m.incremental, "G91", "G90"))
	say("%s", pick(m.centreAbsolute, "G90.1", "G91.1"))
	say("%s", [...]string{"G94", "G93", "G95"}[m.feedMode])
	switch {
	case m.side > 0:
		say("G41 D%d", m.compD)
	case m.side < 0:
		say("G42 D%d", m.compD)
	default:
		say("G40")
	}
	if m.lengthOn {
		say("G43 H%d", m.lengthH)
	} else {
		say("G49")
	}
	say("%s", pick(m.retractToR, "G99", "G98"))
	say("%s", systemName(m.system))
	say("%s", codeName(m.exact))
	if m.toleranceMM != 0 {
		say("P%s", formatNumber(m.toleranceMM/m.unitMM()))
	}
	say("%s", pick(m.polar, "G16", "G15"))
	f := m.feed
	if m.feedMode != inverseTime {
		f /= m.unitMM()
	}
	say("F%s S%s T%d", formatNumber(f), formatNumber(m.speed), m.tool)
	say("%s", [...]string{"M4", "M5", "M3"}[m.spindle+1])
	if m.mist {
		say("M7")
	}
	if m.flood {
		say("M8")
	}
	if !m.mist && !m.flood {
		say("M9")
	}
	return strings.TrimSpace(b.String())
}
