package store

import (
	"errors"
	"os"
)

// Source is the output folder of an earlier run, locked for reading: no run can write to it.
type Source struct {
	root *os.Root
	lock *os.File
}

// OpenSource opens the output folder of an earlier run. It fails with ErrBusy while that run is still going, and with
// fs.ErrNotExist if dir holds no run.
func OpenSource(dir string) (*Source, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	lock, err := OpenRegularIn(root, lockName)
	if err != nil {
		root.Close()
		return nil, err
	}
	if err := retry(busy, func() error { return lockShared(lock) }); err != nil {
		return nil, errors.Join(err, lock.Close(), root.Close())
	}
	return &Source{root, lock}, nil
}

// Read returns the content of a file of the folder.
func (s *Source) Read(name string) ([]byte, error) { return readIn(s.root, name) }

// Close unlocks the folder.
func (s *Source) Close() error { return errors.Join(s.lock.Close(), s.root.Close()) }
