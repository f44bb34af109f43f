package drawing

import (
	"bytes"
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"staydown/parse"
)

// FlatMM bounds how far the chords of a curve stray from it.
const FlatMM = 0.005

// DefaultGapMM is the gap up to which ends of lines are joined where Options.GapMM does not say.
const DefaultGapMM = 0.1

// Options tell how to read a drawing. The zero value is usable.
type Options struct {
	Unit  Unit    // of the drawing's numbers; UnknownUnit: as the drawing says
	GapMM float64 // ends of lines as near as this are joined, and told; 0: DefaultGapMM
	// WithoutFrame leaves out the outline that holds all others, and a second one close inside it.
	WithoutFrame bool
	// BlankMM is the size of the blank that the parts are cut from, for a hint at the unit; 0: not known.
	BlankMM [2]float64
}

// Outline is a closed line that does not cross itself.
type Outline struct {
	Ring  orb.Ring // mm, counter-clockwise
	Layer string
	Line  int // of the text where it begins
}

// Part is an outline with the holes in it.
type Part struct {
	Outline
	Holes []Outline
}

// Note tells what was closed or left out. Line 0: it concerns the whole drawing.
type Note struct {
	Line    int
	Message string
}

// Drawing is what was read.
type Drawing struct {
	Format string // DXF, SVG or GeoJSON
	Unit   Unit
	Parts  []Part // in order of the text
	Notes  []Note // in order of line
}

// Error tells why a drawing is refused, in words for the user.
type Error struct {
	Pos     parse.Pos
	Message string
}

// Error gives `file:line: message`.
func (e *Error) Error() string { return e.Pos.String() + ": " + e.Message }

// Limits of a drawing; one beyond them is refused.
const (
	maxPoints    = 2_000_000 // of all curves, flattened
	maxCurves    = 500_000
	maxDepth     = 16  // blocks in blocks, groups in groups of use
	maxNumber    = 1e9 // of any coordinate
	maxCrossings = 200_000_000
	maxNotes     = 200
)

// Read reads a drawing. name is for messages, and its ending tells SVG and GeoJSON from DXF where the text does not. It
// fails with an *Error.
func Read(name string, data []byte, opt Options) (d *Drawing, err error) {
	// Readers go deep; they give up by a panic with an *Error, which ends here.
	defer func() {
		switch e := recover().(type) {
		case nil:
		case *Error:
			e.Pos.File = name
			d, err = nil, e
		default:
			panic(e)
		}
	}()
	if opt.GapMM == 0 {
		opt.GapMM = DefaultGapMM
	}
	s := &sketch{opt: opt, left: map[string]*tally{}, unit: opt.Unit}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	switch start := bytes.TrimLeft(data, " \t\r\n"); {
	case len(start) == 0:
		fail(0, "is empty; save the drawing again")
	case start[0] == '<':
		s.readSVG(data)
	case start[0] == '{':
		s.readGeoJSON(data)
	case bytes.Contains(data[:min(len(data), 64)], []byte("Binary DXF")):
		fail(1, "is a binary DXF file; save it as ASCII DXF")
	case bytes.IndexByte(data, 0) >= 0:
		fail(1, "is neither ASCII DXF nor SVG nor GeoJSON; save the drawing as one of these")
	default:
		s.readDXF(data)
	}
	return s.finish(), nil
}

// fail gives up reading.
func fail(line int, format string, args ...any) {
	panic(&Error{Pos: parse.Pos{Line: line}, Message: fmt.Sprintf(format, args...)})
}

// curve is a flattened line, in the drawing's own numbers until finish makes them mm.
type curve struct {
	points []orb.Point
	closed bool // the last point goes back to the first
	layer  string
	line   int
}

// tally counts things of a kind that were left out.
type tally struct{ first, count int }

// sketch is what a reader collects.
type sketch struct {
	opt    Options
	format string
	unit   Unit
	curves []curve
	points int // of all of them
	texts  []orb.Point
	page   orb.Bound // of SVG; empty: none
	notes  []Note
	left   map[string]*tally
	kinds  []string // keys of left, in order of their first line
	// noUnit says what the drawing tells of its unit when it does not tell all
	noUnit string
}

func (s *sketch) note(line int, format string, args ...any) {
	s.notes = append(s.notes, Note{line, fmt.Sprintf(format, args...)})
}

// leave counts something that is left out, by the words of its kind.
func (s *sketch) leave(line int, kind string) {
	if s.left[kind] == nil {
		s.left[kind] = &tally{first: line}
		s.kinds = append(s.kinds, kind)
	}
	s.left[kind].count++
}

// flat is the bound of chords in the drawing's numbers, for curves that a transform stretches by at most scale.
func (s *sketch) flat(scale float64) float64 {
	mm := s.unit.mm()
	if mm == 0 {
		mm = 1
	}
	return FlatMM / mm / math.Max(scale, 1e-9)
}

// add takes a curve. Points that repeat the one before are dropped; what has no length is counted.
func (s *sketch) add(c curve) {
	kept := c.points[:0:0]
	for _, p := range c.points {
		if !(math.Abs(p[0]) <= maxNumber && math.Abs(p[1]) <= maxNumber) {
			fail(c.line, "has a coordinate that is no number below %.0g; correct the drawing", maxNumber)
		}
		if len(kept) == 0 || kept[len(kept)-1] != p {
			kept = append(kept, p)
		}
	}
	if c.closed && len(kept) > 1 && kept[0] == kept[len(kept)-1] {
		kept = kept[:len(kept)-1]
	}
	if len(kept) < 2 {
		s.leave(c.line, "line without length")
		return
	}
	c.points = kept
	if s.points += len(kept); s.points > maxPoints || len(s.curves) >= maxCurves {
		fail(c.line, "the drawing has more than %d points or %d lines; split it", maxPoints, maxCurves)
	}
	s.curves = append(s.curves, c)
}
