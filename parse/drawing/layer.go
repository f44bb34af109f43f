package drawing

import (
	"fmt"
	"slices"
	"strings"
)

// noCutLayers are names of layers that hold center lines, dimensions and the like, without blanks, hyphens and an S at
// their end (common practice, no source).
var noCutLayers = []string{"CENTER", "CENTRE", "CENTERLINE", "CENTRELINE", "AXI", "AXE", "HIDDEN", "HIDDENLINE",
	"DASHED", "PHANTOM", "DIM", "DIMENSION", "TEXT", "NOTE", "HATCH", "CONSTRUCTION", "TITLE", "TITLEBLOCK"}

// noCutLayer tells whether a layer is not for cutting by its name.
func noCutLayer(name string) bool {
	plain := strings.NewReplacer(" ", "", "-", "", "_", "").Replace(strings.ToUpper(name))
	return slices.Contains(noCutLayers, strings.TrimSuffix(plain, "S"))
}

// noCut tells of something on such a layer.
func noCut(layer string) string {
	return fmt.Sprintf("element of layer %q, which by its name is not for cutting (rename it if it is),", layer)
}
