package chart

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"staydown/hold/dryrun"
	"staydown/hold/result"
	"staydown/parse"
)

// Height is how tall a part of a size may be before it tips.
//
// The stock is as thick as the part is tall, and weighs so much. The part is cut out with the closing pass; then, free,
// a step as deep as that pass and half as wide as the tool is cut round the top of it at the same feed: the load of a
// usual cut, as high above the table as it can be. Other loads on a part do not go with its height.
type Height struct {
	Shape     Shape
	SizeMM    float64
	FeedMMMin float64
	DepthMM   float64 // of the closing pass and of the step
	// From which height on the part tips, mm: by the low end of its margin, which is the one to go by, and by the
	// likely margin. +Inf: it stands at MostSlim. NaN: it gives way to that load in another way, however low it is.
	TipsMM, LikelyMM float64
	Mode             result.Mode // in which it gives way
}

// MostSlim is the height over the width beyond which nothing is tried.
const MostSlim = 4.0

const (
	mostTries = 12
	slimFirst = 2.0  // height over width that is tried first
	heightTol = 0.01 // of the margin at the height that is named
	// doubled is the step in the ladder from a size to twice the size.
	doubled = 3
)

// heights finds how tall the smallest part of a shape that holds with a thin last pass, and one twice that size, may be
// at the middle feed.
func (f *finder) heights(s Shape) error {
	r := f.result
	feed := len(r.FeedsMMMin) / 2
	points := r.curve(s, feed).Points
	thin := r.care(s, feed).ThinPassMM
	depth := len(points) - 2 // the last is no thin pass
	for depth >= 0 && points[depth].Smallest.High != thin {
		depth--
	}
	size := slices.Index(f.table.sizes, thin)
	if depth < 0 || size < 0 {
		return nil
	}
	for _, size := range []int{size, size + doubled} {
		if size >= f.roomFor(s) {
			break
		}
		height, ok, err := f.tipsFrom(trialKey{s, size, cut{way: Pass, depth: depth}}, feed)
		if err != nil {
			return err
		}
		if ok {
			f.mu.Lock()
			r.Heights = append(r.Heights, height)
			f.mu.Unlock()
		}
	}
	return nil
}

// tipsFrom finds the height at which a part tips. Against one load a margin of tipping goes with one over the height,
// which gives the next height to try. ok is false where that is not known.
func (f *finder) tipsFrom(k trialKey, feed int) (h Height, ok bool, err error) {
	at, ok, err := f.leastFavourable(k)
	if err != nil || !ok {
		return h, false, err
	}
	h = Height{Shape: k.shape, SizeMM: f.table.sizes[k.size], FeedMMMin: f.table.feeds[feed],
		DepthMM: f.table.depths[k.cut.depth]}
	asked, most := f.result.Margin, MostSlim*h.SizeMM
	stands, falls := 0.0, math.Inf(1) // heights at which it does
	height := slimFirst * h.SizeMM
	for range mostTries {
		t, known, err := f.runTall(k, at, feed, height)
		if err != nil || !known || math.IsNaN(t.low()) {
			return h, false, err
		}
		low, tips := t.low(), t.Mode == result.Tip
		h.Mode, h.TipsMM, h.LikelyMM = t.Mode, height, height*t.likely()/low
		switch {
		case low >= asked && height >= most:
			h.TipsMM, h.LikelyMM = math.Inf(1), math.Inf(1)
			return h, true, nil
		case low >= asked:
			stands = height
		case !tips && stands == 0, low <= 0:
			h.TipsMM, h.LikelyMM = math.NaN(), math.NaN()
			return h, true, nil
		default:
			falls = height
		}
		if tips && math.Abs(low/asked-1) <= heightTol || falls <= stands*(1+heightTol) {
			return h, true, nil
		}
		next := height * low / asked
		switch {
		case !tips && math.IsInf(falls, 1):
			next = most
		case !tips || next <= stands || next >= falls:
			next = math.Sqrt(stands * falls)
		}
		height = math.Min(next, most)
	}
	h.TipsMM = stands
	return h, stands > 0, nil
}

// runTall runs a part as tall as the stock in a place, with the step round its top; ok is false where there is no room.
func (f *finder) runTall(k trialKey, p place, feed int, heightMM float64) (trial Trial, ok bool, err error) {
	t := f.table
	j := *t.job
	j.Stock.Blanks = slices.Clone(j.Stock.Blanks)
	for i := range j.Stock.Blanks {
		j.Stock.Blanks[i].TopMM = j.Stock.BottomMM + heightMM
	}
	depth := t.depths[k.cut.depth]
	ring, fits := t.outline(k.shape, t.sizes[k.size], p)
	if !fits || depth >= heightMM || t.sizes[k.size] <= 2*t.tool.DiameterMM {
		return trial, false, nil
	}
	f.slots <- struct{}{}
	defer func() { <-f.slots }()
	path, diameter := f.path(k, ring), t.tool.DiameterMM
	// The passes down to the last two are one, which loads nothing but the sheet.
	_, prog, err := t.write([]dryrun.Contour{
		{Path: path, Care: dryrun.Care{SkinMM: math.Min(depth+diameter, heightMM/2)}},
		{Path: path, Care: dryrun.Care{ClosingMM: depth}, Turn: 1},
		{Path: dryrun.Follow(inset(k.shape, ring, diameter/2), false, diameter),
			Care: dryrun.Care{SkinMM: heightMM - depth}, Turn: 2},
	}, t.feeds[feed], &j)
	if err != nil {
		return trial, false, err
	}
	results, err := f.run(DryRuns{Swept: prog, Programs: []*parse.Program{prog}, Job: &j})
	if err != nil {
		return trial, false, err
	}
	trial = Trial{Shape: k.shape, SizeMM: t.sizes[k.size], DepthMM: depth, FeedMMMin: t.feeds[feed], Place: p.String()}
	trial.read(results[0], ring)
	return trial, true, nil
}

// inset is the outline of a shape a distance inside another of it.
func inset(s Shape, ring orb.Ring, mm float64) orb.Ring {
	b := ring.Bound()
	if s == Disc {
		return discRing(b.Center(), (b.Max[0]-b.Min[0])/2-mm)
	}
	return b.Pad(-mm).ToRing()
}
