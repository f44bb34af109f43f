package main

import "syscall"

func mountTmpfs(dir, options string) error {
	var flags uintptr
	if options == "ro" {
		flags, options = syscall.MS_RDONLY, ""
	}
	return syscall.Mount("staydown-test", dir, "tmpfs", flags, options)
}

func remount(dir, options string) error {
	return syscall.Mount("staydown-test", dir, "tmpfs", syscall.MS_REMOUNT, options)
}

func unmount(dir string) error { return syscall.Unmount(dir, 0) }
