//go:build unix

package memory

import "os"

// freeMemory is the memory that the system reports as available, in bytes; ok is false if it reports none.
func freeMemory() (bytes int64, ok bool) {
	data, err := os.ReadFile("/proc/meminfo")
	if err != nil {
		return 0, false
	}
	kib, ok := meminfo(data, "MemAvailable:")
	return kib << 10, ok
}
