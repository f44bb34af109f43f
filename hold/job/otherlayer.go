package job

import (
	"reflect"
	"slices"

	"staydown/hold/material"
)

// OtherLayer is a job with another layer in place of its own.
type OtherLayer struct {
	File string // of the shop, that gives it; "": built in
	Job  *Job
}

// OtherLayers reads a job again, as ParseLayers does, with every other sheet that could be its layer: those that its
// farther files give in place of [layer], the nearest first, then the built-in ones, as if their name stood under
// [layer]. Whatever was said of the sheet that it has goes with that sheet. There are none for a job without a layer.
// A sheet with which the job cannot be read is left out.
func OtherLayers(files ...File) (out []OtherLayer) {
	root, err := layered(files)
	if err != nil {
		return nil
	}
	own, err := parsed(root, files)
	if err != nil || own.Layer == nil {
		return nil
	}
	known := []*Layer{own.Layer}
	add := func(file string, sheet *node) {
		other := &node{form: table, at: root.at, keys: slices.Clone(root.keys), index: root.index}
		other.set(entry{name: "layer", value: sheet})
		j, err := parsed(other, files)
		if err != nil || slices.ContainsFunc(known, j.Layer.sameSheet) {
			return
		}
		known = append(known, j.Layer)
		out = append(out, OtherLayer{file, j})
	}
	for n := len(files) - 1; n > 0; n-- {
		if farther, err := layered(files[:n]); err == nil {
			if e, ok := farther.get("layer"); ok {
				add(files[n-1].Name, e.value)
			}
		}
	}
	e, _ := root.get("layer")
	k, _ := pick(schema(), "layer")
	for _, built := range material.Layers() {
		sheet := &node{form: table, partial: true}
		sheet.set(entry{name: "material", value: &node{form: text, text: built.Name}})
		add("", overlay(e.value, sheet, k))
	}
	return out
}

// sameSheet tells whether two layers are of one sheet: a built-in one goes by its name, whatever was measured of it.
func (l *Layer) sameSheet(o *Layer) bool {
	if l.Name != "" || o.Name != "" {
		return l.Name == o.Name
	}
	return reflect.DeepEqual(l, o)
}
