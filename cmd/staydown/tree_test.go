package main

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
)

// readTree reads every file below dir, by path relative to it.
func readTree(dir string) (map[string]string, error) {
	tree := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(dir, path)
		tree[filepath.ToSlash(rel)] = string(data)
		return err
	})
	return tree, err
}

// compareTrees names the first file in which two trees differ; "" when they are the same byte for byte.
func compareTrees(a, b map[string]string) string {
	for _, name := range slices.Sorted(maps.Keys(a)) {
		other, ok := b[name]
		if !ok {
			return fmt.Sprintf("%s is in the first only", name)
		}
		if other != a[name] {
			return fmt.Sprintf("%s differs", name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(b)) {
		if _, ok := a[name]; !ok {
			return fmt.Sprintf("%s is in the second only", name)
		}
	}
	return ""
}
