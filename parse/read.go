package parse

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"staydown/parse/units"
)

// assumedRapidMMMin is taken when Options give no rapid rate.
const assumedRapidMMMin = 10_000

// interp executes a program block by block.
type interp struct {
	opt       Options
	p         *Program
	say       notes
	scan      scanner
	par       params
	b         block
	modal     modal
	frame     frame
	sys       systems
	at        place
	polar     polar
	cycle     cycle
	comp      comp
	blend     blend
	arcFaults arcFaults

	cur     cursor
	file    *source // that is read
	main    source
	files   map[string]*source // subprogram files by name; nil for those that do not exist
	sub     int32              // of file
	subs    int32              // subprogram files met
	missing map[int]bool       // O-numbers of which there is no file
	// labels of O-word subprograms that are nowhere
	missingSub map[string]bool
	calls      []call
	level      level            // of the program or subprogram at hand
	bodies     map[bodyKey]bool // subprograms that were executed
	named      bool             // an O-number of the main program was met
	rapid      float64          // mm/min
	moved      bool             // any motion yet
	ended      bool             // reading stops
	endMet     bool             // because the program says so: M2, M30, M99
	blocks     int              // executed
	// lines read inside subprograms, and moves made by canned cycles
	repeated, cycleMoves int
	mostRepeated         int

	opened bool // a line with only % was met
	closed bool // a second one
	// a block stands behind the last line with only %
	behindPercent bool
	assumed       map[string]bool
	watched       map[int]string // lines whose modal state is wanted, and what it is; nil when all is read
	unseen        int            // of them
	discarding    bool
	feeds         []FeedBlock // nil unless they are wanted
}

// Read interprets a program. It never fails: whatever is wrong is a note in Program.Notes, and the moves are those
// that could be read.
//
// The moves follow each other end to start, except behind a block that could not be read. The program keeps src,
// which must not be changed afterwards.
func Read(src []byte, opt Options) *Program { return readWithin(src, opt, maxRepeatedBlocks) }

// readWithin reads a program of which at most so many lines are run again.
func readWithin(src []byte, opt Options, mostRepeated int) *Program {
	sum := sha256.Sum256(src)
	p := &Program{Name: opt.Name, SHA256: hex.EncodeToString(sum[:]), Lines: countLines(src), src: src, opt: opt}
	it := newInterp(p, opt)
	it.mostRepeated = mostRepeated
	if err := IsText(src); err != nil {
		it.say.line, it.say.cause = 1, 1
		it.say.unread(0, "%s", err)
		it.finish()
		return p
	}
	it.run()
	it.finish()
	return p
}

// DropText lets go of the program's bytes, which ReadIn, ModalAt and ModalsAt need, until TakeText brings them back.
func (p *Program) DropText() { p.src = nil }

// TakeText gives the program its bytes again. It fails when they are not those that were read.
func (p *Program) TakeText(src []byte) error {
	if sum := sha256.Sum256(src); hex.EncodeToString(sum[:]) != p.SHA256 {
		return errors.New("the file was changed while it was analysed; run again")
	}
	p.src = src
	return nil
}

// ReadIn reads the program again in other units, up to its first G20 or G21.
func (p *Program) ReadIn(u units.System) *Program {
	opt := p.opt
	opt.Units = u
	return Read(p.src, opt)
}

// ModalsAt prints the modal state that governs each of these lines of the main program, in their order: as it stands
// after the line's words have taken effect for the first time, with the place of the tool tip behind it. It is empty
// for a line below 1. The program is read again once, up to the last of them.
func (p *Program) ModalsAt(lines []int) []string {
	out := make([]string, len(lines))
	it := newInterp(&Program{Name: p.Name, src: p.src, opt: p.opt}, p.opt)
	it.watched, it.discarding = map[int]string{}, true
	for _, line := range lines {
		if line >= 1 {
			it.watched[line] = ""
		}
	}
	if it.unseen = len(it.watched); it.unseen == 0 || IsText(p.src) != nil {
		return out
	}
	it.run()
	for i, line := range lines {
		if out[i] = it.watched[line]; line >= 1 && out[i] == "" {
			out[i] = it.state() // the program ends before
		}
	}
	return out
}

func (it *interp) state() string { return it.modal.String() + it.at.words(&it.modal) }

func newInterp(p *Program, opt Options) *interp {
	it := &interp{opt: opt, p: p, modal: startModal(), sys: newSystems(opt), rapid: opt.RapidMMMin,
		mostRepeated: maxRepeatedBlocks}
	it.modal.centreAbsolute = opt.ArcCentresAbsolute
	if opt.Units != units.Unchosen {
		it.modal.inch, it.modal.unitsGiven = opt.Units == units.Inch, true
		p.Units = opt.Units
	}
	it.b.ownM = ownM(opt)
	it.say = notes{strict: opt.Strict, file: opt.Name, caller: opt.Name}
	it.scan.say, it.scan.params = &it.say, &it.par
	it.par.control = it.controlParam
	it.main = source{name: opt.Name, src: p.src}
	it.read(&it.main, cursor{src: p.src})
	it.frame.cos = 1
	it.frame.origin, _ = it.sys.origin(1)
	it.at = startPlace(opt)
	if !(it.rapid > 0) {
		it.rapid = assumedRapidMMMin
	}
	p.Moves.rapid = it.rapid
	return it
}

