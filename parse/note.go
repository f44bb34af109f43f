package parse

import (
	"fmt"
	"sort"
)

// leniency names one way of reading more than the published grammar allows, so that it is noted once per program.
type leniency uint8

const (
	_ leniency = iota
	lenSemicolon
	lenEndOfBlockMark
	lenSlashRemark
	lenSlashLevel
	lenSlashInLine
	lenPercentRemark
	lenPercentOpen
	lenLeader
	lenLongLine
	lenLongN
	lenSignedExpression
	lenModeOnly
	lenNoMotionCode
	lenBehindCancel
	lenNestedComment
	lenBareExpression
	lenOutput
	lenToolBehindChange
	lenNoEnd
	lenAfterEnd
	lenUncalled
	lenMixedDistance
	lenRepeatedCode
	lenCancelWithMotion
	lenHomeWithRapid
	lenManyM
	lenOldUnits
	lenTurning
	lenToolWithoutChange
	lenOutOfRound
	lenChordClamped
	lenFullCircleNoEnd
	lenZeroCentreWord
	lenDwellMilliseconds
	lenDwellLetter
	lenStrayWord
	lenStrayOffset
	lenLengthWithoutH
	lenLengthOtherTool
	lenFeedUnderG49
	lenRotaryZero
	lenHomeNamedAxes
	lenCompEntry
	lenCompInPath
	lenCompConcave
	lenCompRepeated
	lenCompIncrementalExit
	lenCompExit
	lenRepeatK
	lenRepeatZero
	lenManualRetract
	lenCycleIncrementalR
	lenPackedCall
	lenCallByComment
	lenMainReturn
	lenOrient
	lenByteOrderMark
	lenSystemZero
	lenMissingFinal
	leniencyCount
)

// notes collects what there is to say. It knows the place that is being read.
type notes struct {
	strict bool
	file   string
	line   int // in file
	cause  int // line of the main program that led there

	seen    [leniencyCount]bool
	told    map[Note]bool
	kept    []notedAt
	dropped int
}

type notedAt struct {
	Note
	cause int
}

// unread notes something that could not be interpreted.
func (n *notes) unread(col int, format string, args ...any) { n.add(Unread, n.line, col, format, args) }

// lenient notes that more was read than the published grammar allows: once per kind, and in strict reading as
// something that could not be interpreted.
func (n *notes) lenient(k leniency, col int, format string, args ...any) {
	if n.strict {
		n.add(Unread, n.line, col, format, args)
		return
	}
	n.reading(k, col, format, args...)
}

// reading notes, once per kind, how something was read that the published grammar leaves open.
func (n *notes) reading(k leniency, col int, format string, args ...any) {
	if n.seen[k] {
		return
	}
	n.seen[k] = true
	n.add(Reading, n.line, col, format, args)
}

// at gives the place that is being read.
func (n *notes) at(col int) Pos { return Pos{File: n.file, Line: n.line, Col: col} }

func (n *notes) add(kind NoteKind, line, col int, format string, args []any) {
	if len(n.kept) >= maxNotes {
		n.dropped++
		return
	}
	pos := n.at(col)
	pos.Line = line
	note := Note{Kind: kind, Pos: pos, Message: fmt.Sprintf(format, args...)}
	if n.told[note] {
		return
	}
	if n.told == nil {
		n.told = make(map[Note]bool)
	}
	n.told[note] = true
	n.kept = append(n.kept, notedAt{note, n.cause})
}

// sorted gives all notes in order of the line of the main program.
func (n *notes) sorted() []Note {
	sort.SliceStable(n.kept, func(i, j int) bool { return n.kept[i].cause < n.kept[j].cause })
	out := make([]Note, 0, len(n.kept)+1)
	for _, k := range n.kept {
		out = append(out, k.Note)
	}
	if n.dropped > 0 {
		last := out[len(out)-1].Pos
		out = append(out, Note{Kind: Unread, Pos: Pos{File: last.File, Line: last.Line},
			Message: fmt.Sprintf("%d more notes were made than the %d kept; mend the first ones and read again",
				n.dropped, maxNotes)})
	}
	return out
}
