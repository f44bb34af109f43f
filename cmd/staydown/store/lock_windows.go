package store

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// lockFile takes a lock on an open file that ends with it, and with the process at the latest.
func lockFile(file *os.File) error { return lockFileEx(file, windows.LOCKFILE_EXCLUSIVE_LOCK) }

// lockShared takes a lock that goes together with others of its kind, but not with that of lockFile.
func lockShared(file *os.File) error { return lockFileEx(file, 0) }

func lockFileEx(file *os.File, how uint32) error {
	err := windows.LockFileEx(windows.Handle(file.Fd()), how|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0,
		&windows.Overlapped{})
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
		return ErrBusy
	}
	return err
}
