package hold

import (
	"math"
	"strings"
	"testing"

	"staydown/hold/internal/steploads"
	"staydown/hold/job"
	"staydown/sweep"
)

// A rapid through material cuts at the rapid rate: 20 m/min are 20 000 mm/min, which is 1.111 mm at each turn of 18
// 000.
func TestARapidThroughMaterialCutsAtTheRapidRate(t *testing.T) {
	jobFile := strings.Replace(aPlate().toml(), "[[tool]]", "[machine]\nrapid = \"20 m/min\"\n[[tool]]", 1)
	a := road(t, "G21 G90\nT1 M6\nS18000 M3\nG0 X50 Y50 Z5\nG1 Z-2 F300\nG0 X120\nG0 Z5\nM30\n", jobFile)
	cut := 0
	for i := range a.rec.Steps.Len() {
		if s := a.rec.Steps.At(i); s.Flags&sweep.RapidCut != 0 {
			cut++
			if c := a.loads.Cut(s, steploads.Change{}); math.Abs(c.FeedMMMin-20_000) > 1e-9 ||
				math.Abs(c.FeedMMMin/c.RPM-1.1111) > 1e-4 {
				t.Errorf("feed %g mm/min at %g 1/min", c.FeedMMMin, c.RPM)
			}
		}
	}
	if cut == 0 {
		t.Fatal("no rapid cuts")
	}
}

// What is left of a piece weighs: 6000 mm3 of 2700 kg/m3, of whose area three quarters are left at the end, weigh
// 6000e-9 x 0.75 x 2700 x 9.80665 = 0.11915 N. One that is all cut away weighs nothing, and none weighs more than it
// did when free.
func TestWeightIsThatOfWhatIsLeft(t *testing.T) {
	a := &Analysis{job: &job.Job{}}
	a.job.Stock.Material.Density.Likely = 2700
	for _, c := range []struct{ left, want float64 }{{750, 0.119151}, {1000, 0.158868}, {0, 0}, {1200, 0.158868}} {
		p := sweep.Piece{AreaMM2: 1000, FinalAreaMM2: c.left, VolumeMM3: 6000}
		if got := a.weightN(&p); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%g of 1000 mm2 left: %.6f N, want %.6f", c.left, got, c.want)
		}
	}
}
