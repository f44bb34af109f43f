package memory

import (
	"os"
	"runtime/debug"
	"runtime/metrics"
	"time"
)

const poll = 20 * time.Millisecond

// usualGCPercent is GOGC, unless the environment sets it. Most of the memory of an analysis is a few large arrays
// with long lives, so more frequent collection costs almost nothing and cuts the peak by a third. Above 320 MiB of live
// heap the share falls, so that garbage stays at mostGarbageBytes, down to leastGCPercent. A small heap may have
// smallGarbageBytes of garbage: collecting it more often takes a fifth of the time of a small program.
const (
	usualGCPercent    = 40
	leastGCPercent    = 5
	mostGCPercent     = 200
	mostGarbageBytes  = 128 << 20
	smallGarbageBytes = 16 << 20
)

// gcPercent is the share of garbage for so many bytes that live.
func gcPercent(live uint64) int {
	share := func(garbage, most uint64) int { return int(min(most, 100*garbage/max(1, live))) }
	return max(leastGCPercent, share(mostGarbageBytes, usualGCPercent), share(smallGarbageBytes, mostGCPercent))
}

// Limit bounds the garbage of this process and, unless bytes is 0, all of its memory. Once it uses more, it sends how
// much.
func Limit(bytes int64, over chan<- uint64) {
	ownGC := os.Getenv("GOGC") == ""
	if ownGC {
		debug.SetGCPercent(mostGCPercent)
	}
	if bytes > 0 {
		debug.SetMemoryLimit(bytes * 3 / 4)
		go watch(uint64(bytes), ownGC, over)
	}
}

// adaptGarbage sets the share of garbage from what it was to that for so many bytes that live, and gives it.
func adaptGarbage(was int, live uint64) (percent int) {
	if percent = gcPercent(live); percent != was {
		debug.SetGCPercent(percent)
	}
	return percent
}

// BoundGarbage sets the share of garbage of this process by what lives, until done is called; not where the environment
// sets it.
func BoundGarbage() (done func()) {
	if os.Getenv("GOGC") != "" {
		return func() {}
	}
	percent := mostGCPercent
	before := debug.SetGCPercent(percent)
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	ticker, stop, stopped := time.NewTicker(poll), make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		for {
			select {
			case <-stop:
				return
			case <-ticker.C:
			}
			metrics.Read(live)
			percent = adaptGarbage(percent, live[0].Value.Uint64())
		}
	}()
	return func() {
		ticker.Stop()
		close(stop)
		<-stopped
		debug.SetGCPercent(before)
	}
}

// watch sends once the process uses more than limit bytes. Until then it sets the share of garbage by what
// lives, if ownGC.
func watch(limit uint64, ownGC bool, overMemory chan<- uint64) {
	sample := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"},
		{Name: "/gc/heap/live:bytes"}}
	percent := mostGCPercent
	for range time.Tick(poll) {
		metrics.Read(sample)
		if used := sample[0].Value.Uint64() - sample[1].Value.Uint64(); used > limit {
			overMemory <- used
			return
		}
		if ownGC {
			percent = adaptGarbage(percent, sample[2].Value.Uint64())
		}
	}
}
