package chart

import (
	"maps"
	"math"
	"slices"

	"staydown/hold/result"
)

// Between sizes, depths and feeds a margin goes one way: larger parts, thinner passes and lower feeds hold no worse. So
// the passes are taken from the deepest to the thinnest, each from the sizes on that hold in the one before, and every
// size that is named as the smallest was tried, as was the next smaller one, which does not hold.

// passes finds the smallest sizes of a shape by depth and feed.
func (f *finder) passes(s Shape) error {
	r := f.result
	from := slices.Repeat([]int{f.roomFor(s)}, len(r.FeedsMMMin))
	for d := len(r.DepthsMM) - 1; d >= 0; d-- {
		c := cut{way: Pass, depth: d}
		sizes, err := f.smallestByFeed(s, c, from)
		if err != nil {
			return err
		}
		if !f.betweenDepths(d) {
			if err := f.nearLikely(s, c, sizes); err != nil {
				return err
			}
		}
		likely := f.crossings(s, c, sizes, Trial.likely)
		low := f.crossings(s, c, sizes, Trial.high)
		for k, size := range sizes {
			p := &r.curve(s, k).Points[d]
			p.DepthMM = r.DepthsMM[d]
			p.Smallest = result.Range{Low: low[k], Likely: likely[k], High: f.sizeMM(s, size)}
			if t, ok := f.known(trialKey{s, size, c}, k); ok {
				p.At = t
			}
		}
		from = sizes
	}
	for k := range r.FeedsMMMin {
		f.readBetweenDepths(r.curve(s, k).Points)
	}
	return nil
}

// betweenDepths tells whether the likely sizes at a depth of the closing pass are read between those of its neighbors:
// every second one is, from the deepest but one on, which is the last of several passes.
func (f *finder) betweenDepths(d int) bool {
	last := len(f.result.DepthsMM) - 1
	return d > 0 && d < last && (last-d)%2 == 0
}

// readBetweenDepths reads the likely sizes, and their low ends, of every second point of a curve between its neighbors:
// their logarithms go in a straight line with that of the depth. Where a neighbor has none, what was tried at the depth
// itself counts. No size is larger than the next end of its range.
func (f *finder) readBetweenDepths(points []Point) {
	for d := range points {
		p := &points[d]
		if f.betweenDepths(d) {
			a, b := &points[d-1], &points[d+1]
			at := math.Log(p.DepthMM/a.DepthMM) / math.Log(b.DepthMM/a.DepthMM)
			read := func(mm *float64, a, b float64) {
				if !math.IsInf(a+b, 1) {
					*mm = math.Exp((1-at)*math.Log(a) + at*math.Log(b))
				}
			}
			read(&p.Smallest.Likely, a.Smallest.Likely, b.Smallest.Likely)
			read(&p.Smallest.Low, a.Smallest.Low, b.Smallest.Low)
		}
	}
	for d := range points {
		s := &points[d].Smallest
		s.Likely = min(s.High, s.Likely)
		s.Low = min(s.Likely, s.Low)
	}
}

// smallestByFeed finds, by feed, the place in the ladder of the smallest size that keeps the required margin by its low
// end; roomFor if there is none. from are those of a deeper pass, from which on all sizes hold. Where the next smaller
// one fails, that is tried again, and larger ones are taken where it fails.
func (f *finder) smallestByFeed(s Shape, c cut, from []int) (sizes []int, err error) {
	sizes = slices.Clone(from)
	next := map[int][]int{} // feeds, by the size that they try next
	for k := range from {
		next[from[k]-1] = append(next[from[k]-1], k)
	}
	for len(next) > 0 {
		tried := next
		next = map[int][]int{}
		for _, size := range slices.Backward(slices.Sorted(maps.Keys(tried))) {
			if size < 0 {
				continue
			}
			slices.Sort(tried[size])
			if err = f.try(trialKey{s, size, c}, tried[size]); err != nil {
				return nil, err
			}
			for _, k := range tried[size] {
				switch holds := f.holds(trialKey{s, size, c}, k); {
				case holds:
					if sizes[k] = size; size < from[k] {
						next[size-1] = append(next[size-1], k)
					}
				case size == from[k]-1 && from[k] < f.roomFor(s):
					next[from[k]] = append(next[from[k]], k)
				case size == from[k]:
					if sizes[k], err = f.larger(s, c, k, size+1); err != nil {
						return nil, err
					}
				}
			}
		}
	}
	return sizes, nil
}

// larger is the first size from a place in the ladder on that holds at a feed.
func (f *finder) larger(s Shape, c cut, feed, size int) (int, error) {
	for ; size < f.roomFor(s); size++ {
		key := trialKey{s, size, c}
		if err := f.try(key, []int{feed}); err != nil {
			return 0, err
		}
		if f.holds(key, feed) {
			break
		}
	}
	return size, nil
}

// nearLikely tries the least and the greatest feed once more, at that size of the ladder at which its likely margin is
// expected to be the required one, by a slope that is usual: then the crossing lies between sizes that were tried, or
// near one.
func (f *finder) nearLikely(s Shape, c cut, sizes []int) error {
	const usualSlope = 2.0 // of the logarithm of a margin over that of the size
	top := f.roomFor(s)
	ask := map[int][]int{} // feeds, by size
	for k, size := range sizes {
		if f.betweenFeeds(k) {
			continue
		}
		size = min(size, top-1)
		log, ok := f.logMargin(trialKey{s, size, c}, k, Trial.likely)
		if !ok {
			continue
		}
		at := f.table.sizes[size] * math.Exp((math.Log(f.result.Margin)-log)/usualSlope)
		near := 0
		for i := range size {
			if math.Abs(math.Log(f.table.sizes[i]/at)) < math.Abs(math.Log(f.table.sizes[near]/at)) {
				near = i
			}
		}
		ask[near] = append(ask[near], k)
	}
	for _, size := range slices.Sorted(maps.Keys(ask)) {
		if err := f.try(trialKey{s, size, c}, ask[size]); err != nil {
			return err
		}
	}
	return nil
}

