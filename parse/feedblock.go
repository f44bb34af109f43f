package parse

import "staydown/parse/units"

// FeedBlock is an executed line of a program with what decides its feed.
type FeedBlock struct {
	Line      int  // 1-based
	Main      bool // of the main file, not of a subprogram file
	Deletable bool // it begins with a block-delete slash
	PerMinute bool // G94 governs it
	Axes      bool // it names an axis or the center of an arc
	// FeedMMMin is the feed that the block leaves to the next one, mm/min; under G93 and G95 a number that is no speed.
	FeedMMMin float64
	UnitMM    float64 // length of the unit in which its F is written
	Sets      bool    // it holds an F that is a feed
	// Word is where that F stands in the line, in bytes from 0, the end excluded. Both are 0 where its number is
	// computed.
	Word [2]int
	// Room is where an F word may be put, in bytes from 0: behind the last word or, where the end of that is a computed
	// number, before the first; below 0 where the line could not be read as a block.
	Room int
}

// FeedBlocks lists the executed lines in the order of execution; a line that runs more than once comes as often. The
// program, whose text must be at hand, is read again.
func (p *Program) FeedBlocks() []FeedBlock {
	if IsText(p.src) != nil {
		return nil
	}
	it := newInterp(&Program{Name: p.Name, src: p.src, opt: p.opt}, p.opt)
	it.feeds = []FeedBlock{}
	it.run()
	return it.feeds
}

// WithText reads another text as this one was read.
func (p *Program) WithText(src []byte) *Program { return Read(src, p.opt) }

// readForFeed executes a line and lists it.
func (it *interp) readForFeed(line []byte) {
	f := FeedBlock{Line: it.cur.line, Main: it.sub == 0, Room: -1}
	before := it.modal.feed
	it.b.has, it.b.words, it.scan.words, it.scan.deleted = 0, 0, it.scan.words[:0], false
	it.line(line)
	b, m := &it.b, &it.modal
	f.Deletable, f.PerMinute, f.FeedMMMin, f.UnitMM = it.scan.deleted, m.feedMode == perMinute, m.feed, m.unitMM()
	f.Axes = b.hasAxis() || b.has&centreWords != 0
	f.Sets = b.got('F') && !b.dwellsByF() || m.feed != before && m.feed != 0
	words := it.scan.words
	if b.words > 0 && len(words) > 0 {
		if f.Room = numberEnd(line, int(words[len(words)-1].col)-1); f.Room == 0 {
			f.Room = int(words[0].col) - 1
		}
		if b.got('F') && !b.dwellsByF() {
			if end := numberEnd(line, b.at('F')-1); end > 0 {
				f.Word = [2]int{b.at('F') - 1, end}
			}
		}
	}
	it.feeds = append(it.feeds, f)
}

// numberEnd gives the end of the word that begins at an offset of the line if its number is written out; else 0.
func numberEnd(line []byte, at int) int {
	end := 0
	for i := at + 1; i < len(line); i++ {
		switch c := line[i]; {
		case isDigit(c) || c == '.':
			end = i + 1
		case isBlank(c) || end == 0 && (c == '+' || c == '-'):
		default:
			return end
		}
	}
	return end
}

// FeedWord writes a feed as an F word of the program, or where F is none as a speed in the units of the shop.
func (p *Program) FeedWord(shop units.System, mmMin float64) string {
	if p.OtherFeeds {
		return shop.Feed().Text(mmMin)
	}
	return "F" + p.Units.Feed().Number(mmMin)
}
