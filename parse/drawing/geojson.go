package drawing

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"

	"github.com/paulmach/orb"
)

// collection is a GeoJSON FeatureCollection (RFC 7946). Coordinates is a member that our reports add: GeoJSON itself
// means degrees.
type collection struct {
	Type        string            `json:"type"`
	Coordinates string            `json:"coordinates"`
	Features    []json.RawMessage `json:"features"`
}

type feature struct {
	Geometry   *geometry `json:"geometry"`
	Properties struct {
		Kind  string `json:"kind"`
		Piece int    `json:"piece"`
		Name  string `json:"name"`
	} `json:"properties"`
}

type geometry struct {
	Type        string          `json:"type"`
	Coordinates json.RawMessage `json:"coordinates"`
}

// readGeoJSON reads polygons: of a report those of the pieces that were cut from the stock, else all of them.
func (s *sketch) readGeoJSON(data []byte) {
	s.format = "GeoJSON"
	s.noUnit = `GeoJSON counts in degrees, and the file has no member "coordinates" that says mm`
	var c collection
	if err := json.Unmarshal(data, &c); err != nil {
		failJSON(data, 0, err)
	}
	if c.Type != "FeatureCollection" {
		fail(1, "type %q is not read; write a FeatureCollection", shortened(c.Type))
	}
	if s.opt.Unit.MM == 0 && strings.Contains(c.Coordinates, "mm") {
		s.unit = Unit{"mm", 1}
	}
	from := 0
	for _, raw := range c.Features {
		from += max(0, bytes.Index(data[from:], raw))
		line := 1 + bytes.Count(data[:from], []byte("\n"))
		var f feature
		if err := json.Unmarshal(raw, &f); err != nil {
			failJSON(data, from, err)
		}
		from += len(raw)
		switch p := f.Properties; {
		case f.Geometry == nil:
			s.leave(line, "feature without geometry")
		case p.Kind != "" && p.Kind != "piece":
			s.leave(line, p.Kind)
		case p.Kind == "piece" && p.Piece == 1:
			s.leave(line, "stock")
		default:
			s.addGeometry(f.Geometry, line, p.Name)
		}
	}
}

// failJSON refuses malformed JSON by the line of its first fault, from bytes behind the start of data.
func failJSON(data []byte, from int, err error) {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	at := from
	switch {
	case errors.As(err, &syntax):
		at += int(syntax.Offset)
	case errors.As(err, &kind):
		at += int(kind.Offset)
	}
	fail(1+bytes.Count(data[:min(at, len(data))], []byte("\n")), "malformed GeoJSON: %v", err)
}

func (s *sketch) addGeometry(g *geometry, line int, name string) {
	var rings [][][]float64
	var err error
	switch g.Type {
	case "Polygon":
		err = json.Unmarshal(g.Coordinates, &rings)
	case "MultiPolygon":
		var all [][][][]float64
		err = json.Unmarshal(g.Coordinates, &all)
		for _, one := range all {
			rings = append(rings, one...)
		}
	case "LineString":
		rings = [][][]float64{nil}
		err = json.Unmarshal(g.Coordinates, &rings[0])
	case "Point", "MultiPoint":
		s.leave(line, "point")
		return
	default:
		fail(line, "geometry %q is not read; write polygons", shortened(g.Type))
	}
	if err != nil {
		fail(line, "malformed GeoJSON: %v", err)
	}
	for _, ring := range rings {
		c := curve{closed: g.Type != "LineString", layer: name, line: line}
		for _, p := range ring {
			if len(p) < 2 {
				fail(line, "a position of the %s has less than two numbers", g.Type)
			}
			c.points = append(c.points, orb.Point{p[0], p[1]})
		}
		s.add(c)
	}
}
