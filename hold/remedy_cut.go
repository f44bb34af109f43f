package hold

import (
	"fmt"
	"math"

	"staydown/hold/wording"
	"staydown/parse"
	"staydown/sweep"
)

// leastFeedShare bounds proposed feeds, as a share of the programmed one: below, a cutter rubs more than it cuts.
const leastFeedShare = 0.2

// lowerFeed finds the highest feed, a whole number, that holds in the blocks of the findings.
func (p remedySearch) lowerFeed() string {
	var now float64
	for _, s := range p.steps {
		if m := p.a.prog.Moves.At(int(p.a.rec.Steps.At(s.step).Move)); m.Kind != parse.Rapid {
			now = math.Max(now, m.FeedMMMin)
		}
	}
	holds := func(p remedySearch, mmMin float64) bool { return p.cures(change{feedMMMin: mmMin}, nil) }
	feed := p.largest(leastFeedShare*now, now, holds)
	unit := p.a.writing().unitMM
	if feed == 0 || feed < unit {
		return ""
	}
	feed = down(feed, math.Max(unit, unit*twoDigits(feed/unit)))
	if !holds(p, feed) {
		return ""
	}
	return fmt.Sprintf("feed at most %s (now %s) in %s", p.a.feed(feed), p.a.feed(now), p.lines())
}

// maxPasses is the largest proposed number of passes.
const maxPasses = 6

// smallerPass looks for the greatest depth of cut that holds. A piece that is cut free needs a smaller last pass, and
// the one before it leaves it on a floor of that thickness, which has to hold it too; the stock and what still hangs on
// it feel every pass.
func (p remedySearch) smallerPass() string {
	depth := 0.0
	for _, c := range p.steps {
		if s := p.a.rec.Steps.At(c.step); s.Flags&(sweep.Plunge|sweep.Rub) == 0 {
			depth = math.Max(depth, float64(s.HighMM-s.LowMM))
		}
	}
	least := math.Max(p.a.job.Limits.LeastPassMM, p.a.writing().stepMM)
	if depth <= least {
		return ""
	}
	// With a thinner floor ahead of the tool less joins the piece: it has to hold without, all along its rim.
	holds := func(p remedySearch, mm float64) bool {
		c := change{passMM: mm}
		return p.cures(c, nil) && (p.rim() == nil || p.rimHolds(c, mm))
	}
	w := p.a.writing()
	pass := down(p.largest(up(least, w.stepMM), depth, holds), w.stepMM)
	if pass < least || !holds(p, pass) {
		return ""
	}
	through := 0
	for _, run := range p.runs {
		if p.breaksThrough(run) {
			through++
		}
	}
	words, where := "passes of at most %s (now %s) in %s", p.lines()
	switch {
	case through > 0 && p.rim() != nil:
		if through < len(p.runs) || !p.standsOnSkin(pass) {
			return ""
		}
		words, where = "a last pass of at most %s (now %s) in %s", wording.Lines(p.closingCut(pass).ranges...)
	case pass < depth/maxPasses:
		return ""
	case through == 0:
		words = "this pass at most %s deep (now %s) in %s"
	}
	return fmt.Sprintf(words, w.length(pass), w.length(down(depth, w.stepMM)), where)
}

// breaksThrough tells whether a stretch is in the pass that takes the last of the material.
func (p remedySearch) breaksThrough(run *stretch) bool {
	for step := run.first.step; step < p.a.rec.Steps.Len() && step <= run.lastStep; step++ {
		if p.a.rec.Steps.At(step).Flags&sweep.Breakthrough != 0 {
			return true
		}
	}
	return false
}

func (p remedySearch) downCut() string {
	if p.a.job.Tools[p.worst.tool].HelixRad <= 0 || !p.cures(change{downCut: true}, nil) {
		return ""
	}
	return fmt.Sprintf("a down-cut tool in place of tool %d", p.worst.tool)
}
