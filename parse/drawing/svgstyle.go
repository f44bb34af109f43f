package drawing

import (
	"regexp"
	"strings"
)

// styleRule is a rule of a style sheet: its selectors, and its declarations.
var styleRule = regexp.MustCompile(`([^{}]+)\{([^{}]*)\}`)

// readStyle keeps the declarations of a style sheet for single classes; other selectors are passed over.
func (d *svg) readStyle(text string) {
	for _, rule := range styleRule.FindAllStringSubmatch(text, -1) {
		for _, selector := range strings.Split(rule[1], ",") {
			if class, ok := strings.CutPrefix(strings.TrimSpace(selector), "."); ok {
				d.classes[class] += rule[2] + ";"
			}
		}
	}
}

// property is a property of an element: by its style, by its classes, or as an attribute; "" where it has none of its
// own.
func (d *svg) property(n *node, name string) string {
	if v := declared(n.attrs["style"], name); v != "" {
		return v
	}
	value := n.attrs[name]
	for _, class := range strings.Fields(n.attrs["class"]) {
		if v := declared(d.classes[class], name); v != "" {
			value = v
		}
	}
	return strings.TrimSpace(value)
}

// declared is the last value of a property in declarations apart by semicolons.
func declared(style, name string) (value string) {
	for _, one := range strings.Split(style, ";") {
		if key, v, ok := strings.Cut(one, ":"); ok && strings.TrimSpace(key) == name {
			value = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(v), "!important"))
		}
	}
	return value
}

// hidden tells whether an element, and what is in it, does not show.
func (d *svg) hidden(n *node) bool {
	return d.property(n, "display") == "none" || d.property(n, "visibility") == "hidden"
}
