package picture

import (
	"fmt"
	"image/color"
	"strings"
)

// hue is a color of a page: its name in the style sheet, and its value on a light and on a dark screen.
type hue struct {
	name        string
	light, dark color.NRGBA
}

// theme lists the colors of a page. The light values are those of the pictures, so that a picture put into a page
// follows the reader's choice of light or dark; theme_test.go computes the contrast of both.
func theme() []hue {
	return []hue{
		{"ink", inkColour, rgb(0xe8, 0xed, 0xf2)},
		{"dim", dimColour, rgb(0xab, 0xb6, 0xc2)},
		{"grid", gridColour, rgb(0x36, 0x41, 0x4c)},
		{"paper", paperColour, rgb(0x13, 0x19, 0x1f)},
		{"shelf", shelfColour, rgb(0x1f, 0x27, 0x2f)},
		{"shelf2", shelf2Colour, rgb(0x2f, 0x3a, 0x45)},
		{"band", bandColour, rgb(0x5a, 0x67, 0x74)},
		{"stock", stockColour, rgb(0x4f, 0x86, 0xb8)},
		{"part", partColour, rgb(0xd9, 0xb1, 0x60)},
		{"vacuum", vacuumColour, rgb(0x7d, 0xbb, 0xf3)},
		{"alarm", alarmColour, rgb(0xff, 0x8f, 0xb8)},
		{"asked", askedColour, rgb(0xe8, 0xbd, 0x5c)},
		{"risk-shade", atRiskShade, rgb(0x4a, 0x3b, 0x12)},
		{"loose-shade", looseShade, rgb(0x5e, 0x1f, 0x3e)},
		{"held", heldState, rgb(0x2b, 0x4b, 0x63)},
		{"risk", atRiskState, rgb(0xa8, 0x75, 0x18)},
		{"unknown", unknownState, rgb(0x20, 0x26, 0x2d)},
		{"sliver", sliverState, rgb(0x97, 0xa1, 0xab)},
	}
}

// ThemeCSS declares the colors as custom properties. A print is always light.
func ThemeCSS() string {
	var b strings.Builder
	b.WriteString(":root{color-scheme:light dark")
	for _, h := range theme() {
		fmt.Fprintf(&b, ";--%s:%s", h.name, HexColour(h.light))
	}
	b.WriteString("}\n@media screen and (prefers-color-scheme:dark){:root{color-scheme:dark")
	for _, h := range theme() {
		fmt.Fprintf(&b, ";--%s:%s", h.name, HexColour(h.dark))
	}
	b.WriteString("}}\n")
	return b.String()
}
