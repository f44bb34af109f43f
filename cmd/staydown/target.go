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

// target is a program to check.
type target struct {
	path string // as the user would write it, with forward slashes
	name string // below the output folder; without extension if that is unique
}

// tidy writes a path as in the results: cleaned, with forward slashes, and relative if it is below the working folder,
// so that results do not depend on where the folder is.
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

// printable reports whether a name is safe to print: no control characters.
func printable(path string) bool { return !strings.ContainsFunc(path, unicode.IsControl) }

// nameTargets sorts targets by path, so that the order of arguments does not matter, and gives each a unique name.
func nameTargets(targets []target) {
	slices.SortFunc(targets, func(a, b target) int { return strings.Compare(a.path, b.path) })
	// Programs with the same name in different folders get their path as name.
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

// pathName makes a name below the output folder from a path with forward slashes: without "..", and without the volume
// on Windows.
func pathName(path string, windows bool) string {
	if windows {
		path = path[len(volume(path)):]
	}
	return strings.TrimLeft(strings.ReplaceAll("/"+path, "/..", ""), "/")
}

// volume is the start of a Windows path with forward slashes: a drive ("C:") or a shared folder ("//server/share").
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

// tally counts names ignoring case, because some file systems do.
func tally(targets []target, name func(target) string) map[string]int {
	count := map[string]int{}
	for _, t := range targets {
		count[strings.ToLower(name(t))]++
	}
	return count
}
