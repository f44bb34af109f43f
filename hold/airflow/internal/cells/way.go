package cells

// Way is where air gets into the chuck.
type Way uint8

const (
	Bare     Way = iota // the table beside the stock
	Rim                 // below the stock's rim
	Kerfs               // what the program cuts through
	Holes               // cut-outs of the stock, and what the tool cuts through going straight down only
	Work                // through the material
	LayerRim            // the layer's own rim
	Gaskets             // gasketed zones that are open
	WayCount
)

// Exposure is what lies open, by way.
type Exposure struct {
	LeakMM2    [WayCount]float64 // of the layer, in the measure of field
	OrificeMM2 [WayCount]float64 // geometric
}

func (e *Exposure) Add(o *Exposure) {
	for way := range e.LeakMM2 {
		e.LeakMM2[way] += o.LeakMM2[way]
		e.OrificeMM2[way] += o.OrificeMM2[way]
	}
}

// EdgeWays is the length of a cell's edges, in cells of the sweep, towards all but kerfs.
type EdgeWays map[int32]*[WayCount]float64

func (w EdgeWays) Add(cell int32, way Way, length float64) {
	if w[cell] == nil {
		w[cell] = new([WayCount]float64)
	}
	w[cell][way] += length
}
