//go:build unix

package store

import (
	"errors"
	"syscall"
)

// nonblock makes the opening of a pipe return at once; regular files know no difference.
const nonblock = syscall.O_NONBLOCK

// Full tells whether something could not be written for want of room.
func Full(err error) bool { return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) }

// InUse tells whether a file could not be replaced because another program has it open; here that does not matter.
func InUse(error) bool { return false }

// NameTooLong tells whether a disk does not take a file's name for its length.
func NameTooLong(err error) bool { return errors.Is(err, syscall.ENAMETOOLONG) }
