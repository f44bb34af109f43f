package report

import (
	"io"
	"testing"

	"staydown/hold/result"
	"staydown/report/annotate"
	"staydown/report/internal/reporttest"
	"staydown/report/page"
	"staydown/report/picture"
)

// Sizes on both sides of the switch from all samples to thinned ones.
func BenchmarkTimelinePNG(b *testing.B) {
	for name, r := range map[string]*result.Result{"1000 samples": reporttest.Long(1_000),
		"100000 samples": reporttest.Long(100_000)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := picture.TimelinePNG(io.Discard, r); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkHTML(b *testing.B) {
	r, src := reporttest.Fixture()
	for b.Loop() {
		if err := page.HTML(io.Discard, r, src, nil); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAnnotate(b *testing.B) {
	r, src := reporttest.Fixture()
	b.SetBytes(int64(len(src)))
	for b.Loop() {
		if _, err := annotate.Program(src, r, annotate.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
