package store

import (
	"errors"

	"golang.org/x/sys/windows"
)

// nonblock is not needed on Windows: pipes have no names in folders.
const nonblock = 0

// Full reports whether the disk is full.
func Full(err error) bool {
	return errors.Is(err, windows.ERROR_DISK_FULL) || errors.Is(err, windows.ERROR_HANDLE_DISK_FULL) ||
		errors.Is(err, windows.ERROR_DISK_QUOTA_EXCEEDED)
}

// InUse reports whether a file could not be replaced because another program, such as a spreadsheet or a virus scanner,
// has it open.
func InUse(err error) bool {
	return errors.Is(err, windows.ERROR_SHARING_VIOLATION) || errors.Is(err, windows.ERROR_LOCK_VIOLATION) ||
		errors.Is(err, windows.ERROR_USER_MAPPED_FILE)
}

// NameTooLong reports whether a file name is too long for the disk.
func NameTooLong(err error) bool {
	return errors.Is(err, windows.ERROR_FILENAME_EXCED_RANGE) || errors.Is(err, windows.ERROR_INVALID_NAME)
}
