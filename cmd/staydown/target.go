package main

import (
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// target is a program to look at.
type target struct {
	path string // as the user would write it, with forward slashes
	name string // below the output folder, without extension where that is unique
}

// tidy writes a path as the results carry it: cleaned, with forward slashes, and relative to the working folder when
// it lies below it, so that results do not tell where on a disk they were made.
func tidy(path string) string {
	path = filepath.Clean(path)
	if filepath.IsAbs(path) {
		if here, err := os.Getwd(); err == nil {
			if rel, err := filepath.Rel(here, path); err == nil && filepath.IsLocal(rel) {
				path = rel
			}
		}
	}
	return filepath.ToSlash(path)
}

// printable tells whether a name does not garble a terminal or a report.
func printable(path string) bool { return !strings.ContainsFunc(path, unicode.IsControl) }

// settle puts targets in order of path, the same for any order of the arguments, and gives each one a name of its own.
func settle(targets []target) {
	slices.SortFunc(targets, func(a, b target) int { return strings.Compare(a.path, b.path) })
	// Programs of one name in several folders go by their path.
	if count := tally(targets, func(t target) string { return t.name }); len(count) < len(targets) {
		for i, t := range targets {
			if count[strings.ToLower(t.name)] > 1 {
				targets[i].name = pathName(t.path, runtime.GOOS == "windows")
			}
		}
	}
	bare := func(t target) string { return strings.TrimSuffix(t.name, filepath.Ext(t.name)) }
	short := tally(targets, bare)
	for i, t := range targets {
		if b := bare(t); filepath.Base(b) != "." && b != "" && !strings.HasSuffix(b, "/") &&
			short[strings.ToLower(b)] == 1 {
			targets[i].name = b
		}
	}
	taken := map[string]bool{}
	for i, t := range targets {
		for n := 2; taken[strings.ToLower(targets[i].name)]; n++ {
			targets[i].name = t.name + "~" + strconv.Itoa(n)
		}
		taken[strings.ToLower(targets[i].name)] = true
	}
}

// pathName makes a name below the output folder of a path with forward slashes: without steps up, and on Windows
// without what no name may have.
func pathName(path string, windows bool) string {
	if windows {
		path = path[len(volume(path)):]
	}
	return strings.TrimLeft(strings.ReplaceAll("/"+path, "/..", ""), "/")
}

// volume is what a path of Windows, with forward slashes, begins with: a drive ("C:") or a shared folder
// ("//server/share").
func volume(path string) string {
	if len(path) >= 2 && path[1] == ':' {
		return path[:2]
	}
	rest, ok := strings.CutPrefix(path, "//")
	if !ok {
		return ""
	}
	server, share, ok := strings.Cut(rest, "/")
	if !ok {
		return path
	}
	share, _, _ = strings.Cut(share, "/")
	return "//" + server + "/" + share
}

// tally counts names without regard to case, because some file systems have none.
func tally(targets []target, name func(target) string) map[string]int {
	count := map[string]int{}
	for _, t := range targets {
		count[strings.ToLower(name(t))]++
	}
	return count
}
