package store

import (
	"errors"
	"os"
)

// Source is the output folder of an earlier run, for reading; no run writes to it meanwhile.
type Source struct {
	root *os.Root
	lock *os.File
}

// OpenSource opens the output folder of an earlier run. It fails with ErrBusy while that run is still under way, and
// with fs.ErrNotExist when dir holds no run.
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
	if err := patiently(busy, func() error { return lockShared(lock) }); err != nil {
		return nil, errors.Join(err, lock.Close(), root.Close())
	}
	return &Source{root, lock}, nil
}

// Read gives the content of a file of the folder.
func (s *Source) Read(name string) ([]byte, error) { return readIn(s.root, name) }

// Close gives the folder free.
func (s *Source) Close() error { return errors.Join(s.lock.Close(), s.root.Close()) }
