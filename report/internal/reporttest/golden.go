package reporttest

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"staydown/hold/result"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// Golden compares text with a file in testdata.
func Golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs (run with -update and look at the difference)\n%s", path, firstDifference(got, want))
	}
}

func firstDifference(got, want []byte) string {
	g, w := strings.Split(string(got), "\n"), strings.Split(string(want), "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			return "got:  " + g[i] + "\nwant: " + w[i]
		}
	}
	return "one is longer than the other"
}

// Keep stores a screenshot in the folder named by LOOK, for a person to see.
func Keep(t *testing.T, name string, data []byte) {
	if dir := os.Getenv("LOOK"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

func Render(t *testing.T, paint func(io.Writer, *result.Result) error, r *result.Result) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := paint(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func WellFormed(t *testing.T, data []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(data))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatalf("not well-formed XML: %v", err)
		}
	}
}

// SamePicture compares decoded pixels: a rounding difference at the edge of a letter is nothing, a missing line is. A
// pixel counts as changed when it differs by more than an eighth of the range in some channel; up to one in a thousand
// may.
func SamePicture(t *testing.T, name string, data []byte) image.Image {
	t.Helper()
	got, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	want, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	if got.Bounds() != want.Bounds() {
		t.Fatalf("%s: size %v, want %v", name, got.Bounds(), want.Bounds())
	}
	if share := Changed(got, want); share > 0.001 {
		t.Errorf("%s: %.3f %% of the pixels differ (run with -update and look at the picture)", name, 100*share)
	}
	return got
}

// Changed is the share of pixels that differ visibly.
func Changed(a, b image.Image) float64 {
	p, q := Pixels(a).Pix, Pixels(b).Pix
	n := 0
	for i := 0; i+3 < len(p); i += 4 {
		for c := range 3 {
			if d := int(p[i+c]) - int(q[i+c]); d > 255/8 || d < -255/8 {
				n++
				break
			}
		}
	}
	return float64(n) / float64(len(p)/4)
}

// Pixels gives a picture as bytes of red, green, blue and alpha.
func Pixels(img image.Image) *image.NRGBA {
	if n, ok := img.(*image.NRGBA); ok {
		return n
	}
	out := image.NewNRGBA(img.Bounds())
	draw.Draw(out, out.Bounds(), img, img.Bounds().Min, draw.Src)
	return out
}

func HasColour(img image.Image, want color.NRGBA) bool {
	p := Pixels(img).Pix
	for i := 0; i+3 < len(p); i += 4 {
		if p[i] == want.R && p[i+1] == want.G && p[i+2] == want.B {
			return true
		}
	}
	return false
}
