// Package picture draws what is known of a program, a chart or a drawing, as PNG, as SVG and as the layout of the
// pictures that stand in pages.
//
//	result --> curves, view, shape, kerf    what is drawn, in points of the canvas
//	       --> timeline, plan, pressure     pictures, with pen, key and labels that find a place of their own
//	       --> LayChart, LayPlan            the same for a page, whose colors follow the screen (ThemeCSS)
//
// Pictures are 1600 x 900 pixels. A curve with more samples than columns keeps the least and the greatest of each
// column (Thin), so nothing that is drawn hides a low margin. It knows nothing of pages.
package picture
