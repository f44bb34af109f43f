package cutload

import (
	"math"
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
	work material.Work

	mu    sync.RWMutex
	loads map[cacheKey]Load
}

// cacheKey is a rounded cut of a tool: whole numbers of steps.
type cacheKey struct {
	tool                          job.Tool
	right, left, ramp             int32 // arcs and slopes
	depth, feed                   int32 // steps of the series
	gap, width                    int32
	spindle                       parse.Spindle
	plunge, rub, through, retract bool
}

// NewCache makes an empty cache for a material.
func NewCache(work material.Work) *Cache {
	return &Cache{work: work, loads: make(map[cacheKey]Load)}
}

// Cutting is the load of a cut rounded to the steps of the cache: about one per cent more than that of the function
// Cutting. It fails as that does.
func (c *Cache) Cutting(tool job.Tool, cut Cut) (Load, error) {
	if err := validate(c.work, tool, cut); err != nil {
		return Load{}, err
	}
	key := keyOf(tool, cut)
	c.mu.RLock()
	load, ok := c.loads[key]
	c.mu.RUnlock()
	if !ok {
		load = cutting(c.work, tool, key.cut())
		c.mu.Lock()
		if len(c.loads) >= maxCacheKeys {
			clear(c.loads)
		}
		c.loads[key] = load
		c.mu.Unlock()
	}
	load.PowerW = power(load.MeanTorqueNmm, cut.RPM)
	return load, nil
}

func keyOf(tool job.Tool, cut Cut) cacheKey {
	gap := math.Floor(cut.TipGapMM/gapStepMM + 1e-6)
	key := cacheKey{
		tool:    tool,
		right:   int32(math.Floor((cut.RightRad + arcSlack) / arcStep)),
		left:    int32(math.Ceil((cut.LeftRad - arcSlack) / arcStep)),
		gap:     int32(gap),
		depth:   stepsUp(cut.DepthMM + math.Max(0, cut.TipGapMM-gap*gapStepMM)),
		feed:    stepsUp(cut.FeedMMMin / cut.RPM),
		ramp:    int32(math.Ceil(cut.RampRad/rampStep - 1e-6)),
		spindle: cut.Spindle,
		plunge:  cut.Plunge, rub: cut.Rub, through: cut.Breakthrough, retract: cut.Retract,
	}
	if bores(tool, cut) {
		key.width = int32(math.Ceil(cut.WidthMM/widthStepMM - 1e-6))
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

// stepsUp numbers the least member of the series sameShare^n that is not below v; values below a nanometre count as 0.
func stepsUp(v float64) int32 {
	if v < 1e-6 {
		return math.MinInt32
	}
	return int32(math.Ceil(math.Log(v)/math.Log(sameShare) - 1e-9))
}

func valueOf(steps int32) float64 {
	if steps == math.MinInt32 {
		return 0
	}
	return math.Pow(sameShare, float64(steps))
}
