// Package memory shares the memory of the machine out among analyses and bounds the garbage of a process.
package memory

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"os"
	"path"
	"strconv"
	"strings"

	"staydown/hold/job"
)

// Upper bounds of what an analysis needs. Measured: 20 bytes per cell on plates of 4 million cells, less than 15 MiB
// without any.
const (
	workerBaseBytes    = 64 << 20
	workerBytesPerCell = 40
	// of program text: a block of 0.1 mm peaked at 280 bytes beside its text (1 and 2 million blocks); one of six
	// characters is about the shortest
	workerBytesPerByte = 50
	cellsPerTool       = 12 // default of the grid
	leastBudgetBytes   = 256 << 20
)

// Parse reads an amount of memory: a number with k, M or G (or KiB, MiB, GiB), powers of 1024.
func Parse(text string) (int64, error) {
	s := strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(text), "B"), "i")
	shift := 0
	switch {
	case strings.HasSuffix(strings.ToUpper(s), "K"):
		shift = 10
	case strings.HasSuffix(strings.ToUpper(s), "M"):
		shift = 20
	case strings.HasSuffix(strings.ToUpper(s), "G"):
		shift = 30
	}
	if shift == 0 {
		return 0, fmt.Errorf("%q has no unit; write 2GiB or 800MiB", text)
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(s[:len(s)-1]), 64)
	if err != nil || !(v > 0) || v > 1<<20 {
		return 0, fmt.Errorf("%q is not an amount of memory; write 2GiB or 800MiB", text)
	}
	bytes := int64(v * float64(int64(1)<<shift))
	if bytes < workerBaseBytes {
		return 0, fmt.Errorf("%q is too little for any program; use %d MiB or more", text, workerBaseBytes>>20)
	}
	return bytes, nil
}

// Budget is three quarters of the memory available to this process, bytes.
func Budget() int64 {
	free := int64(4 << 30) // if the system reports none
	if known, ok := freeMemory(); ok {
		free = known
	}
	if data, err := os.ReadFile("/proc/self/cgroup"); err == nil {
		free = min(free, groupLimit(data, os.ReadFile))
	}
	return max(leastBudgetBytes, free/4*3)
}

// meminfo finds a line such as "MemAvailable:   1234 kB".
func meminfo(data []byte, key string) (kib int64, ok bool) {
	lines := bufio.NewScanner(bytes.NewReader(data))
	for lines.Scan() {
		if f := strings.Fields(lines.Text()); len(f) >= 2 && f[0] == key {
			v, err := strconv.ParseInt(f[1], 10, 64)
			return v, err == nil
		}
	}
	return 0, false
}

// groupLimit is the least memory limit, in bytes, of the control groups (Linux, version 2) of the process.
func groupLimit(self []byte, read func(string) ([]byte, error)) int64 {
	least := int64(math.MaxInt64)
	for _, line := range strings.Split(string(self), "\n") {
		name, ok := strings.CutPrefix(line, "0::/")
		if !ok {
			continue
		}
		for dir := path.Clean("/" + name); ; dir = path.Dir(dir) {
			if data, err := read(path.Join("/sys/fs/cgroup", dir, "memory.max")); err == nil {
				if v, err := strconv.ParseInt(strings.TrimSpace(string(data)), 10, 64); err == nil && v > 0 {
					least = min(least, v)
				}
			}
			if dir == "/" {
				break
			}
		}
	}
	return least
}

// Need is the expected memory, bytes, for the analysis of a program of that size; j may be nil. cellMM is that of the
// grid; 0: that of the job, else by its tools.
func Need(j *job.Job, cellMM float64, programBytes int64) int64 {
	need := float64(workerBaseBytes) + workerBytesPerByte*float64(programBytes)
	if j == nil {
		return int64(need)
	}
	cell := cellMM
	if cell == 0 {
		cell = j.CellMM
	}
	if cell == 0 {
		for _, t := range j.Tools {
			if c := t.DiameterMM / cellsPerTool; cell == 0 || c < cell {
				cell = c
			}
		}
	}
	area := 0.0
	for _, b := range j.Stock.Blanks {
		bound := b.Outline.Bound()
		area += (bound.Max[0] - bound.Min[0]) * (bound.Max[1] - bound.Min[1])
	}
	if cell > 0 {
		need += workerBytesPerCell * area / cell / cell
	}
	return int64(min(need, math.MaxInt64/8))
}

// Share is one worker's memory limit: an equal part of the budget of atOnce workers, or the estimate if that is
// larger, at most the budget. A worker that exceeds it is run again, alone, with the whole budget.
func Share(estimate, budget int64, atOnce int) int64 {
	return min(max(estimate, budget/int64(max(1, atOnce))), budget)
}
