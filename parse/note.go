package parse

import (
	"fmt"
	"maps"
	"slices"
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
	lenSlashRun
	lenMissingFinal
	lenHighParam
	lenNamedParam
	lenVacant
	lenFlow
	lenCallArgument
	lenToolOffset
	lenBareAxis
	lenColonNumber
	lenQuietMode
	lenDwellF
	lenProjectedComp
	lenLengthVariant
	lenSystemP
	lenCycleWord
	lenPeckI
	lenExtendedOrigin
	lenPocket
	lenCoolantVariant
	lenOverride
	lenWait
	leniencyCount
)

// notes collects what there is to say. It knows the place that is being read.
type notes struct {
	strict bool
	file   string
	line   int    // in file
	cause  int    // line of the main program that led there
	caller string // the main program's file

	seen    [leniencyCount]bool
	told    map[noteKey]int // index in kept
	kept    []notedAt
	dropped int
}

// noteKey tells notes apart: the same about another line is one note.
type noteKey struct {
	kind    NoteKind
	file    string
	message string
}

type notedAt struct {
	Note
	cause int
	again map[int]bool // further lines of the file of which it is true
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
	pos := n.at(col)
	pos.Line = line
	note := Note{Kind: kind, Pos: pos, Message: fmt.Sprintf(format, args...)}
	key := noteKey{kind, n.file, note.Message}
	if i, told := n.told[key]; told {
		n.kept[i].addLine(line)
		return
	}
	if len(n.kept) >= maxNotes {
		n.dropped++
		return
	}
	if n.told == nil {
		n.told = make(map[noteKey]int)
	}
	n.told[key] = len(n.kept)
	n.kept = append(n.kept, notedAt{Note: note, cause: n.cause})
	if kind == Unread && n.caller != "" && n.file != n.caller {
		n.tellCaller(line)
	}
}

// addLine keeps a further line, as far as there is room.
func (k *notedAt) addLine(line int) {
	if line == k.Pos.Line || len(k.again) >= maxNoteLines {
		return
	}
	if k.again == nil {
		k.again = make(map[int]bool)
	}
	k.again[line] = true
}

// text is the message with the further lines of which it is true.
func (k *notedAt) text() string {
	if len(k.again) == 0 {
		return k.Message
	}
	lines := slices.Sorted(maps.Keys(k.again))
	list := lineList(lines)
	if len(lines) >= maxNoteLines {
		list += " and more"
	}
	return k.Message + " (so too in " + list + ")"
}

// tellCaller notes, at the line of the main program that led to a subprogram file, that something in that file is not
// read.
func (n *notes) tellCaller(line int) {
	file := n.file
	n.file = n.caller
	n.add(Unread, n.cause, 0, "what this line calls has blocks that are not read; see %s, first in line %d",
		[]any{file, line})
	n.file = file
}

// sorted gives all notes in order of the line of the main program.
func (n *notes) sorted() []Note {
	sort.SliceStable(n.kept, func(i, j int) bool { return n.kept[i].cause < n.kept[j].cause })
	out := make([]Note, 0, len(n.kept)+1)
	for i := range n.kept {
		note := n.kept[i].Note
		note.Message = n.kept[i].text()
		out = append(out, note)
	}
	if n.dropped > 0 {
		last := out[len(out)-1].Pos
		out = append(out, Note{Kind: Unread, Pos: Pos{File: last.File, Line: last.Line},
			Message: fmt.Sprintf("%d more notes were made than the %d kept; mend the first ones and read again",
				n.dropped, maxNotes)})
	}
	return out
}
