//go:build unix

package store

import (
	"errors"
	"os"
	"syscall"
)

// lockFile takes a lock on an open file that ends with it, and with the process at the latest.
func lockFile(file *os.File) error { return flock(file, syscall.LOCK_EX) }

// lockShared takes a lock that goes together with others of its kind, but not with that of lockFile.
func lockShared(file *os.File) error { return flock(file, syscall.LOCK_SH) }

func flock(file *os.File, how int) error {
	err := syscall.Flock(int(file.Fd()), how|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return ErrBusy
	}
	return err
}
