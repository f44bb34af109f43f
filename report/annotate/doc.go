// Package annotate writes copies of a program for its operator: with a comment at each block at risk, optional stops
// where pieces come free, and feeds that hold (EaseFeeds).
//
//	G1 X100 F1200   -->   ; STAYDOWN LOOSE: PIECE 3 [60 X 40 MM AT X120 Y85] COMES LOOSE, ...
//	                      G1 X100 F1200
//
// The blocks of the program stay as they are, byte for byte, but for the feeds that EaseFeeds names; an annotated copy
// that is annotated again loses its earlier comments. It does not know whether a control takes comments where they
// stand.
package annotate
