package airflow

import (
	"staydown/hold/airflow/internal/cells"
	"staydown/hold/airflow/internal/patches"
)

type (
	// Patch is a small part of a piece's face on an open zone with its transmission W in [0,1] of squared pressure.
	Patch = patches.Patch
	// Part is a part of the chuck, where zones have ducts of their own.
	Part = patches.Part
	// Breach is the moment and place at which a gasketed zone is opened.
	Breach = cells.Breach
	// Way is where air gets into the chuck.
	Way = cells.Way
)

// The ways of air into the chuck.
const (
	Bare     = cells.Bare     // the table beside the stock
	Rim      = cells.Rim      // below the stock's rim
	Kerfs    = cells.Kerfs    // what the program cuts through
	Holes    = cells.Holes    // cut-outs of the stock, and what the tool cuts through going straight down only
	Work     = cells.Work     // through the material
	LayerRim = cells.LayerRim // the layer's own rim
	Gaskets  = cells.Gaskets  // gasketed zones that are open
	WayCount = cells.WayCount
)
