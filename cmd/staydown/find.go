package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"staydown/cmd/staydown/store"
)

// jobFileName is the job file that serves every program in its folder and below.
const jobFileName = "staydown.toml"

// findJobFiles names the job files of a program, the farthest first: every staydown.toml at or above its folder, then
// asked, or, if asked is "", the program's own.
func findJobFiles(program, asked string) ([]string, error) {
	shop, err := findShopFiles(filepath.Dir(program))
	if err != nil {
		return nil, about(program, "its folder cannot be found; give the program by its full path")
	}
	own := asked
	if own == "" {
		if own = ownJobFile(program); !isFile(own) {
			return shop, nil
		}
	}
	shop = slices.DeleteFunc(shop, func(path string) bool { return sameFile(path, own) })
	return append(shop, own), nil
}

// ownJobFile names the job file that serves one program alone, whether it is there or not.
func ownJobFile(program string) string {
	return strings.TrimSuffix(program, filepath.Ext(program)) + ".toml"
}

// findShopFiles names every staydown.toml in a folder and in those above it, the farthest first.
func findShopFiles(folder string) ([]string, error) {
	dir, err := filepath.Abs(folder)
	if err != nil {
		return nil, err
	}
	var all []string
	for shown := folder; ; dir, shown = filepath.Dir(dir), filepath.Join(shown, "..") {
		if candidate := filepath.Join(shown, jobFileName); isFile(candidate) {
			all = append(all, candidate)
		}
		if filepath.Dir(dir) == dir {
			slices.Reverse(all)
			return all, nil
		}
	}
}

func isFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular()
}

// aside is a path of a run that is no program to analyse: one that cannot be looked at, which counts as an incomplete
// program, or one that is passed over.
type aside struct {
	Path, Why string
	Failed    bool
}

// found is what a search of folders gives, each in order of path.
type found struct {
	targets []target
	asides  []aside
	folders []string // that were searched
}

// search looks for programs.
type search struct {
	found
	skip         string // folder to leave out
	extensionsOf func(dir string) []string
	seen         map[string]bool
}

// findTargets lists the programs below paths: files as they are, folders searched for the extensions, hidden folders
// and skip left out.
func findTargets(paths []string, skip string, extensionsOf func(dir string) []string) found {
	s := search{skip: skip, extensionsOf: extensionsOf, seen: map[string]bool{}}
	for _, path := range paths {
		path = filepath.FromSlash(tidy(path))
		info, err := os.Stat(path)
		switch {
		case err != nil:
			s.fail(path, err)
		case info.IsDir():
			s.folder(path)
		default:
			s.add(path, filepath.Base(path))
		}
	}
	settle(s.targets)
	slices.SortStableFunc(s.asides, func(a, b aside) int { return strings.Compare(a.Path, b.Path) })
	slices.Sort(s.folders)
	return s.found
}

func (s *search) add(path, name string) {
	if !printable(path) {
		s.tell(path, "has control characters in its name; rename it", true)
		return
	}
	if path = tidy(path); !s.seen[path] {
		s.seen[path] = true
		s.targets = append(s.targets, target{path: path, name: filepath.ToSlash(name)})
	}
}

func (s *search) tell(path, why string, failed bool) {
	if path = tidy(path); !s.seen[path] {
		s.seen[path] = true
		s.asides = append(s.asides, aside{path, why, failed})
	}
}

func (s *search) fail(path string, err error) { s.tell(path, reason(path, err), true) }

// folder searches root and what is below it.
func (s *search) folder(root string) {
	s.folders = append(s.folders, tidy(root))
	any := false
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			s.fail(path, err)
		case d.IsDir() && path != root && (strings.HasPrefix(d.Name(), ".") || sameFile(path, s.skip)):
			return filepath.SkipDir
		case d.IsDir():
		case isFolderLink(path, d):
			s.tell(path, "is a link to a folder and is not followed; name it to have it searched", false)
		case !isProgramName(path, s.extensionsOf):
		case isAnnotatedName(path):
			s.tell(path, "is an annotated copy and is passed over; name it to have it checked", false)
		default:
			rel, err := filepath.Rel(root, path)
			if err != nil {
				rel = filepath.Base(path)
			}
			s.add(path, rel)
			any = true
		}
		return nil
	})
	if err != nil {
		s.fail(root, err)
	}
	if !any {
		s.tell(root, fmt.Sprintf("no programs found; their names must end in one of %s, or list the endings under "+
			"[machine] extensions in %s",
			strings.Join(s.extensionsOf(root), " "), jobFileName), true)
	}
}

// isProgramName tells whether a file of a folder is a program by its ending.
func isProgramName(path string, extensionsOf func(dir string) []string) bool {
	return slices.Contains(extensionsOf(filepath.Dir(path)), strings.ToLower(filepath.Ext(path)))
}

// isAnnotatedName tells whether a program is an annotated copy by its name: an output, made from another program.
func isAnnotatedName(path string) bool {
	return strings.HasSuffix(strings.ToLower(path), suffixAnnotated+strings.ToLower(filepath.Ext(path)))
}

// isFolderLink tells whether an entry of a folder is a symbolic link to a folder.
func isFolderLink(path string, d fs.DirEntry) bool {
	if d.Type()&fs.ModeSymlink == 0 {
		return false
	}
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// sameFile tells whether two paths, by whatever names, are one file or folder.
func sameFile(a, b string) bool {
	was, errA := os.Stat(a)
	is, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(was, is)
}

// readable gives an error of the operating system its file, in words.
func readable(path string, err error) error { return about(path, "%s", reason(path, err)) }

// reason turns an error of the operating system about path into a sentence with what to do.
func reason(path string, err error) string {
	switch {
	case errors.Is(err, store.ErrIrregular):
		if info, err := os.Stat(path); err == nil && info.IsDir() {
			return "is a folder and not a file; name a file"
		}
		return "is not a regular file; copy its content into one"
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file or folder; check the path"
	case errors.Is(err, fs.ErrPermission):
		return "may not be read by this user; change its permissions"
	default:
		var pathErr *fs.PathError
		if errors.As(err, &pathErr) {
			err = pathErr.Err
		}
		return fmt.Sprintf("cannot be read (%v)", err)
	}
}
