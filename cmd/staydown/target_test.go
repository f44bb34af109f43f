package main

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// Names below the output folder: without extension where that is unique, by path where programs share a name, never
// two alike (without regard to case), and the same for any order of the arguments.
func TestNamesOfOutputs(t *testing.T) {
	for _, c := range []struct {
		name    string
		targets []target
		want    []string // in order of path
	}{
		{"plain", []target{{"b.nc", "b.nc"}, {"a.nc", "a.nc"}}, []string{"a", "b"}},
		{"two extensions", []target{{"a.nc", "a.nc"}, {"a.tap", "a.tap"}, {"b.nc", "b.nc"}}, []string{"a.nc", "a.tap",
			"b"}},
		{"case alone", []target{{"A.nc", "A.nc"}, {"a.tap", "a.tap"}}, []string{"A.nc", "a.tap"}},
		{"one name in two folders", []target{{"x/a.nc", "a.nc"}, {"y/a.nc", "a.nc"}}, []string{"x/a", "y/a"}},
		{"folders above", []target{{"../x/a.nc", "a.nc"}, {"../../y/a.nc", "a.nc"}}, []string{"y/a", "x/a"}},
		{"still alike", []target{{"../a.nc", "a.nc"}, {"a.nc", "a.nc"}}, []string{"a.nc", "a.nc~2"}},
		{"no extension", []target{{"part", "part"}}, []string{"part"}},
		{"nothing but extension", []target{{".nc", ".nc"}}, []string{".nc"}},
		{"below", []target{{"s/mon/a.nc", "mon/a.nc"}, {"s/tue/a.nc", "tue/a.nc"}}, []string{"mon/a", "tue/a"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			for range 5 {
				list := slices.Clone(c.targets)
				rand.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
				nameTargets(list)
				var got []string
				for _, t := range list {
					got = append(got, t.name)
				}
				if !slices.Equal(got, c.want) {
					t.Fatalf("got %q, want %q", got, c.want)
				}
			}
		})
	}
}

func TestSearchOfFolders(t *testing.T) {
	base := t.TempDir()
	for name, text := range map[string]string{
		"shop/a.nc": "", "shop/deep/b.NC": "", "shop/c.txt": "", "shop/a.annotated.nc": "", "shop/.hidden/d.nc": "",
		"shop/out/e.nc":          "",
		"shop/own/staydown.toml": "[stock]\n", "shop/own/f.nc": "", "shop/bad\x07name.nc": "",
	} {
		path := filepath.Join(base, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Skipf("this file system takes no such name: %v", err)
		}
	}
	t.Chdir(base)
	var got []string
	all := findTargets([]string{"shop", "shop/a.nc", "./shop/../shop/a.nc", filepath.Join(base, "shop")}, "shop/out",
		extensionsOf(settings{}))
	for _, t := range all.targets {
		got = append(got, t.path)
	}
	if want := []string{"shop/a.nc", "shop/deep/b.NC", "shop/own/f.nc"}; !slices.Equal(got, want) {
		t.Errorf("found %q, want %q", got, want)
	}
	want := []aside{
		{"shop/a.annotated.nc", "is an annotated copy and is skipped; name it to check it", false},
		{"shop/bad\x07name.nc", "has control characters in its name; rename it", true},
	}
	if !slices.Equal(all.asides, want) {
		t.Errorf("asides %v, want %v", all.asides, want)
	}
}
