//go:build unix

package store

import (
	"errors"
	"syscall"
)

// nonblock lets the opening of a pipe return at once; it has no effect on regular files.
const nonblock = syscall.O_NONBLOCK

// Full reports whether the disk is full.
func Full(err error) bool { return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) }

// InUse reports whether a file could not be replaced because another program has it open; on Unix that is no obstacle.
func InUse(error) bool { return false }

// NameTooLong reports whether a file name is too long for the disk.
func NameTooLong(err error) bool { return errors.Is(err, syscall.ENAMETOOLONG) }
