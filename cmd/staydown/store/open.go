package store

import (
	"errors"
	"os"
)

// ErrIrregular is the error of OpenRegular for a folder, pipe or device.
var ErrIrregular = errors.New("is not a regular file")

// OpenRegular opens a regular file for reading. It never opens anything else: a pipe waits for a writer and a device
// may act when opened. If one replaces the file in between, the call does not wait.
func OpenRegular(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, ErrIrregular
	}
	return onlyRegular(os.OpenFile(path, os.O_RDONLY|nonblock, 0))
}

// OpenRegularIn is OpenRegular for a file below root; no link may lead out of it.
func OpenRegularIn(root *os.Root, name string) (*os.File, error) {
	info, err := root.Stat(name)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, ErrIrregular
	}
	return onlyRegular(root.OpenFile(name, os.O_RDONLY|nonblock, 0))
}

func onlyRegular(file *os.File, err error) (*os.File, error) {
	if err != nil {
		return nil, err
	}
	info, err := file.Stat()
	if err == nil && !info.Mode().IsRegular() {
		err = ErrIrregular
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return file, nil
}
