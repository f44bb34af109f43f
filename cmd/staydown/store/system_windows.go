package store

import (
	"errors"

	"golang.org/x/sys/windows"
)

// nonblock is not needed where pipes have no names in folders.
const nonblock = 0

// Full tells whether something could not be written for want of room.
func Full(err error) bool {
	return errors.Is(err, windows.ERROR_DISK_FULL) || errors.Is(err, windows.ERROR_HANDLE_DISK_FULL) ||
		errors.Is(err, windows.ERROR_DISK_QUOTA_EXCEEDED)
}

// InUse tells whether a file could not be replaced because another program has it open, as spreadsheets and scanners
// for viruses have.
func InUse(err error) bool {
	return errors.Is(err, windows.ERROR_SHARING_VIOLATION) || errors.Is(err, windows.ERROR_LOCK_VIOLATION) ||
		errors.Is(err, windows.ERROR_USER_MAPPED_FILE)
}

// NameTooLong tells whether a disk does not take a file's name for its length.
func NameTooLong(err error) bool {
	return errors.Is(err, windows.ERROR_FILENAME_EXCED_RANGE) || errors.Is(err, windows.ERROR_INVALID_NAME)
}
