package main

import "testing"

// Paths of Windows as the program holds them, with forward slashes: drives and folders shared by another machine
// (Microsoft, "File path formats on Windows systems"). These are plain functions of text, so that they are tried on
// every system.
func TestPathsOfWindows(t *testing.T) {
	for path, want := range map[string]string{
		"C:/shop/mon/a.nc":          "shop/mon/a.nc",
		"d:a.nc":                    "a.nc",
		"C:../shop/a.nc":            "shop/a.nc",
		"//server/nc data/mon/a.nc": "mon/a.nc",
		"//server/share":            "",
		"../../shop/a.nc":           "shop/a.nc",
		"shop/c/a.nc":               "shop/c/a.nc",
	} {
		if got := pathName(path, true); got != want {
			t.Errorf("%s: the name is %q, want %q", path, got, want)
		}
	}
	if got := pathName("c:/a.nc", false); got != "c:/a.nc" {
		t.Errorf("a folder named c: elsewhere: %q", got)
	}
	for arg, want := range map[string]struct {
		path string
		line int
	}{
		`C:\shop\part.nc:412`: {`C:\shop\part.nc`, 412}, `\\server\share\part.nc:7`: {`\\server\share\part.nc`, 7},
		`d:part.nc:1`:     {`d:part.nc`, 1},
		`C:\shop\part.nc`: {}, `C:412`: {`C`, 412}, // a file named C is more likely than line 412 of a drive
	} {
		path, line, ok := splitLine(arg)
		if ok != (want.line > 0) || ok && (path != want.path || line != want.line) {
			t.Errorf("%s: %q, line %d, %t", arg, path, line, ok)
		}
	}
	for _, c := range []struct {
		path, folder string
		want         bool
	}{
		{"C:/shop/a.nc", "C:/shop", true}, {"C:/shop/mon/a.nc", "C:/", true}, {"C:/shop2/a.nc", "C:/shop", false},
		{"//server/share/a.nc", "//server/share", true}, {"shop/a.nc", ".", true}, {"../shop/a.nc", ".", false},
		{"/srv/a.nc", "/", true},
	} {
		if got := isBelow(c.path, c.folder); got != c.want {
			t.Errorf("%s below %s: %t", c.path, c.folder, got)
		}
	}
}
