package airflow

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

// exposure is what lies open, by way.
type exposure struct {
	leakMM2    [WayCount]float64 // of the layer, in the measure of field
	orificeMM2 [WayCount]float64 // geometric
}

func (e *exposure) add(o *exposure) {
	for way := range e.leakMM2 {
		e.leakMM2[way] += o.leakMM2[way]
		e.orificeMM2[way] += o.orificeMM2[way]
	}
}

// edgeWays is the length of a cell's edges, in cells of the sweep, towards all but kerfs.
type edgeWays map[int32]*[WayCount]float64

func (w edgeWays) add(cell int32, way Way, length float64) {
	if w[cell] == nil {
		w[cell] = new([WayCount]float64)
	}
	w[cell][way] += length
}
