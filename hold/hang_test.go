package hold

import (
	"testing"

	"staydown/hold/job"
	"staydown/sweep"
)

// A web counts until the cut through its smallest section begins: at that very moment it counts no more.
func TestAWebCountsUntilItsCutBegins(t *testing.T) {
	a := &Analysis{job: &job.Job{}, rec: &sweep.Record{}}
	p := &sweep.Piece{ID: 2, Freed: sweep.Never, Webs: []sweep.Web{{Kind: sweep.Tab, WidthMM: 4, ThicknessMM: 1, Begin: 5}}}
	for at, want := range map[sweep.Progress]int{4.5: 1, 5: 0, 5.5: 0} {
		if got := len(a.wholeWebs(p, at, 0)); got != want {
			t.Errorf("at %v: %d webs, want %d", at, got, want)
		}
	}
}
