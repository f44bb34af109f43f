// Package pieces tells of the pieces of a record what the sweep leaves open: which are alike, how large they are, which
// are crumbs or are milled away, when the tool is clear of them.
//
//	+-----+  +-----+   .    alike: one silhouette on the other, turned by quarters
//	|     |  |     |  (+)   crumb: smaller than the section of the tool that frees it
//	+-----+  +-----+
//
// Outlines are known to a cell. It knows nothing of vacuum and loads.
package pieces
