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

// jobFileName is the job file for all programs in its folder and below.
const jobFileName = "staydown.toml"

// findJobFiles returns the job files of a program, outermost folder first: every staydown.toml in its folder and above,
// then asked, or the program's own if asked is "".
func findJobFiles(program, asked string) ([]string, error) {
	shop, err := findShopFiles(filepath.Dir(program))
	if err != nil {
		return nil, about(program, "its folder cannot be found; give the program's full path")
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

// ownJobFile is the job file of one program only, whether it exists or not.
func ownJobFile(program string) string {
	return strings.TrimSuffix(program, filepath.Ext(program)) + ".toml"
}

// findShopFiles returns every staydown.toml in a folder and above, outermost folder first.
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

// aside is a path that is not analyzed: either it cannot be read (Failed), which counts as an incomplete program, or it
// is skipped.
type aside struct {
	Path, Why string
	Failed    bool
}

// found is the result of a search of folders, each list in order of path.
type found struct {
	targets []target
	asides  []aside
	folders []string // searched
}

// search looks for programs.
type search struct {
	found
	skip         string // folder not searched
	extensionsOf func(dir string) []string
	seen         map[string]bool
}

// findTargets lists the programs in paths: files as given; folders are searched by file extension, without hidden
// folders and skip.
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
	nameTargets(s.targets)
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
			s.tell(path, "is a link to a folder and is not followed; name it to search it", false)
		case !isProgramName(path, s.extensionsOf):
		case isAnnotatedName(path):
			s.tell(path, "is an annotated copy and is skipped; name it to check it", false)
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
		s.tell(root, fmt.Sprintf("no programs found; their names must end in one of %s, or list the extensions under "+
			"[machine] extensions in %s",
			strings.Join(s.extensionsOf(root), " "), jobFileName), true)
	}
}

// isProgramName reports whether a file has the extension of a program.
func isProgramName(path string, extensionsOf func(dir string) []string) bool {
	return slices.Contains(extensionsOf(filepath.Dir(path)), strings.ToLower(filepath.Ext(path)))
}

// isAnnotatedName reports whether the name is that of an annotated copy, an output made from another program.
func isAnnotatedName(path string) bool {
	return strings.HasSuffix(strings.ToLower(path), suffixAnnotated+strings.ToLower(filepath.Ext(path)))
}

// isFolderLink reports whether an entry of a folder is a symbolic link to a folder.
func isFolderLink(path string, d fs.DirEntry) bool {
	if d.Type()&fs.ModeSymlink == 0 {
		return false
	}
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// sameFile reports whether two paths name the same file or folder.
func sameFile(a, b string) bool {
	was, errA := os.Stat(a)
	is, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(was, is)
}

// readable words an error of the operating system about reading path.
func readable(path string, err error) error { return about(path, "%s", reason(path, err)) }

// reason says what an error of the operating system about path means and what to do.
func reason(path string, err error) string {
	switch {
	case errors.Is(err, store.ErrIrregular):
		if info, err := os.Stat(path); err == nil && info.IsDir() {
			return "is a folder, not a file; name a file"
		}
		return "is not a regular file; copy its content into one"
	case errors.Is(err, fs.ErrNotExist):
		return "no such file or folder; check the path"
	case errors.Is(err, fs.ErrPermission):
		return "cannot be read by this user; change its permissions"
	default:
		var pathErr *fs.PathError
		if errors.As(err, &pathErr) {
			err = pathErr.Err
		}
		return fmt.Sprintf("cannot be read (%v)", err)
	}
}
