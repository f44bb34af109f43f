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
	"staydown/hold/result"
)

// removeGone removes from folder the results of programs that are no longer among targets, if gone confirms it: nobody
// should mistake an old result for a current one. Files that were edited stay. Each removed program is reported to
// says.
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
		if err != nil || !gone(e.Path) { // an unreadable record does not name its program
			continue
		}
		for _, f := range e.Files {
			if data, err := folder.Read(f.Name); err == nil && store.Sum(data) == f.SHA {
				faults = append(faults, folder.Remove(f.Name))
			}
		}
		faults = append(faults, folder.Remove(record))
		fmt.Fprintln(says, gnuLine(e.Path, result.LevelNote,
			"no longer exists, or has another name: removed its results "+
				"named "+e.Name))
	}
	return errors.Join(faults...)
}

// goneFrom reports whether a program of an earlier run is gone: its file was below a searched folder and no longer
// exists, or its results have another name now.
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

// isBelow reports whether a tidy path is below a tidy folder.
func isBelow(path, folder string) bool {
	if folder == "." {
		return filepath.IsLocal(filepath.FromSlash(path))
	}
	return strings.HasPrefix(path, strings.TrimSuffix(folder, "/")+"/")
}
