// Package raster keeps the cells of a grid: what is left of the material in each, when it was cut through, and which
// piece it belongs to.
//
//	+--+--+--+--+   tiles of 32 x 32 cells; only those that a tool or the rim of a blank touches take memory,
//	|##|##|  |  |   the others (blank) are told by one word each
//	+--+--+--+--+
//	|  |##|##|  |   a cell is named by tile and place in it (i, k), by column and row (ix, iy), or, once the
//	+--+--+--+--+   tiles with memory are listed, by slot and place in one word (Tile.ID)
//
// A cell belongs to the material when its center does, so an area is right within half a cell times its border. Heights
// are whole multiples of 2^-16 mm (Fixed), moments whole ticks of an eighth of a cell along the path (Clock). Cells
// know nothing of tools.
package raster
