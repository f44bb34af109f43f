package parse

import (
	"bytes"
	"fmt"
	"math"
	"testing"
)

// plainProgram is what a finishing post writes: n blocks of three words and a feed now and then.
func plainProgram(n int) []byte {
	var b bytes.Buffer
	b.WriteString("G21 G90 G17\nT1 M6\nS12000 M3\nG0 X0 Y0 Z5\nG1 Z-1 F300\n")
	for i := 0; i < n; i++ {
		a := float64(i) / 50
		fmt.Fprintf(&b, "G1 X%.4f Y%.4f Z%.4f", 50+40*math.Cos(a), 50+40*math.Sin(a), -1-float64(i)/float64(n))
		if i%16 == 0 {
			b.WriteString(" F1200.")
		}
		b.WriteByte('\n')
	}
	b.WriteString("G0 Z5\nM30\n")
	return b.Bytes()
}

// arcProgram is n arcs with line numbers, packed words and comments.
func arcProgram(n int) []byte {
	var b bytes.Buffer
	b.WriteString("%\nO1\nN1G21G90G17\nN2T1M6\nN3S12000M3\nN4G0X0Y0Z5\nN5G1Z-1F300\n")
	for i := 0; i < n; i += 2 {
		fmt.Fprintf(&b, "N%dG2X10.Y0.I5.J0. (upper half)\nN%dG3X0.Y0.R5.\n", 6+i, 7+i)
	}
	b.WriteString("M30\n%\n")
	return b.Bytes()
}

func BenchmarkRead(b *testing.B) {
	const blocks = 100_000
	for _, c := range []struct {
		name string
		src  []byte
	}{{"plain", plainProgram(blocks)}, {"arcs", arcProgram(blocks)}} {
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(c.src)))
			b.ReportAllocs()
			for b.Loop() {
				if p := Read(c.src, harness()); p.Moves.Len() < blocks {
					b.Fatal(p.Moves.Len(), p.Notes)
				}
			}
			b.ReportMetric(float64(b.N)*blocks/b.Elapsed().Seconds(), "blocks/s")
			allocs := testing.AllocsPerRun(1, func() { Read(c.src, harness()) })
			b.ReportMetric(allocs/blocks, "allocs/block")
		})
	}
}
