package hold

import (
	"fmt"
	"math"

	"staydown/hold/internal/steploads"
	"staydown/hold/result"
	"staydown/hold/wording"
	"staydown/parse"
	"staydown/parse/units"
	"staydown/sweep"
)

// lowerFeed gives the feed of highestFeed also in words; 0 and "" when none holds.
func (p remedySearch) lowerFeed() (mmMin float64, words string) {
	feed, now := p.highestFeed()
	if feed == 0 {
		return 0, ""
	}
	return feed, fmt.Sprintf("feed at most %s (now %s) in %s", p.a.prog.FeedWord(p.a.units, feed),
		p.a.prog.FeedWord(p.a.units, now), p.lines())
}

// highestFeed finds the highest feed, a whole number, that holds in the blocks of the findings, and the highest there
// now, mm/min; 0 when none holds.
func (p remedySearch) highestFeed() (mmMin, now float64) {
	for _, s := range p.steps {
		if m := p.a.prog.Moves.At(int(p.a.rec.Steps.At(s.step).Move)); m.Kind != parse.Rapid {
			now = math.Max(now, m.FeedMMMin)
		}
	}
	holds := func(p remedySearch, mmMin float64) bool {
		return p.cures(change{Change: steploads.Change{FeedMMMin: mmMin}}, nil)
	}
	feed := p.largest(result.LeastFeedShare*now, now, holds)
	unit := p.a.prog.Units.Length().Size
	if feed == 0 || feed < unit {
		return 0, now
	}
	feed = down(feed, math.Max(unit, unit*units.DigitStep(feed/unit, 2)))
	if feed < result.LeastFeedShare*now || !holds(p, feed) {
		return 0, now
	}
	return feed, now
}

// maxPasses is the largest proposed number of passes.
const maxPasses = 6

// smallerPass looks for the greatest depth of cut that holds. A piece that is cut free needs a smaller last pass, and
// the one before it leaves it on a floor of that thickness, which has to hold it too; the stock and what still hangs on
// it feel every pass.
func (p remedySearch) smallerPass() string {
	least, depth := p.passDepths()
	if depth <= least {
		return ""
	}
	w, through, rim := p.a.writing(), p.runsThrough(), p.rim() != nil
	words, where, pass := "passes of at most %s (now %s) in %s", p.lines(), 0.0
	if rim && through > 0 {
		if through < len(p.runs) {
			return ""
		}
		if pass = p.lastPass(); pass == 0 {
			return ""
		}
		words, where = "a last pass of at most %s (now %s) in %s", wording.Lines(p.closingCut(pass).ranges...)
	} else {
		// With a thinner floor ahead of the tool less joins the piece: it has to hold without, all along its rim.
		holds := func(p remedySearch, mm float64) bool {
			c := change{Change: steploads.Change{PassMM: mm}}
			return p.cures(c, nil) && (!rim || p.rimHolds(c, mm))
		}
		pass = down(p.largest(up(least, w.stepMM()), depth, holds), w.stepMM())
		if pass < math.Max(least, depth/maxPasses) || !holds(p, pass) {
			return ""
		}
		if through == 0 {
			words = "this pass at most %s deep (now %s) in %s"
		}
	}
	return fmt.Sprintf(words, w.length(pass), w.length(down(depth, w.stepMM())), where)
}

// passDepths are the least useful depth of a pass and the greatest in the blocks of the findings.
func (p remedySearch) passDepths() (leastMM, depthMM float64) {
	for _, c := range p.steps {
		if s := p.a.rec.Steps.At(c.step); s.Flags&(sweep.Plunge|sweep.Rub) == 0 {
			depthMM = math.Max(depthMM, float64(s.HighMM-s.LowMM))
		}
	}
	return math.Max(p.a.job.Limits.LeastPassMM, p.a.writing().stepMM()), depthMM
}

// runsThrough counts the stretches that are in the pass that takes the last of the material.
func (p remedySearch) runsThrough() int {
	through := 0
	for _, run := range p.runs {
		if p.breaksThrough(run) {
			through++
		}
	}
	return through
}

func (p remedySearch) breaksThrough(run *stretch) bool {
	for step := run.first.step; step < p.a.rec.Steps.Len() && step <= run.lastStep; step++ {
		if p.a.rec.Steps.At(step).Flags&sweep.Breakthrough != 0 {
			return true
		}
	}
	return false
}

func (p remedySearch) downCut() string {
	if p.a.job.Tools[p.worst.tool].HelixRad <= 0 || !p.cures(change{Change: steploads.Change{DownCut: true}}, nil) {
		return ""
	}
	return fmt.Sprintf("a down-cut tool in place of tool %d", p.worst.tool)
}
