package cutload

import (
	"math"
	"slices"
	"sync"

	"staydown/hold/job"
	"staydown/hold/material"
	"staydown/parse"
)

// What a Cache takes for the same cut. Every step goes towards the larger load: a wider arc, a deeper cut that holds
// the given one, more feed, a steeper descent. Only the height of the force may come out lower, by half of gapStepMM.
const (
	arcStep      = math.Pi / 180
	arcSlack     = arcStep / 50 // a slot stays a slot in single precision
	sameShare    = 1.01         // depth and feed per turn: one step of a geometric series
	gapStepMM    = tipMM
	rampStep     = 0.5 * math.Pi / 180
	widthStepMM  = 0.1
	maxCacheKeys = 1 << 15 // about 1.5 kB each; a full cache is emptied: the next cuts are like the last ones
)

// Cache remembers the loads of one material. It rounds every cut towards the larger load before it looks at it, so that
// what it gives does not depend on what was asked before. It is safe for concurrent use.
type Cache struct {
	work   material.Work
	coarse float64 // steps that are taken as one

	mu    sync.RWMutex
	tools []job.Tool // a handful, so that looking through them takes less than their hash
	loads map[cacheKey]Load
}

// cacheKey is a rounded cut of a tool: whole numbers of steps.
type cacheKey struct {
	tool                          int32 // place among the tools
	right, left, ramp             int32 // arcs and slopes
	depth, feed                   int32 // steps of the series
	gap, width                    int32
	spindle                       parse.Spindle
	plunge, rub, through, retract bool
}

// NewCache makes an empty cache for a material.
func NewCache(work material.Work) *Cache {
	return &Cache{work: work, coarse: 1, loads: make(map[cacheKey]Load)}
}

// coarseSteps is the number of steps that a coarse cache takes as one: arcs of 10 degrees, depth and feed of a tenth.
const coarseSteps = 10

// NewCoarseCache makes an empty cache that rounds more, for bounds that need not be near: its peaks are not below the
// exact ones. Short moves over a face are all different, but hardly after such a rounding.
func NewCoarseCache(work material.Work) *Cache {
	return &Cache{work: work, coarse: coarseSteps, loads: make(map[cacheKey]Load)}
}

// Cutting is the load of a cut rounded to the steps of the cache: about one per cent more than that of the function
// Cutting. It fails as that does.
func (c *Cache) Cutting(tool job.Tool, cut Cut) (Load, error) {
	if err := validate(c.work, tool, cut); err != nil {
		return Load{}, err
	}
	key := keyOf(tool, cut, c.coarse)
	c.mu.RLock()
	key.tool = int32(slices.Index(c.tools, tool))
	load, ok := c.loads[key]
	c.mu.RUnlock()
	if !ok {
		load = cutting(c.work, tool, key.cut())
		c.keep(tool, key, load)
	}
	load.PowerW = power(load.MeanTorqueNmm, cut.RPM)
	return load, nil
}

// keep enters the load of a tool.
func (c *Cache) keep(tool job.Tool, key cacheKey, load Load) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.loads) >= maxCacheKeys {
		clear(c.loads)
		c.tools = c.tools[:0]
	}
	if key.tool = int32(slices.Index(c.tools, tool)); key.tool < 0 {
		key.tool = int32(len(c.tools))
		c.tools = append(c.tools, tool)
	}
	c.loads[key] = load
}

// keyOf rounds a cut to steps, or to so many of them; the key lacks the tool's place.
func keyOf(tool job.Tool, cut Cut, coarse float64) cacheKey {
	down := func(steps float64) int32 { return int32(coarse * math.Floor(steps/coarse)) }
	up := func(steps float64) int32 { return int32(coarse * math.Ceil(steps/coarse)) }
	gap := down(cut.TipGapMM/gapStepMM + 1e-6)
	key := cacheKey{
		right:   down((cut.RightRad + arcSlack) / arcStep),
		left:    up((cut.LeftRad - arcSlack) / arcStep),
		gap:     gap,
		depth:   up(stepsOf(cut.DepthMM + math.Max(0, cut.TipGapMM-float64(gap)*gapStepMM))),
		feed:    up(stepsOf(cut.FeedMMMin / cut.RPM)),
		ramp:    up(cut.RampRad/rampStep - 1e-6),
		spindle: cut.Spindle,
		plunge:  cut.Plunge, rub: cut.Rub, through: cut.Breakthrough, retract: cut.Retract,
	}
	if bores(tool, cut) {
		key.width = up(cut.WidthMM/widthStepMM - 1e-6)
	}
	return key
}

// cut is what a key stands for, at 1 turn per minute.
func (k cacheKey) cut() Cut {
	return Cut{
		RightRad:  float64(k.right) * arcStep,
		LeftRad:   math.Max(float64(k.left), float64(k.right)) * arcStep,
		DepthMM:   valueOf(k.depth),
		FeedMMMin: valueOf(k.feed), RPM: 1,
		TipGapMM: float64(k.gap) * gapStepMM,
		RampRad:  math.Min(float64(k.ramp)*rampStep, math.Pi/2),
		WidthMM:  float64(k.width) * widthStepMM,
		Spindle:  k.spindle,
		Plunge:   k.plunge, Rub: k.rub, Breakthrough: k.through, Retract: k.retract,
	}
}

// stepsOf is the place of a value in the series sameShare^n; values below a nanometer count as 0.
func stepsOf(v float64) float64 {
	if v < 1e-6 {
		return math.MinInt32
	}
	return math.Log(v)/math.Log(sameShare) - 1e-9
}

func valueOf(steps int32) float64 {
	if steps == math.MinInt32 {
		return 0
	}
	return math.Pow(sameShare, float64(steps))
}
