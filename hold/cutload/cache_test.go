package cutload

import (
	"math"
	"reflect"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"staydown/hold/material"
)

// Rounding goes to the unsafe side: what the cache gives is not below the exact load (but for the 1 % that may hide
// between rotor angles).
func TestCacheRoundsTowardsTheLargerLoad(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		work, tool, cut := drawWork(t), drawTool(t), drawCut(t)
		exact := must(t, work, tool, cut)
		kept, err := NewCache(work).Cutting(tool, cut)
		if err != nil {
			t.Fatal(err)
		}
		if kept.Peak < 0.98*exact.Peak || kept.PowerW < 0.98*exact.PowerW {
			t.Fatalf("kept %g N, %g W; exact %g N, %g W", kept.Peak, kept.PowerW, exact.Peak, exact.PowerW)
		}
		moment := 0.0
		for i, f := range exact.Rotor {
			moment = math.Max(moment, f.Horizontal()*exact.Heights[i])
		}
		if kept.Peak*kept.HeightMM < 0.98*moment-exact.Peak*gapStepMM {
			t.Fatalf("kept %g N at %g mm, exact %g N mm", kept.Peak, kept.HeightMM, moment)
		}
	})
}

// So does a coarse one.
func TestCoarseCacheRoundsTowardsTheLargerPeak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		work, tool, cut := drawWork(t), drawTool(t), drawCut(t)
		exact := must(t, work, tool, cut)
		kept, err := NewCoarseCache(work).Cutting(tool, cut)
		if err != nil {
			t.Fatal(err)
		}
		if kept.Peak < 0.98*exact.Peak {
			t.Fatalf("kept %g N, exact %g N", kept.Peak, exact.Peak)
		}
	})
}

// Short moves over a face are all different; coarse ones are few.
func TestCoarseCacheKeepsFewLoads(t *testing.T) {
	work, _ := material.WorkNamed("aluminium-wrought")
	fine, coarse := NewCache(work), NewCoarseCache(work)
	for i := range 2000 {
		u, v := float64(i%50)/50, float64(i/50)/40
		cut := side(6, 0.2+0.3*u, 1+2*v, 3000, 18000)
		cut.RampRad = 0.2 * math.Sin(9*(u+v))
		for _, c := range []*Cache{fine, coarse} {
			if _, err := c.Cutting(endMill(6, 2), cut); err != nil {
				t.Fatal(err)
			}
		}
	}
	if f, c := len(fine.loads), len(coarse.loads); f < 1000 || c > 200 {
		t.Errorf("%d and %d loads of 2000 cuts", f, c)
	}
}

// In usual cuts it is at most 5 % above.
func TestCacheIsNear(t *testing.T) {
	work, _ := material.WorkNamed("aluminium-wrought")
	cache := NewCache(work)
	for ae := 0.5; ae <= 6; ae += 0.37 {
		for ap := 0.4; ap < 10; ap *= 1.7 {
			cut := side(6, ae, ap, 1730, 18000)
			exact, err := Cutting(work, endMill(6, 2), cut)
			if err != nil {
				t.Fatal(err)
			}
			kept, err := cache.Cutting(endMill(6, 2), cut)
			if err != nil {
				t.Fatal(err)
			}
			if kept.Peak > 1.05*exact.Peak {
				t.Errorf("ae %.2f, ap %.2f: %.1f N, exact %.1f", ae, ap, kept.Peak, exact.Peak)
			}
		}
	}
}

