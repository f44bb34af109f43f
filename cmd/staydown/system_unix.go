//go:build unix

package main

import (
	"errors"
	"os"
	"os/exec"
	"syscall"

	"golang.org/x/term"
)

// apart puts a worker into a process group of its own, so that Ctrl-C reaches the run alone, which then ends its
// workers.
func apart(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// readerGone tells whether nobody reads what was written any more.
func readerGone(err error) bool { return errors.Is(err, syscall.EPIPE) }

// showsColours tells whether file is a terminal.
func showsColours(file *os.File) bool { return term.IsTerminal(int(file.Fd())) }

// freeMemory is what the system says is free, in bytes; ok is false where that cannot be learnt.
func freeMemory() (bytes int64, ok bool) {
	data, err := os.ReadFile("/proc/meminfo")
	if err != nil {
		return 0, false
	}
	kib, ok := meminfo(data, "MemAvailable:")
	return kib << 10, ok
}
