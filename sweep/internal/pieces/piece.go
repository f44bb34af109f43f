// Package pieces reads from the cells which pieces come free, from what and when.
//
//	time ->   1   2   3   4      material only ever disappears, so the cells are put back in order of falling
//	       [A][4][3][B]          cut time: sets of them only join (MergeTree). Read forwards, a merge is a
//	                             split, and the sets between two merges are the pieces (Tree)
//
// It does not know bridges thinner than a cell, nor gaps narrower than one: who finds such puts the cells back again
// with other moments for some (MergeTree.Rebuild). A fragment of fewer than five cells is no piece. Areas and centroids
// are those of the cells; an outline strays from their border by at most 0.6 of a cell.
package pieces

import (
	"github.com/paulmach/orb"

	"staydown/sweep/internal/raster"
)

// Class tells parts from offcuts.
type Class uint8

const (
	Part   Class = iota // a piece that the tool cannot throw about on its own account of size
	Sliver              // a piece smaller than the tool that freed it, or narrower than half of it: it can be thrown
	Slug                // a round or compact offcut from the inside of a closed cut, smaller than that tool
)

// Piece is a part of the stock that no full-thickness material joins to any other.
//
// Ids start at 1. Ids 1..len(blanks) are the blanks as they lie at the start; the others are numbered in the
// order they are freed. When a piece splits, the largest fragment that reaches the rim of the blank keeps its id
// (for a piece already freed: the largest fragment); the others are new pieces.
type Piece struct {
	ID     int
	Parent int             // id of the piece it was cut from; 0 for a blank
	Freed  raster.Progress // moment the last material round it goes; 0 for a blank
	Class  Class
	// Outline (mm, with holes), AreaMM2 (of the cells) and Centroid (mm) are those at the moment it is freed (a blank:
	// at the start). What goes in the plunge that frees it is no part of it.
	Outline  orb.MultiPolygon
	AreaMM2  float64
	Centroid orb.Point
	// TopMM is the highest Z of the piece at that moment; VolumeMM3 its volume then. Where it is machined after
	// that, the heights at the end count (those of cells cut through later: as they were before).
	TopMM     float64
	VolumeMM3 float64
	// FinalAreaMM2 is what is left of it at the end of the program, after other cuts went into it.
	FinalAreaMM2 float64
	// Hung is the moment from which only necks join it to its surroundings: all that is left round it is below web
	// height, or its section is a neck (Options.Neck). Never if it goes free without.
	Hung raster.Progress
	// WebMM2 is its section then; of a piece that hangs to the end, at the end.
	WebMM2 float64
	// Sections tell what joins it, from when that is a neck until it is freed or to the end of the program (At: Never),
	// each less than the one before. Between two of them the section lies between theirs. Empty for blanks, and for
	// pieces that came free along no line round them.
	Sections []Section
}

// SectionAt gives what joins a piece at a moment: that of the first of its sections from then on, since sections only
// fall. ok is false when nothing does.
func (p *Piece) SectionAt(at raster.Progress) (s *Section, ok bool) {
	for i := range p.Sections {
		if p.Sections[i].At >= at {
			return &p.Sections[i], len(p.Sections[i].Joins) > 0
		}
	}
	return nil, false
}

// ComesFree tells whether the program cuts the piece free; blanks and what hangs to the end do not come free.
func (p *Piece) ComesFree() bool { return p.Freed > 0 && p.Freed < raster.Never }

// HangsAt tells whether the piece still hangs on necks at a moment.
func (p *Piece) HangsAt(at raster.Progress) bool { return len(p.Sections) > 0 && at < p.Freed }

// OnNeckFrom is the moment from which necks alone join the piece; it must have sections.
func (p *Piece) OnNeckFrom() raster.Progress {
	if at := p.Sections[0].At; at < raster.Never {
		return at
	}
	return p.Hung
}
