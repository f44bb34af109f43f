package sweep

import (
	"staydown/parse/units"
	"staydown/sweep/internal/joins"
	"staydown/sweep/internal/plan"
	"staydown/sweep/internal/removal"
)

// Options of a sweep; the zero value is usable.
type Options struct {
	CellMM float64 // 0: chosen from the smallest tool, the stock and MemoryBytes
	WebMM  float64 // material at or below this height counts as web; 0: chosen from the stock
	// Neck gives the bounds of a neck under the load of a step; nil: a full-height bridge as wide as the largest tool.
	// It is called from many goroutines.
	Neck        func(*removal.Step) joins.Neck
	MemoryBytes int64 // for the cells; 0: 512 MiB
	Jobs        int   // workers; 0: as many as processors
	// thickness of the layer below the stock; depths are told to 5 mm below it (0: to any depth)
	LayerMM   float64
	Units     units.System // of messages
	KeepJoins bool         // the record can be joined anew (Record.Rejoined): as much again as it takes
	// the record can tell when cells became webs (WebRow): up to 8 bytes for each cell near a cut
	KeepWebs bool
}

// planned are the options of the setup.
func (o *Options) planned() plan.Options {
	return plan.Options{CellMM: o.CellMM, WebMM: o.WebMM, KeepWebs: o.KeepWebs, MemoryBytes: o.MemoryBytes,
		Jobs: o.Jobs, LayerMM: o.LayerMM, Units: o.Units}
}
