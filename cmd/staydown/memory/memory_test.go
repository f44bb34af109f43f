package memory

import (
	"errors"
	"math"
	"runtime/debug"
	"testing"

	"github.com/paulmach/orb"

	"staydown/hold/job"
	"staydown/sweep"
)

func TestAmountsOfMemory(t *testing.T) {
	for text, want := range map[string]int64{
		"2GiB": 2 << 30, "2G": 2 << 30, "2g": 2 << 30, "800MiB": 800 << 20, "1.5 GiB": 3 << 29, "64M": 64 << 20,
		"65535k": 0,
		"2":      0, "": 0, "GiB": 0, "-1G": 0, "NaNG": 0, "1e30G": 0, "lots": 0,
	} {
		got, err := Parse(text)
		if (err != nil) != (want == 0) || got != want {
			t.Errorf("%q: %d, %v; want %d", text, got, err, want)
		}
	}
}

// The least limit of a process's control group and of all groups above it counts (kernel documentation, "cgroup v2",
// memory.max: "max" or bytes).
func TestLimitOfControlGroups(t *testing.T) {
	files := map[string]string{
		"/sys/fs/cgroup/job/step/memory.max": "max\n", "/sys/fs/cgroup/job/memory.max": "2147483648\n",
		"/sys/fs/cgroup/memory.max": "8589934592\n",
	}
	read := func(name string) ([]byte, error) {
		if text, ok := files[name]; ok {
			return []byte(text), nil
		}
		return nil, errors.New("none")
	}
	for self, want := range map[string]int64{
		"0::/job/step\n": 2 << 30, "0::/other\n": 8 << 30, "0::/../../job\n": 2 << 30, "1:memory:/job\n": math.MaxInt64,
		"": math.MaxInt64,
	} {
		if got := groupLimit([]byte(self), read); got != want {
			t.Errorf("%q: %d, want %d", self, got, want)
		}
	}
	kib, ok := meminfo([]byte("MemTotal: 10 kB\nMemAvailable:   1234 kB\n"), "MemAvailable:")
	if !ok || kib != 1234 {
		t.Errorf("%d %v", kib, ok)
	}
}

// Estimates grow with what an analysis grows with: the area in cells, and the text.
func TestEstimateOfMemory(t *testing.T) {
	plate := func(w, h, cell float64) *job.Job {
		j := &job.Job{CellMM: cell, Tools: map[int]job.Tool{1: {}}}
		j.Stock.Blanks = []sweep.Blank{{Outline: orb.Polygon{{{0, 0}, {w, 0}, {w, h}, {0, h}, {0, 0}}}}}
		return j
	}
	base := Need(plate(100, 100, 1), 0, 0)
	if got := Need(plate(200, 100, 0.5), 0, 0) - base; got != workerBytesPerCell*(80000-10000) {
		t.Errorf("eight times the cells: %d more", got)
	}
	if got := Need(plate(100, 100, 1), 0.1,
		0) - base; got != workerBytesPerCell*(1000000-10000) {
		t.Errorf("the flag's cell: %d more", got)
	}
	if Need(nil, 0, 1000)-Need(nil, 0, 0) != workerBytesPerByte*1000 {
		t.Error("the text does not count")
	}
	if huge := Need(plate(1e7, 1e7, 1e-9), 0, 0); huge <= 0 {
		t.Errorf("overflow: %d", huge)
	}
}

// A worker of 2.5 GB must not let another GB of garbage pile up; a small one need not save a few MB.
func TestShareOfGarbageFallsWithWhatLives(t *testing.T) {
	for _, row := range []struct {
		liveMiB uint64
		want    int
	}{{0, 200}, {8, 200}, {16, 100}, {40, 40}, {100, 40}, {320, 40}, {640, 20}, {1280, 10}, {2500, 5}, {100_000, 5}} {
		if got := gcPercent(row.liveMiB << 20); got != row.want {
			t.Errorf("%d MiB live: %d %%, want %d", row.liveMiB, got, row.want)
		}
	}
}

// Commands that compute in this process bound its garbage while they do, and leave the share as it was; what the
// environment says counts first.
func TestGarbageIsBoundedUntilDone(t *testing.T) {
	const given = 123
	before := debug.SetGCPercent(given)
	defer debug.SetGCPercent(before)
	share := func() int {
		percent := debug.SetGCPercent(given)
		debug.SetGCPercent(percent)
		return percent
	}
	t.Setenv("GOGC", "")
	done := BoundGarbage()
	if got := share(); got < leastGCPercent || got > mostGCPercent || got == given {
		t.Errorf("%d %% of garbage while it is bounded", got)
	}
	if done(); share() != given {
		t.Errorf("%d %% of garbage afterwards, %d before", share(), given)
	}
	t.Setenv("GOGC", "77")
	done = BoundGarbage()
	if got := share(); got != given {
		t.Errorf("%d %% of garbage where the environment sets it", got)
	}
	done()
}
