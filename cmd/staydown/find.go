package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"staydown/cmd/staydown/store"
)

// jobFileName is the job file that serves every program in its folder and below.
const jobFileName = "staydown.toml"

// findJobFile names the job file of a program: its own, else the nearest staydown.toml at or above its folder.
// It returns "" when there is none.
func findJobFile(program string) (string, error) {
	own := strings.TrimSuffix(program, filepath.Ext(program)) + ".toml"
	if isFile(own) {
		return own, nil
	}
	shown := filepath.Dir(program)
	dir, err := filepath.Abs(shown)
	if err != nil {
		return "", about(program, "its folder cannot be found; give the program by its full path")
	}
	for {
		candidate := filepath.Join(shown, jobFileName)
		if isFile(candidate) {
			return candidate, nil
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			return "", nil
		}
		dir, shown = parent, filepath.Join(shown, "..")
	}
}

func isFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular()
}

// findTargets lists the programs below paths in order of path: files as they are, folders searched for the extensions,
// hidden folders and skip left out. Paths that cannot be opened come back as problems, in words.
func findTargets(paths []string, skip string, extensionsOf func(dir string) []string) (targets []target, problems []error) {
	skipAbs, _ := filepath.Abs(skip)
	seen := map[string]bool{}
	add := func(path, name string) {
		path = tidy(path)
		if err := printable(path); err != nil {
			problems = append(problems, err)
			return
		}
		if !seen[path] {
			seen[path] = true
			targets = append(targets, target{path: path, name: filepath.ToSlash(name)})
		}
	}
	for _, root := range paths {
		root = filepath.FromSlash(tidy(root))
		info, err := os.Stat(root)
		if err != nil {
			problems = append(problems, readable(root, err))
			continue
		}
		if !info.IsDir() {
			add(root, filepath.Base(root))
			continue
		}
		found := false
		err = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				problems = append(problems, readable(path, err))
				return nil
			}
			if d.IsDir() {
				abs, _ := filepath.Abs(path)
				if path != root && (strings.HasPrefix(d.Name(), ".") || skip != "" && abs == skipAbs) {
					return filepath.SkipDir
				}
				return nil
			}
			if isProgramName(path, extensionsOf) {
				found = true
				rel, err := filepath.Rel(root, path)
				if err != nil {
					rel = filepath.Base(path)
				}
				add(path, rel)
			}
			return nil
		})
		if err != nil {
			problems = append(problems, readable(root, err))
		}
		if !found {
			problems = append(problems, about(root, "no programs found; their names must end in one of %s, or list the endings under [machine] extensions in %s",
				strings.Join(extensionsOf(root), " "), jobFileName))
		}
	}
	settle(targets)
	return targets, problems
}

// isProgramName tells whether a file of a folder is a program by its ending. Annotated copies are outputs; the
// programs they were made from stand beside them.
func isProgramName(path string, extensionsOf func(dir string) []string) bool {
	ext := strings.ToLower(filepath.Ext(path))
	return !strings.HasSuffix(strings.ToLower(path), ".annotated"+ext) && slices.Contains(extensionsOf(filepath.Dir(path)), ext)
}

// readable turns an error of the operating system into a sentence with what to do.
func readable(path string, err error) error {
	switch {
	case errors.Is(err, store.ErrIrregular):
		if info, err := os.Stat(path); err == nil && info.IsDir() {
			return about(path, "is a folder and not a file; name a file")
		}
		return about(path, "is not a regular file; copy its content into one")
	case errors.Is(err, fs.ErrNotExist):
		return about(path, "there is no such file or folder; check the path")
	case errors.Is(err, fs.ErrPermission):
		return about(path, "may not be read by this user; change its permissions")
	default:
		var pathErr *fs.PathError
		if errors.As(err, &pathErr) {
			err = pathErr.Err
		}
		return about(path, "cannot be read (%v)", err)
	}
}
