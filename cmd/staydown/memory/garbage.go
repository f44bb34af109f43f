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
		go watch{limit: uint64(bytes), over: over, ownGC: ownGC}.run()
	}
}

// BoundGarbage sets the share of garbage of this process by what lives, until done is called; not where the environment
// sets it.
func BoundGarbage() (done func()) {
	if os.Getenv("GOGC") != "" {
		return func() {}
	}
	before := debug.SetGCPercent(mostGCPercent)
	stop, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		watch{ownGC: true, stop: stop}.run()
	}()
	return func() {
		close(stop)
		<-stopped
		debug.SetGCPercent(before)
	}
}

// watch looks at the memory of the process from time to time.
type watch struct {
	limit uint64        // bytes; 0: none
	over  chan<- uint64 // told once the process uses more, which ends the watch
	ownGC bool          // the share of garbage is set by what lives
	stop  <-chan struct{}
}

func (w watch) run() {
	sample := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"},
		{Name: "/gc/heap/live:bytes"}}
	percent := mostGCPercent
	ticker := time.NewTicker(poll)
	defer ticker.Stop()
	for {
		select {
		case <-w.stop:
			return
		case <-ticker.C:
		}
		metrics.Read(sample)
		if used := sample[0].Value.Uint64() - sample[1].Value.Uint64(); w.limit > 0 && used > w.limit {
			w.over <- used
			return
		}
		if now := gcPercent(sample[2].Value.Uint64()); w.ownGC && now != percent {
			percent = now
			debug.SetGCPercent(percent)
		}
	}
}
