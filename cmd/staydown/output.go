package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"staydown/cmd/staydown/store"
)

// writeWhole writes a file completely or not at all: it writes a temporary file beside it and renames that.
func writeWhole(path string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return writable(path, err)
	}
	if info, err := os.Lstat(path); err == nil && info.Mode()&fs.ModeSymlink != 0 {
		return about(path, "is a symbolic link, which is not followed; remove it or choose another folder with -o")
	}
	if err := store.WriteFile(path, data); err != nil {
		return writable(path, err)
	}
	return nil
}

// refuseOverwrite returns a problem if path, by any name or link, is the program that was read.
func refuseOverwrite(program, path string) *problem {
	was, err := os.Stat(program)
	if err != nil {
		return nil // reading it reports that
	}
	if is, err := os.Stat(path); err == nil && os.SameFile(was, is) {
		return misused(about(filepath.ToSlash(path), "is the program itself and is not overwritten; choose another "+
			"file with -o"))
	}
	return nil
}

// unwritten is the problem of an output file that could not be written: wrong usage, unless the disk is full.
func unwritten(path string, err error) *problem {
	p := &problem{status: exitUsage, err: writable(path, err)}
	if store.Full(err) {
		p.status = exitUnanalysed
	}
	return p
}

// writable words an error of the operating system about writing path, with what to do.
func writable(path string, err error) error {
	switch {
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return about(path, "no permission to write here; choose another folder with -o")
	case store.InUse(err):
		return about(path, "is open in another program; close it there and run again")
	case errors.Is(err, store.ErrFolder):
		return about(path, "a folder has the name of this file; remove it or choose another folder with -o")
	case store.NameTooLong(err):
		return about(path, "the name is too long for this disk; shorten the program's name")
	case store.Full(err):
		return about(path, "the disk is full; free some space and run again")
	case errors.Is(err, syscall.ENOTDIR), errors.Is(err, fs.ErrExist):
		return about(path, "a file has the name of a needed folder; choose another folder with -o")
	default:
		return about(path, "could not be written (%v)", unwrapPath(err))
	}
}

func unwrapPath(err error) error {
	var pathErr *fs.PathError
	if errors.As(err, &pathErr) {
		return pathErr.Err
	}
	return err
}

// broken reports that standard output could not be written, and returns the exit status for it.
func broken(s streams, err error) int {
	complain(s.err, fmt.Errorf("standard output %s", whatBroke(err)))
	return exitUnanalysed
}

// whatBroke says why standard output failed.
func whatBroke(err error) string {
	switch {
	case readerGone(err), errors.Is(err, io.ErrClosedPipe), errors.Is(err, fs.ErrClosed):
		return "was closed before everything was written"
	case store.Full(err):
		return "could not be written: the disk is full; free some space and run again"
	}
	return fmt.Sprintf("could not be written (%v); choose another file and run again", unwrapPath(err))
}
