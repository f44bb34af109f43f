package report

import (
	"bytes"
	"encoding/json"
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geojson"

	"staydown/hold/result"
	"staydown/report/picture"
	"staydown/report/words"
)

// GeoJSON renders stock, zones, pieces, tool entries and findings with a place as a FeatureCollection. The form is that
// of RFC 7946 but the coordinates are millimeters in program coordinates, not degrees: the member "coordinates" of the
// collection says so. Outer rings run counter-clockwise, holes clockwise (RFC 7946, 3.1.6).
func GeoJSON(r *result.Result) ([]byte, error) {
	c := geojson.NewFeatureCollection()
	c.ExtraMembers = geojson.Properties{"coordinates": "X and Y in mm, program coordinates",
		"program": words.VisiblePath(r.Program.Path), "caution": words.Caution}
	addTable(c, r.Job)
	addPieces(c, r.Pieces)
	for _, e := range r.Entries {
		if picture.Finite(e.At[0]) && picture.Finite(e.At[1]) {
			addFeature(c, e.At, geojson.Properties{"kind": "entry", "tool": e.Tool, "line": e.Line,
				"time_s": decimal(e.TimeS)})
		}
	}
	for _, f := range r.Findings {
		if f.HasAt && picture.Finite(f.At[0]) && picture.Finite(f.At[1]) {
			addFeature(c, f.At, geojson.Properties{"kind": "finding", "rule": f.Rule, "level": f.Level.String(),
				"line": f.Line, "piece": f.Piece, "margin": decimal(f.Margin), "message": f.Message})
		}
	}
	data, err := c.MarshalJSON()
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := json.Indent(&out, data, "", " "); err != nil {
		return nil, err
	}
	out.WriteByte('\n')
	return out.Bytes(), nil
}

func addFeature(c *geojson.FeatureCollection, g orb.Geometry, p geojson.Properties) {
	f := geojson.NewFeature(g)
	f.Properties = p
	c.Append(f)
}

// addTable adds stock, zones, clamps, fixtures and the edge of the table.
func addTable(c *geojson.FeatureCollection, j result.JobFacts) {
	if m := picture.Wound(j.StockOutline); len(m) > 0 {
		addFeature(c, m, geojson.Properties{"kind": "stock"})
	}
	for _, z := range j.Zones {
		if m := picture.Wound(orb.MultiPolygon{z.Area}); len(m) > 0 {
			addFeature(c, m, geojson.Properties{"kind": "zone", "name": z.Name, "gasket": z.Gasket, "open": z.Open,
				"groove_pitch_mm": z.GroovePitchMM, "groove_width_mm": z.GrooveWidthMM})
		}
	}
	for _, kind := range []struct {
		name string
		of   []result.ObstacleFacts
	}{{"clamp", j.Clamps}, {"fixture", j.Fixtures}} {
		for _, o := range kind.of {
			if m := picture.Wound(picture.RingPolygon(o.Footprint)); len(m) > 0 {
				addFeature(c, m, geojson.Properties{"kind": kind.name, "name": o.Name})
			}
		}
	}
	if m := picture.Wound(picture.RingPolygon(j.Table)); len(m) > 0 {
		addFeature(c, m, geojson.Properties{"kind": "table"})
	}
}

func addPieces(c *geojson.FeatureCollection, pieces []result.Piece) {
	for _, piece := range pieces {
		m := picture.Wound(piece.Outline)
		if len(m) == 0 {
			continue
		}
		p := geojson.Properties{"kind": "piece", "piece": piece.ID, "state": piece.State.String(),
			"area_mm2":      decimal(piece.AreaMM2),
			"held_area_mm2": decimal(piece.HeldAreaMM2), "mode": nil, "least_margin": decimal(math.NaN()),
			"least_line": nil,
			"freed_line": nil, "freed_time_s": nil}
		if piece.Freed {
			p["freed_line"], p["freed_time_s"] = piece.FreedLine, decimal(piece.FreedTimeS)
		}
		if piece.Least.Mode != result.NoMode {
			p["mode"], p["least_margin"], p["least_line"] = piece.Least.Mode.String(), decimal(piece.Least.Margin),
				piece.Least.Line
		}
		addFeature(c, m, p)
	}
}
