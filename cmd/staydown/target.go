package main

import (
	"os"
	"path/filepath"
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
				targets[i].name = strings.TrimLeft(strings.ReplaceAll("/"+filepath.ToSlash(trimVolume(t.path)), "/..", ""), "/")
			}
		}
	}
	bare := func(t target) string { return strings.TrimSuffix(t.name, filepath.Ext(t.name)) }
	short := tally(targets, bare)
	for i, t := range targets {
		if b := bare(t); filepath.Base(b) != "." && b != "" && !strings.HasSuffix(b, "/") && short[strings.ToLower(b)] == 1 {
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

func trimVolume(path string) string { return strings.TrimPrefix(path, filepath.VolumeName(path)) }

// tally counts names without regard to case, because some file systems have none.
func tally(targets []target, name func(target) string) map[string]int {
	count := map[string]int{}
	for _, t := range targets {
		count[strings.ToLower(name(t))]++
	}
	return count
}
