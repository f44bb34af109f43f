package store_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"staydown/cmd/staydown/store"
)

func open(t *testing.T, dir string) *store.Folder {
	t.Helper()
	f, err := store.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

func TestOnlyOneRunWritesToAFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	first, err := store.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Run("side by side", func(t *testing.T) { // each waits a while for the first to end
		t.Run("a second run", func(t *testing.T) {
			t.Parallel()
			if _, err := store.Open(dir); !errors.Is(err, store.ErrBusy) {
				t.Errorf("it got in: %v", err)
			}
		})
		t.Run("a reader", func(t *testing.T) {
			t.Parallel()
			if _, err := store.OpenSource(dir); !errors.Is(err, store.ErrBusy) {
				t.Errorf("it got in: %v", err)
			}
		})
	})
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	for range 2 { // readers share
		source, err := store.OpenSource(dir)
		if err != nil {
			t.Fatal(err)
		}
		defer source.Close()
	}
	if _, err := store.Open(dir); !errors.Is(err, store.ErrBusy) {
		t.Fatalf("a run got in while the folder was read: %v", err)
	}
}

func TestWritesReplaceWholeFilesAndLeaveNothingElse(t *testing.T) {
	dir := t.TempDir()
	f := open(t, dir)
	for _, text := range []string{"first, and longer", "second"} {
		if err := f.Write("a/b/c.txt", []byte(text)); err != nil {
			t.Fatal(err)
		}
		data, err := os.ReadFile(filepath.Join(dir, "a", "b", "c.txt"))
		if err != nil || string(data) != text {
			t.Fatalf("%q, %v", data, err)
		}
	}
	left, err := os.ReadDir(filepath.Join(dir, store.StateDir, "tmp"))
	if err != nil || len(left) != 0 {
		t.Fatalf("left behind: %v, %v", left, err)
	}
}

// A record that is missing, or is no file, is an error and not an empty record; what a run wrote is there for the next
// reader.
func TestOnlyFilesAreRead(t *testing.T) {
	dir := t.TempDir()
	f, err := store.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Write("a/kept.txt", []byte("kept")); err != nil {
		t.Fatal(err)
	}
	for name, there := range map[string]bool{"a/kept.txt": true, "a": false, "b": false} {
		data, err := f.Read(name)
		if there != (err == nil) || there && string(data) != "kept" || f.Has(name) != there {
			t.Errorf("%s: read %q, %v; there: %t", name, data, err, f.Has(name))
		}
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	source, err := store.OpenSource(dir)
	if err != nil {
		t.Fatal(err)
	}
	if data, err := source.Read("a/kept.txt"); err != nil || string(data) != "kept" {
		t.Errorf("the next reader: %q, %v", data, err)
	}
	if err := source.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := store.OpenSource(t.TempDir()); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a folder without a run: %v", err)
	}
	f = open(t, dir)
	for range 2 { // what is gone already is no error
		if err := f.Remove("a/kept.txt"); err != nil || f.Has("a/kept.txt") {
			t.Errorf("removed: %v, still there: %t", err, f.Has("a/kept.txt"))
		}
	}
	if err := f.Remove("a/kept.txt/below"); err != nil {
		t.Errorf("below what is gone: %v", err)
	}
}

func TestLeftOversOfAKilledRunGoAway(t *testing.T) {
	dir := t.TempDir()
	half := filepath.Join(dir, store.StateDir, "tmp", "17")
	if err := os.MkdirAll(filepath.Dir(half), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(half, []byte("half a fi"), 0o666); err != nil {
		t.Fatal(err)
	}
	open(t, dir)
	if _, err := os.Stat(half); !errors.Is(err, fs.ErrNotExist) {
		t.Fatalf("still there: %v", err)
	}
}

func TestNothingLeavesTheFolder(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("symbolic links need a privilege there")
	}
	base := t.TempDir()
	dir, outside := filepath.Join(base, "out"), filepath.Join(base, "outside")
	for _, d := range []string{dir, outside} {
		if err := os.Mkdir(d, 0o777); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink(outside, filepath.Join(dir, "way")); err != nil {
		t.Fatal(err)
	}
	f := open(t, dir)
	for _, name := range []string{"way/a.txt", "../outside/a.txt", "/etc/staydown-test"} {
		if err := f.Write(name, []byte("x")); err == nil {
			t.Errorf("%s was written", name)
		}
	}
	left, err := os.ReadDir(outside)
	if err != nil || len(left) != 0 {
		t.Fatalf("outside: %v, %v", left, err)
	}
}

func TestStateFolderThatLeadsOutIsRefused(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("symbolic links need a privilege there")
	}
	base := t.TempDir()
	dir := filepath.Join(base, "out")
	if err := errors.Join(os.Mkdir(dir, 0o777), os.Mkdir(filepath.Join(base, "else"), 0o777),
		os.Symlink("../else", filepath.Join(dir, store.StateDir))); err != nil {
		t.Fatal(err)
	}
	if f, err := store.Open(dir); err == nil {
		f.Close()
		t.Fatal("opened")
	}
}

// A file of its own is written whole or not at all too, and leaves nothing else behind; what stood there gives way.
func TestWriteFileReplacesTheWholeFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "copy.nc")
	for _, text := range []string{"first, and longer", "second"} {
		if err := store.WriteFile(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if data, err := os.ReadFile(path); err != nil || string(data) != text {
			t.Fatalf("%q, %v", data, err)
		}
	}
	if err := os.Mkdir(filepath.Join(dir, "taken"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := store.WriteFile(filepath.Join(dir, "taken"), []byte("x")); !errors.Is(err, store.ErrFolder) {
		t.Errorf("over a folder: %v", err)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 2 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

// What stands in a file's place is told, and a folder that somebody made is not taken away.
func TestFoldersInThePlaceOfFiles(t *testing.T) {
	dir := t.TempDir()
	f := open(t, dir)
	if err := os.Mkdir(filepath.Join(dir, "a.png"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := f.Write("a.png", []byte("x")); !errors.Is(err, store.ErrFolder) {
		t.Errorf("written: %v", err)
	}
	if err := f.Remove("a.png"); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "a.png")); err != nil {
		t.Errorf("the folder is gone: %v", err)
	}
	if f.Lost() {
		t.Error("the folder counts as lost")
	}
	if _, err := store.OpenRegular(dir); !errors.Is(err, store.ErrIrregular) {
		t.Errorf("a folder was opened: %v", err)
	}
}