func countLines(src []byte) int {
	n := 0
	for c := (cursor{src: src}); ; n++ {
		if _, ok := c.next(); !ok {
			return n
		}
	}
}

// assume lists a value that was chosen for want of one given.
func (it *interp) assume(format string, args ...any) {
	s := fmt.Sprintf(format, args...)
	if it.assumed[s] {
		return
	}
	if it.assumed == nil {
		it.assumed = make(map[string]bool)
	}
	it.assumed[s] = true
	it.p.Assumed = append(it.p.Assumed, s)
}

// run reads lines until the program ends.
func (it *interp) run() {
	it.skipLeader()
	for !it.ended {
		line, ok := it.cur.next()
		if !ok {
			if !it.returnFromCall(true) {
				break
			}
			continue
		}
		it.say.line = it.cur.line
		if it.sub == 0 {
			it.say.cause = it.cur.line
		}
		if it.feeds != nil {
			it.readForFeed(line)
			continue
		}
		it.line(line)
		if it.watched == nil || it.sub != 0 {
			continue
		}
		if state, ok := it.watched[it.cur.line]; ok && state == "" {
			it.watched[it.cur.line] = it.state()
			if it.unseen--; it.unseen == 0 {
				return
			}
		}
	}
	it.atEnd()
}

// line reads one line.
func (it *interp) line(line []byte) {
	if it.isRepeated() {
		if it.repeated += 1 + len(line)/16; it.repeated > it.mostRepeated {
			it.stopReading(0, "more than %d lines are run again in loops and subprograms; reading stops here",
				it.mostRepeated)
			return
		}
	}
	if len(line) > publishedLineBytes {
		if len(line) > maxLineBytes {
			it.say.unread(maxLineBytes+1,
				"the line is longer than %d bytes; its motion is not read, split it", maxLineBytes)
			it.keepModes(plainWords(line))
			return
		}
		it.say.lenient(lenLongLine, publishedLineBytes+1, "a line longer than %d characters; read to its end",
			publishedLineBytes)
	}
	if it.cur.line == 1 && bytes.HasPrefix(line, byteOrderMark) {
		it.say.lenient(lenByteOrderMark, 1, "a byte-order mark; skipped")
		line = bytes.Replace(line, byteOrderMark, []byte("   "), 1)
	}
	if it.percent(line) {
		return
	}
	if err := it.scan.scan(line, it.opt.BlockDelete); err != nil {
		it.noteError(err)
		it.countBlock()
		if !(it.scan.deleted && it.opt.BlockDelete) {
			it.keepModes(plainWords(line))
		}
		return
	}
	if it.scan.program >= 0 && !it.programStart(it.scan.program) {
		return
	}
	if len(it.scan.words) > 0 || len(it.scan.settings) > 0 || it.scan.flow.kind != noFlow {
		it.countBlock()
		it.runBlock()
	}
}

// noteError notes why a line cannot be read.
func (it *interp) noteError(err error) {
	var e *readError
	if errors.As(err, &e) {
		it.say.unread(e.col, "%s", e.msg)
	}
}

// countBlock counts a line that carries words, the first time that it is met.
func (it *interp) countBlock() {
	if !it.isRepeated() {
		it.p.Blocks++
	}
}

// runBlock executes the words, settings or flow control of the line that was scanned.
func (it *interp) runBlock() {
	if it.closed {
		it.say.lenient(lenPercentRemark, 1, "a block behind the second percent sign; reading goes on")
		it.behindPercent = true
	}
	if it.scan.deleted {
		if it.opt.BlockDelete {
			return
		}
		it.say.reading(lenSlashRun, 1, "a block that begins with a slash is executed; if the machine's block delete "+
			"switch is ever on, check with --block-delete as well")
	}
	if it.blocks++; it.blocks > maxBlocks {
		it.stopReading(0, "more than %d blocks are executed; reading stops here", maxBlocks)
		return
	}
	words := it.scan.words
	switch {
	case it.scan.flow.kind != noFlow:
		it.flow(&it.scan.flow)
		return
	case len(words) == 0:
	case it.b.fill(words, it.modal.incremental, &it.say):
		it.execute(&it.b)
	default:
		it.keepModes(words)
	}
	for _, s := range it.scan.settings {
		it.set(s)
	}
	if it.discarding && it.p.Moves.Len() > 4096 && it.modal.side == 0 && !it.blend.pending {
		it.p.Moves, it.at.pending = Moves{rapid: it.rapid}, it.at.pending[:0]
		it.p.ToolCalls, it.p.Stops, it.p.Coolant, it.p.Unplaced, it.p.Outputs = nil, nil, nil, nil, nil
	}
}
