//go:build unix

package main

import (
	"os/exec"
	"syscall"
)

// apart puts a worker into a process group of its own, so that Ctrl-C reaches the run alone, which then ends its workers.
func apart(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }
