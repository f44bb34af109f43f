package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"sync/atomic"
	"time"
)

// Where the run's own records stand in an output folder.
const (
	StateDir = ".staydown"
	tempDir  = StateDir + "/tmp"
	lockName = StateDir + "/lock"
)

// maxRecordBytes bounds what is read of one file of an output folder.
const maxRecordBytes = 1 << 30

// ErrBusy is the error of Open when another process holds the folder.
var ErrBusy = errors.New("another run is writing there")

// Folder is an output folder that this process alone writes to. Its methods may be called at the same time.
type Folder struct {
	root *os.Root
	lock *os.File
	temp atomic.Int64
}

// Open makes the folder dir if need be, locks it and removes what a killed run left half-written. The lock is the
// operating system's and goes away with the process. It fails with ErrBusy when another process holds it.
func Open(dir string) (*Folder, error) {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	f := &Folder{root: root}
	if err := f.take(); err != nil {
		root.Close()
		return nil, err
	}
	return f, nil
}

func (f *Folder) take() error {
	if err := f.root.MkdirAll(StateDir, 0o777); err != nil {
		return err
	}
	lock, err := f.root.OpenFile(lockName, os.O_RDWR|os.O_CREATE|nonblock, 0o666)
	if err != nil {
		return err
	}
	if err := patiently(busy, func() error { return lockFile(lock) }); err != nil {
		lock.Close()
		return err
	}
	f.lock = lock
	if err := f.root.RemoveAll(tempDir); err != nil {
		lock.Close()
		return err
	}
	if err := f.root.Mkdir(tempDir, 0o777); err != nil {
		lock.Close()
		return err
	}
	return nil
}

// What another program stands in the way of is tried for some time. A process that was killed while it started another
// one leaves its lock with that one for a moment; a scanner for viruses has a new file open for a moment.
const (
	patience = 2 * time.Second
	pause    = 20 * time.Millisecond
)

// patiently does something again as long as its error is one that passes.
func patiently(passes func(error) bool, do func() error) error {
	for end := time.Now().Add(patience); ; time.Sleep(pause) {
		if err := do(); err == nil || !passes(err) || time.Now().After(end) {
			return err
		}
	}
}

func busy(err error) bool { return errors.Is(err, ErrBusy) }

// Close gives the folder free.
func (f *Folder) Close() error {
	_ = f.root.Remove(tempDir) // empty unless a write failed; the next run clears it
	return errors.Join(f.lock.Close(), f.root.Close())
}

// ErrFolder is the error of Write where a folder stands in the file's place.
var ErrFolder = errors.New("a folder stands in its place")

// Write puts data at name (with forward slashes), whole or not at all, and gives it to the disk before it returns.
// A symbolic link of that name is replaced, not followed; folders on the way may not lead out.
func (f *Folder) Write(name string, data []byte) error {
	if err := f.root.MkdirAll(path.Dir(name), 0o777); err != nil {
		return err
	}
	return replace(f.root, f.tempName(), name, data)
}

func (f *Folder) tempName() string { return tempDir + "/" + strconv.FormatInt(f.temp.Add(1), 10) }

// Lost tells whether nothing can be written to the folder any more: it is gone, or its disk is.
func (f *Folder) Lost() bool {
	name := f.tempName()
	file, err := f.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return true
	}
	return errors.Join(file.Close(), f.root.Remove(name)) != nil
}

// WriteFile puts data at path, whole or not at all, by way of a temporary file in the same folder.
func WriteFile(path string, data []byte) error {
	dir, name := filepath.Split(path)
	root, err := os.OpenRoot(filepath.Clean(dir))
	if err != nil {
		return err
	}
	defer root.Close()
	return replace(root, ".staydown-"+strconv.Itoa(os.Getpid())+"~", name, data)
}

// replace writes data to temp and gives that the name that it is meant for.
func replace(root *os.Root, temp, name string, data []byte) error {
	file, err := root.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = file.Write(data)
	if err == nil {
		err = file.Sync()
	}
	if err = errors.Join(err, file.Close()); err == nil {
		err = patiently(InUse, func() error { return root.Rename(temp, name) })
	}
	if err == nil {
		return nil
	}
	_ = root.Remove(temp) // the first error is the one to report
	if info, statErr := root.Lstat(name); statErr == nil && info.IsDir() {
		return ErrFolder
	}
	return err
}

// Read gives the content of a file of the folder.
func (f *Folder) Read(name string) ([]byte, error) { return readIn(f.root, name) }

func readIn(root *os.Root, name string) ([]byte, error) {
	file, err := OpenRegularIn(root, name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	if info.Size() > maxRecordBytes {
		return nil, fmt.Errorf("%s: %w", name, fs.ErrInvalid)
	}
	var b bytes.Buffer
	b.Grow(int(info.Size()) + bytes.MinRead)
	_, err = b.ReadFrom(io.LimitReader(file, maxRecordBytes))
	return b.Bytes(), err
}

// Has tells whether a file of that name is there.
func (f *Folder) Has(name string) bool {
	info, err := f.root.Lstat(name)
	return err == nil && info.Mode().IsRegular()
}

// Names lists what stands in a folder of the folder, in order; nothing when there is none.
func (f *Folder) Names(dir string) []string {
	var names []string
	entries, _ := fs.ReadDir(f.root.FS(), dir)
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// Remove takes a file away; it is no error when there is none. A folder stays: a run makes no file of its name.
func (f *Folder) Remove(name string) error {
	if info, err := f.root.Lstat(name); err == nil && info.IsDir() {
		return nil
	}
	if err := f.root.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// Sum is the SHA-256 of data in hexadecimal digits.
func Sum(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
