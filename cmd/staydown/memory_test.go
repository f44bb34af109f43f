package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"
	"time"

	"staydown/parse"
)

// What all workers together may take at any moment is never more than the run has, however many there are; one that
// outgrows its share is run again with all of it, so that what is said of it does not depend on the others.
func TestSharesOfMemoryStayWithinTheBudget(t *testing.T) {
	for _, workers := range []int{1, 2, 5} {
		const budget = 800 << 20
		var mu sync.Mutex
		var now, most int64
		asked := map[string][]int64{}
		r := &run{opt: &checkOptions{workers: workers}, budget: budget, atOnce: workers}
		r.ask = func(_ context.Context, q request, _ time.Duration) (*answer, *failure) {
			mu.Lock()
			now += q.MemoryBytes
			most = max(most, now)
			name := filepath.Base(string(q.Path))
			asked[name] = append(asked[name], q.MemoryBytes)
			mu.Unlock()
			for range 100 {
				runtime.Gosched() // others begin meanwhile
			}
			mu.Lock()
			now -= q.MemoryBytes
			mu.Unlock()
			if name == "swells" {
				return nil, &failure{reason: "it took too much", overMemory: true}
			}
			return &answer{}, nil
		}
		var targets []target
		for i := range 40 {
			targets = append(targets, target{path: fmt.Sprint("none/", i), name: fmt.Sprint(i)})
		}
		targets[7].path = "none/swells"
		for out := range r.all(t.Context(), targets) {
			if lost := out.status != 0; lost != (out.target.path == "none/swells") {
				t.Errorf("%d workers: %s: %s", workers, out.target.path, out.message)
			}
		}
		if most > budget || most < budget/2 {
			t.Errorf("%d workers were given %d MiB of %d", workers, most>>20, budget>>20)
		}
		if got := asked["swells"]; got[len(got)-1] != budget || len(got) != min(workers, 2) {
			t.Errorf("%d workers: the one that swells was given %v", workers, got)
		}
	}
}

// The text of a long program is let go of during the analysis. What is read again must be the same text.
func TestTextIsReadAgain(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.nc")
	const text = "G21 G90\nG0 X1 Y2\nG1 X5 F600\nM30\n"
	write := func(text string) {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(text)
	d := &dryRun{path: path, src: []byte(text), program: parse.Read([]byte(text), parse.Options{Name: path})}
	state := func() string { return d.program.ModalsAt([]int{3})[0] }
	before := state()
	d.dropText()
	if d.src != nil {
		t.Fatal("the text is still there")
	}
	if p := d.readTextAgain(); p != nil || string(d.src) != text || state() != before {
		t.Errorf("%v, %q, %q", p, d.src, state())
	}
	d.dropText()
	write("G0 X2\n" + text)
	if p := d.readTextAgain(); p == nil || !p.fleeting || p.status != exitUnanalysed {
		t.Errorf("a changed text: %v", p)
	}
	d = &dryRun{path: path, src: []byte("G0 X1\nM30\n")}
	d.program = parse.Read(d.src, parse.Options{Name: path})
	if d.dropText(); d.src == nil {
		t.Error("the text is gone though it may have to be read in other units")
	}
}
