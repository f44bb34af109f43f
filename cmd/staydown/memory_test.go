package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"sync"
	"testing"
	"time"

	"github.com/paulmach/orb"

	"staydown/hold/job"
	"staydown/parse"
	"staydown/sweep"
)

func TestAmountsOfMemory(t *testing.T) {
	for text, want := range map[string]int64{
		"2GiB": 2 << 30, "2G": 2 << 30, "2g": 2 << 30, "800MiB": 800 << 20, "1.5 GiB": 3 << 29, "64M": 64 << 20,
		"65535k": 0,
		"2":      0, "": 0, "GiB": 0, "-1G": 0, "NaNG": 0, "1e30G": 0, "lots": 0,
	} {
		got, err := parseBytes(text)
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
	base := estimateBytes(plate(100, 100, 1), settings{}, 0)
	if got := estimateBytes(plate(200, 100, 0.5), settings{}, 0) - base; got != workerBytesPerCell*(80000-10000) {
		t.Errorf("eight times the cells: %d more", got)
	}
	if got := estimateBytes(plate(100, 100, 1), settings{cellMM: 0.1},
		0) - base; got != workerBytesPerCell*(1000000-10000) {
		t.Errorf("the flag's cell: %d more", got)
	}
	if estimateBytes(nil, settings{}, 1000)-estimateBytes(nil, settings{}, 0) != workerBytesPerByte*1000 {
		t.Error("the text does not count")
	}
	if huge := estimateBytes(plate(1e7, 1e7, 1e-9), settings{}, 0); huge <= 0 {
		t.Errorf("overflow: %d", huge)
	}
}

// What all workers together may take at any moment is never more than the run has, however many there are; one that
// outgrows its share is run again with all of it, so that what is said of it does not depend on the others.
func TestSharesOfMemoryStayWithinTheBudget(t *testing.T) {
	for _, workers := range []int{1, 2, 5} {
		const budget = 800 << 20
		var mu sync.Mutex
		var now, most int64
		asked := map[string][]int64{}
		r := &run{opt: &checkOptions{workers: workers}, budget: budget, atOnce: workers}
		r.ask = func(_ context.Context, q request, _ time.Duration) (*answer, *failure) {
			mu.Lock()
			now += q.MemoryBytes
			most = max(most, now)
			name := filepath.Base(string(q.Path))
			asked[name] = append(asked[name], q.MemoryBytes)
			mu.Unlock()
			for range 100 {
				runtime.Gosched() // others begin meanwhile
			}
			mu.Lock()
			now -= q.MemoryBytes
			mu.Unlock()
			if name == "swells" {
				return nil, &failure{reason: "it took too much", overMemory: true}
			}
			return &answer{}, nil
		}
		var targets []target
		for i := range 40 {
			targets = append(targets, target{path: fmt.Sprint("none/", i), name: fmt.Sprint(i)})
		}
		targets[7].path = "none/swells"
		for out := range r.all(t.Context(), targets) {
			if lost := out.status != 0; lost != (out.target.path == "none/swells") {
				t.Errorf("%d workers: %s: %s", workers, out.target.path, out.message)
			}
		}
		if most > budget || most < budget/2 {
			t.Errorf("%d workers were given %d MiB of %d", workers, most>>20, budget>>20)
		}
		if got := asked["swells"]; got[len(got)-1] != budget || len(got) != min(workers, 2) {
			t.Errorf("%d workers: the one that swells was given %v", workers, got)
		}
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

// The text of a long program is let go of during the analysis. What is read again must be the same text.
func TestTextIsReadAgain(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.nc")
	const text = "G21 G90\nG0 X1 Y2\nG1 X5 F600\nM30\n"
	write := func(text string) {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(text)
	d := &dryRun{path: path, src: []byte(text), program: parse.Read([]byte(text), parse.Options{Name: path})}
	state := func() string { return d.program.ModalsAt([]int{3})[0] }
	before := state()
	d.dropText()
	if d.src != nil {
		t.Fatal("the text is still there")
	}
	if p := d.readTextAgain(); p != nil || string(d.src) != text || state() != before {
		t.Errorf("%v, %q, %q", p, d.src, state())
	}
	d.dropText()
	write("G0 X2\n" + text)
	if p := d.readTextAgain(); p == nil || !p.fleeting || p.status != exitUnanalysed {
		t.Errorf("a changed text: %v", p)
	}
	d = &dryRun{path: path, src: []byte("G0 X1\nM30\n")}
	d.program = parse.Read(d.src, parse.Options{Name: path})
	if d.dropText(); d.src == nil {
		t.Error("the text is gone though it may have to be read in other units")
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
	done := boundGarbage()
	if got := share(); got < leastGCPercent || got > mostGCPercent || got == given {
		t.Errorf("%d %% of garbage while it is bounded", got)
	}
	if done(); share() != given {
		t.Errorf("%d %% of garbage afterwards, %d before", share(), given)
	}
	t.Setenv("GOGC", "77")
	done = boundGarbage()
	if got := share(); got != given {
		t.Errorf("%d %% of garbage where the environment sets it", got)
	}
	done()
}
