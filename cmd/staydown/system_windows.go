package main

import (
	"errors"
	"os"
	"os/exec"
	"syscall"
	"unsafe"

	"golang.org/x/sys/windows"
)

// apart puts a worker into a process group of its own, so that Ctrl-C reaches the run alone, which then ends its
// workers.
func apart(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{CreationFlags: windows.CREATE_NEW_PROCESS_GROUP}
}

// readerGone tells whether nobody reads what was written any more.
func readerGone(err error) bool {
	return errors.Is(err, windows.ERROR_BROKEN_PIPE) || errors.Is(err, windows.ERROR_NO_DATA)
}

// showsColours tells whether file is a console, and has it understand the sequences of colours, which it does not by
// itself.
func showsColours(file *os.File) bool {
	var mode uint32
	console := windows.Handle(file.Fd())
	if windows.GetConsoleMode(console, &mode) != nil {
		return false
	}
	return windows.SetConsoleMode(console,
		mode|windows.ENABLE_PROCESSED_OUTPUT|windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING) == nil
}

// freeMemory is what the system says is free, in bytes; ok is false where that cannot be learnt.
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
