package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"staydown/cmd/staydown/store"
	"staydown/hold"
)

// removeGone takes away what earlier runs left in folder of programs that are not among targets any more, and of which
// gone says so, so that nobody takes an old result for one of the shop. Files that somebody changed stay. Each program
// is told of.
func removeGone(folder *store.Folder, targets []planned, gone func(program string) bool, says io.Writer) error {
	current := map[string]bool{}
	for _, t := range targets {
		current[path.Base(entryName(t.Name))] = true
	}
	var faults []error
	for _, name := range folder.Names(path.Dir(entryName(""))) {
		if current[name] {
			continue
		}
		record := path.Join(path.Dir(entryName("")), name)
		data, err := folder.Read(record)
		if err != nil {
			continue
		}
		e, err := store.Unpack[entry](data)
		if err != nil || !gone(e.Path) { // a record that cannot be read does not say what it is of
			continue
		}
		for _, f := range e.Files {
			if data, err := folder.Read(f.Name); err == nil && store.Sum(data) == f.SHA {
				faults = append(faults, folder.Remove(f.Name))
			}
		}
		faults = append(faults, folder.Remove(record))
		fmt.Fprintln(says, gnuLine(e.Path, hold.LevelNote, "is gone, or has another name now: its results under the "+
			"name "+e.Name+" are removed"))
	}
	return errors.Join(faults...)
}

// goneFrom tells of a program of an earlier run whether it is gone from a run: its file was below a folder that was
// searched now and is there no more, or it has results of another name now.
func (all found) goneFrom(program string) bool {
	for _, t := range all.targets {
		if t.path == program {
			return true
		}
	}
	for _, folder := range all.folders {
		if isBelow(program, folder) {
			_, err := os.Lstat(program)
			return errors.Is(err, fs.ErrNotExist)
		}
	}
	return false
}

// isBelow tells whether a tidy path lies below a tidy folder.
func isBelow(path, folder string) bool {
	if folder == "." {
		return filepath.IsLocal(filepath.FromSlash(path))
	}
	return strings.HasPrefix(path, strings.TrimSuffix(folder, "/")+"/")
}