// A slot in single precision stays a slot. Explain shows the cut as it is programmed, and at its end what is reckoned
// with.
func TestRoundedSlot(t *testing.T) {
	work, _ := material.WorkNamed("aluminium-wrought")
	cache := NewCache(work)
	cut := side(6, 6, 3, 1200, 18000)
	cut.RightRad, cut.LeftRad = float64(float32(-math.Pi/2)), float64(float32(math.Pi/2))
	rounded := keyOf(endMill(6, 2), cut, 1).cut()
	near(t, "right", rounded.RightRad, -math.Pi/2, 1e-12)
	near(t, "left", rounded.LeftRad, math.Pi/2, 1e-12)
	kept, err := cache.Cutting(endMill(6, 2), cut)
	if err != nil {
		t.Fatal(err)
	}
	shown, terms, err := cache.Explain(endMill(6, 2), cut)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "peak", shown.Peak, kept.Peak, 1e-9*kept.Peak)
	near(t, "power", shown.PowerW, kept.PowerW, 1e-9*kept.PowerW)
	near(t, "feed", value(t, terms, "F"), 1200, 0)
	near(t, "depth", value(t, terms, "b"), 3, 1e-12)
	near(t, "chip", value(t, terms, "hmax"), 1200.0/18000/2, 1e-12)
	last := terms[len(terms)-1]
	near(t, "reckoned with", last.Value, kept.Peak, 1e-9*kept.Peak)
	exact := 3 * math.Hypot(660*1200.0/18000/2+15, 0.3*660*1200.0/18000/2+0.8*15) // hand arithmetic
	if kept.Peak < exact || kept.Peak > 1.02*exact {
		t.Errorf("%.2f N is reckoned with, by hand %.2f N", kept.Peak, exact)
	}
}

// The answer depends on the question alone: not on what was asked before, by whom, or on how full the cache is.
func TestCacheIsDeterministic(t *testing.T) {
	work, _ := material.WorkNamed("plywood")
	cuts := make([]Cut, 300)
	want := make([]Load, len(cuts))
	for i := range cuts {
		cuts[i] = side(6, 0.02*float64(i+1), 1+0.01*float64(i), 1000+10*float64(i), 12000)
		var err error
		if want[i], err = NewCache(work).Cutting(endMill(6, 2), cuts[i]); err != nil {
			t.Fatal(err)
		}
	}
	shared := NewCache(work)
	var group sync.WaitGroup
	for w := 0; w < 4; w++ {
		group.Add(1)
		go func() {
			defer group.Done()
			for k := range cuts {
				i := (k*(2*w+1) + 70*w) % len(cuts)
				got, err := shared.Cutting(endMill(6, 2), cuts[i])
				if err != nil || !reflect.DeepEqual(got, want[i]) {
					t.Errorf("cut %d differs: %v", i, err)
					return
				}
			}
		}()
	}
	group.Wait()
}

// A full cache keeps the cuts that come next: in a long program they are like the last ones, not like the first.
func TestFullCacheKeepsWhatComesNext(t *testing.T) {
	work, _ := material.WorkNamed("plywood")
	cache := NewCache(work)
	for k := range maxCacheKeys {
		cache.loads[cacheKey{depth: int32(k), spindle: 9}] = Load{}
	}
	tool, cut := endMill(6, 2), side(6, 3, 3, 1800, 18000)
	got, err := cache.Cutting(tool, cut)
	if err != nil {
		t.Fatal(err)
	}
	want, err := NewCache(work).Cutting(tool, cut)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("peak %g, %g", got.Peak, want.Peak)
	}
	if _, keeps := cache.loads[keyOf(tool, cut, 1)]; !keeps || len(cache.loads) > maxCacheKeys {
		t.Errorf("%d loads kept; this one: %v", len(cache.loads), keeps)
	}
}

var kept Load

func BenchmarkCutting(b *testing.B) {
	work, _ := material.WorkNamed("aluminium-wrought")
	tool := endMill(6, 2)
	tool.HelixRad = math.Pi / 6
	cuts := make([]Cut, 1000)
	for i := range cuts {
		cuts[i] = side(6, 0.006*float64(i+1), 3, 1800, 18000)
	}
	b.Run("alone", func(b *testing.B) {
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			kept, _ = Cutting(work, tool, cuts[i%len(cuts)])
		}
	})
	b.Run("cache, new cuts", func(b *testing.B) {
		cache := NewCache(work)
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			cut := cuts[0]
			cut.RightRad = math.Pi/2 - float64(1+i%170)*arcStep
			cut.DepthMM = math.Pow(sameShare, float64(i/170%1000)-500)
			kept, _ = cache.Cutting(tool, cut)
		}
	})
	b.Run("cache, known cuts", func(b *testing.B) {
		cache := NewCache(work)
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			kept, _ = cache.Cutting(tool, cuts[i%len(cuts)])
		}
	})
}
