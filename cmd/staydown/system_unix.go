//go:build unix

package main

import (
	"errors"
	"os"
	"os/exec"
	"syscall"

	"golang.org/x/term"
)

// newProcessGroup starts a worker in its own process group: Ctrl-C reaches the run only, which then ends its workers.
func newProcessGroup(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// readerGone reports whether the reader of the pipe has closed it.
func readerGone(err error) bool { return errors.Is(err, syscall.EPIPE) }

// showsColours reports whether file is a terminal.
func showsColours(file *os.File) bool { return term.IsTerminal(int(file.Fd())) }
