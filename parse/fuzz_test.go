package parse

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

// FuzzRead looks for panics, for moves that are not finite or not joined, and for results that differ from one
// reading to the next.
func FuzzRead(f *testing.F) {
	for _, c := range checkPrograms {
		f.Add(blocksOf(c.program), false)
	}
	for _, c := range malformed {
		f.Add(blocksOf(c.program), true)
	}
	for _, c := range practice {
		f.Add(blocksOf(c.program), false)
	}
	files, err := filepath.Glob("testdata/check/*.n*c")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range files {
		src, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(src, false)
	}
	f.Add(blocksOf("M98 P200 L2 | M30 | O200 | G91 G1 X1 F60 | M99"), false)
	f.Add(blocksOf("G0 X-10 Y-10 | G41 D1 G1 X0 Y0 F100 | X50 | G2 X70 Y20 I20 J0 | Z-2 | X50 Y0 | G40 Y9"), false)
	f.Add(blocksOf("G1 X40 F100 , R15 | Y30 ,C3 | X0 | G28"), false)
	f.Fuzz(func(t *testing.T, src []byte, strict bool) {
		if len(src) > 4096 {
			return
		}
		opt := harness()
		opt.Strict = strict
		opt.OpenSub = func(string) ([]byte, error) { return nil, errors.New("no file") }
		if len(src)%2 == 0 {
			opt.start, opt.MachineZero, opt.Origins = nil, nil, nil
		}
		const mostRepeated = 2_000 // endless loops are cut off early
		p := readWithin(src, opt, mostRepeated)
		checkSound(t, p)
		if p.Moves.Len() < 10_000 {
			q := readWithin(src, opt, mostRepeated)
			if !reflect.DeepEqual(p.Moves, q.Moves) || !reflect.DeepEqual(p.Notes, q.Notes) {
				t.Error("two readings differ")
			}
			if !strings.Contains(fmt.Sprint(p.Notes), "run again") {
				p.ModalAt(1 + len(src)/16)
			}
		}
	})
}
