package memory

import (
	"unsafe"

	"golang.org/x/sys/windows"
)

// freeMemory is the memory that the system reports as available, in bytes; ok is false if it reports none.
func freeMemory() (bytes int64, ok bool) {
	status := struct { // MEMORYSTATUSEX
		length, load                                                      uint32
		total, free, totalPage, freePage, totalVirtual, freeVirtual, more uint64
	}{}
	status.length = uint32(unsafe.Sizeof(status))
	done, _, _ := windows.NewLazySystemDLL("kernel32.dll").NewProc("GlobalMemoryStatusEx").Call(
		uintptr(unsafe.Pointer(&status)))
	return int64(status.free), done != 0
}
