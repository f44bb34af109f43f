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

// Places of the run's records in an output folder.
const (
	StateDir = ".staydown"
	tempDir  = StateDir + "/tmp"
	lockName = StateDir + "/lock"
)

// maxRecordBytes bounds the files of an output folder that are read.
const maxRecordBytes = 1 << 30

// ErrBusy is the error of Open if another process holds the folder.
var ErrBusy = errors.New("another run is writing there")

// Folder is an output folder, locked for this process. Its methods may be called concurrently.
type Folder struct {
	root *os.Root
	lock *os.File
	temp atomic.Int64
}

// Open creates the folder dir if needed, locks it and removes half-written files of a killed run. The operating system
// drops the lock when the process ends. It fails with ErrBusy if another process holds the lock.
func Open(dir string) (*Folder, error) {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	f := &Folder{root: root}
	if err := f.lockAndClear(); err != nil {
		root.Close()
		return nil, err
	}
	return f, nil
}

func (f *Folder) lockAndClear() error {
	if err := f.root.MkdirAll(StateDir, 0o777); err != nil {
		return err
	}
	lock, err := f.root.OpenFile(lockName, os.O_RDWR|os.O_CREATE|nonblock, 0o666)
	if err != nil {
		return err
	}
	if err := retry(busy, func() error { return lockFile(lock) }); err != nil {
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

// Failures that another program causes for a moment are retried: a process killed while it starts another leaves its
// lock with that one briefly; a virus scanner briefly opens each new file.
const (
	patience = 2 * time.Second
	pause    = 20 * time.Millisecond
)

// retry repeats do while its error is temporary, for at most patience.
func retry(temporary func(error) bool, do func() error) error {
	for end := time.Now().Add(patience); ; time.Sleep(pause) {
		if err := do(); err == nil || !temporary(err) || time.Now().After(end) {
			return err
		}
	}
}

func busy(err error) bool { return errors.Is(err, ErrBusy) }

// Close unlocks the folder.
func (f *Folder) Close() error {
	_ = f.root.Remove(tempDir) // empty unless a write failed; the next run clears it
	return errors.Join(f.lock.Close(), f.root.Close())
}

// ErrFolder is the error of Write if a folder has the file's name.
var ErrFolder = errors.New("a folder has its name")

// Write writes the file name (with forward slashes) completely or not at all, synced to disk. A symbolic link of that
// name is replaced, not followed; links on the way must not lead out of the folder.
func (f *Folder) Write(name string, data []byte) error {
	if err := f.root.MkdirAll(path.Dir(name), 0o777); err != nil {
		return err
	}
	return replace(f.root, f.tempName(), name, data)
}

func (f *Folder) tempName() string { return tempDir + "/" + strconv.FormatInt(f.temp.Add(1), 10) }

// Lost reports whether nothing can be written to the folder any more: it, or its disk, is gone.
func (f *Folder) Lost() bool {
	name := f.tempName()
	file, err := f.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return true
	}
	return errors.Join(file.Close(), f.root.Remove(name)) != nil
}

// WriteFile writes a file completely or not at all, through a temporary file in the same folder.
func WriteFile(path string, data []byte) error {
	dir, name := filepath.Split(path)
	root, err := os.OpenRoot(filepath.Clean(dir))
	if err != nil {
		return err
	}
	defer root.Close()
	return replace(root, ".staydown-"+strconv.Itoa(os.Getpid())+"~", name, data)
}

// replace writes data to temp and renames it.
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
		err = retry(InUse, func() error { return root.Rename(temp, name) })
	}
	if err == nil {
		return nil
	}
	_ = root.Remove(temp) // report the first error
	if info, statErr := root.Lstat(name); statErr == nil && info.IsDir() {
		return ErrFolder
	}
	return err
}

// Read returns the content of a file of the folder.
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

// Has reports whether there is a file of that name.
func (f *Folder) Has(name string) bool {
	info, err := f.root.Lstat(name)
	return err == nil && info.Mode().IsRegular()
}

// Names lists the entries of a subfolder in order; none if it does not exist.
func (f *Folder) Names(dir string) []string {
	var names []string
	entries, _ := fs.ReadDir(f.root.FS(), dir)
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// Remove removes a file; it is not an error if there is none. A folder stays: no run makes a file of its name.
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