// betweenFeeds tells whether the likely size of a feed is read between those of the least and the greatest.
func (f *finder) betweenFeeds(k int) bool { return k > 0 && k < len(f.result.FeedsMMMin)-1 }

// crossings are the sizes, mm, by feed, at which a margin falls below the required one. Between the least and the
// greatest feed the logarithm of the size goes in a straight line with that of the feed: a cutting force is a constant
// and a power of the feed below 1, which for feeds one to six strays from such a line by 3 % of the size. Where one of
// the two has none, the sizes that were tried at the feed itself count.
func (f *finder) crossings(s Shape, c cut, high []int, margin func(Trial) float64) []float64 {
	out := make([]float64, len(high))
	for k := range out {
		out[k] = f.crossing(s, c, k, high[k], margin)
	}
	feeds, last := f.result.FeedsMMMin, len(high)-1
	if math.IsInf(out[0]+out[last], 1) {
		return out
	}
	for k := range out {
		if f.betweenFeeds(k) {
			at := math.Log(feeds[k]/feeds[0]) / math.Log(feeds[last]/feeds[0])
			out[k] = math.Exp((1-at)*math.Log(out[0]) + at*math.Log(out[last]))
		}
	}
	return out
}

// crossing is the size, mm, at which a margin of a feed falls below the required one; +Inf if it does at the largest
// one. high is the place in the ladder of the smallest size that holds by its low end.
//
// Margins go in straight lines between the logarithms of the sizes tried, and below the smallest of them on the line
// through it and the largest. TestRangeOfASmallestSize bounds the error.
func (f *finder) crossing(s Shape, c cut, feed, high int, margin func(Trial) float64) float64 {
	asked := math.Log(f.result.Margin)
	type tried struct{ size, margin float64 } // logarithms
	var all []tried
	for size := min(high, f.roomFor(s)-1); size >= 0; size-- {
		log, ok := f.logMargin(trialKey{s, size, c}, feed, margin)
		if !ok {
			continue
		}
		t := tried{math.Log(f.table.sizes[size]), log}
		if log < asked {
			if len(all) == 0 {
				return math.Inf(1)
			}
			over := all[len(all)-1]
			return math.Exp(over.size - (over.margin-asked)/(over.margin-log)*(over.size-t.size))
		}
		all = append(all, t)
	}
	if len(all) == 0 {
		return math.Inf(1)
	}
	first, last := all[0], all[len(all)-1]
	if !(first.margin > last.margin) { // one size, or nothing that tells a slope: no smaller than what was tried
		return math.Exp(last.size)
	}
	slope := (first.margin - last.margin) / (first.size - last.size)
	return math.Max(f.table.sizes[0], math.Exp(last.size-(last.margin-asked)/slope))
}

// logMargin is the logarithm of a margin that was tried.
func (f *finder) logMargin(k trialKey, feed int, margin func(Trial) float64) (log float64, ok bool) {
	const least = 1e-3 // what is smaller moves in any case
	t, ok := f.known(k, feed)
	if m := margin(t); ok && !math.IsNaN(m) {
		return math.Log(max(m, least)), true
	}
	return 0, false
}

// cares finds the smallest parts with and without care.
func (f *finder) cares(s Shape) error {
	r := f.result
	var faster [2]int // of skin and tabs: found for the next greater feed, and enough for this one
	for k := len(r.FeedsMMMin) - 1; k >= 0; k-- {
		c := r.care(s, k)
		points := r.curve(s, k).Points
		c.NoCareMM, c.ThinPassMM = points[len(points)-1].Smallest.High, math.Inf(1)
		for _, p := range points {
			c.ThinPassMM = min(c.ThinPassMM, p.Smallest.High)
		}
		thin := f.roomFor(s)
		if i := slices.Index(f.table.sizes, c.ThinPassMM); i >= 0 {
			thin = i
		}
		for i, way := range []Way{Skin, Tabs} {
			high := thin
			if k < len(r.FeedsMMMin)-1 {
				high = min(high, faster[i])
			}
			size, err := f.smallestJoined(s, cut{way: way}, k, high)
			if err != nil {
				return err
			}
			faster[i] = size
			*[]*float64{&c.SkinMM, &c.TabsMM}[i] = f.sizeMM(s, size)
		}
	}
	return nil
}

// smallestJoined is the smallest size that holds on joins at a feed, by bisection below one from which on sizes hold: a
// skin and tabs carry no less as a part grows. At the greatest feed the smallest of all is tried first, since it mostly
// holds; at others the one below that of the next greater feed, since it mostly does not.
func (f *finder) smallestJoined(s Shape, c cut, feed, high int) (int, error) {
	low, mid := 0, 0
	if feed < len(f.result.FeedsMMMin)-1 {
		mid = high - 1
	}
	for low < high {
		key := trialKey{s, mid, c}
		if err := f.try(key, []int{feed}); err != nil {
			return 0, err
		}
		if f.holds(key, feed) {
			high = mid
		} else {
			low = mid + 1
		}
		mid = (low + high) / 2
	}
	return low, nil
}
