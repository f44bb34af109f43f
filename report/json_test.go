package report

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"staydown/hold"
)

// valid checks JSON bytes against the published schema with an independent validator.
func valid(t testing.TB, data []byte) error {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("urn:staydown:result:1", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("urn:staydown:result:1")
	if err != nil {
		t.Fatal(err)
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(v)
}

func TestResultFile(t *testing.T) {
	r, _ := fixture()
	// A short timeline keeps the golden file readable.
	r.Timeline = append(r.Timeline[:3:3], r.Timeline[200:203]...)
	data, err := JSON(r)
	if err != nil {
		t.Fatal(err)
	}
	if err := valid(t, data); err != nil {
		t.Error(err)
	}
	golden(t, "nest.result.json", data)
	again, _ := JSON(r)
	if !bytes.Equal(data, again) {
		t.Error("two runs differ")
	}
	if data[len(data)-1] != '\n' {
		t.Error("no newline at the end")
	}
}

func TestEmptyResultIsValid(t *testing.T) {
	data, err := JSON(&hold.Result{Verdict: hold.Incomplete, Vacuum: hold.Vacuum{AlarmSetpointKPa: math.NaN(), PumpNeededM3h: math.NaN()}})
	if err != nil {
		t.Fatal(err)
	}
	if err := valid(t, data); err != nil {
		t.Error(err)
	}
	for _, list := range []string{`"assumed": []`, `"pieces": []`, `"findings": []`, `"timeline": []`} {
		if !bytes.Contains(data, []byte(list)) {
			t.Errorf("want %s, never null", list)
		}
	}
}

// A piece that hangs on a skin to the end was never freed: it counts as stock, has a web, and stands behind the freed ones.
func TestPieceOnWebsIsValid(t *testing.T) {
	r, _ := fixture()
	r.Timeline = r.Timeline[:3]
	hanging := r.Pieces[1]
	hanging.ID, hanging.Freed, hanging.FreedLine, hanging.FreedTimeS = len(r.Pieces)+1, false, 0, 0
	hanging.WebLine, hanging.WebMM2 = 44, 50
	r.Pieces = append(r.Pieces, hanging)
	data, err := JSON(r)
	if err != nil {
		t.Fatal(err)
	}
	if err := valid(t, data); err != nil {
		t.Error(err)
	}
	var back struct {
		Pieces []struct {
			ID     int
			Origin string
			Freed  *struct{}
			Web    *struct {
				Line int
			}
		}
	}
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	if p := back.Pieces[len(back.Pieces)-1]; p.ID != 10 || p.Origin != "stock" || p.Freed != nil || p.Web == nil || p.Web.Line != 44 {
		t.Errorf("%+v", p)
	}
	for _, words := range []string{"those that hang on webs to the end", "or a piece that tabs or a skin still join to it at the end"} {
		if !bytes.Contains(Schema(), []byte(words)) {
			t.Errorf("the schema does not say %q", words)
		}
	}
}

// A schema that accepts everything would make the other tests worthless.
func TestSchemaRefuses(t *testing.T) {
	r, _ := fixture()
	r.Timeline = r.Timeline[:3]
	good, err := JSON(r)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, from, to string }{
		{"another version", `"staydown/1"`, `"staydown/2"`},
		{"an unknown verdict", `"verdict": "loose"`, `"verdict": "fine"`},
		{"a field without its unit", `"duration_s"`, `"duration"`},
		{"a negative area", `"area_mm2": 240000`, `"area_mm2": -1`},
		{"a stock that was freed", `"freed": null`, `"freed": {"line": 1, "time_s": 0}`},
		{"an unknown level", `"level": "error"`, `"level": "fatal"`},
		{"an unknown mode", `"mode": "twist"`, `"mode": "fly"`},
		{"a finding without words", `"message": "piece 5 slips: margin 0.90 (hold 44.0 N, load 17.1 N, friction 0.35) tool 2"`, `"message": ""`},
		{"a margin as text", `"margin": 0.62`, `"margin": "0.62"`},
	} {
		bad := bytes.Replace(good, []byte(c.from), []byte(c.to), 1)
		if bytes.Equal(bad, good) {
			t.Errorf("%s: %s is not in the file", c.name, c.from)
		} else if valid(t, bad) == nil {
			t.Errorf("the schema accepts %s", c.name)
		}
	}
}

// Whatever hold hands over, the file is valid JSON that satisfies the schema, and finite numbers come back within half a unit
// of the ninth digit.
func TestAnyNumberGivesAValidFile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{math.Inf(1), math.NaN(), 0, math.Copysign(0, -1), 1e300, 5e-324})).Draw(t, "v")
		text := number(v)
		if math.IsNaN(v) || math.IsInf(v, 0) {
			if text != "" {
				t.Fatalf("number(%v) = %q", v, text)
			}
			return
		}
		if !json.Valid([]byte(text)) {
			t.Fatalf("number(%v) = %q is not JSON", v, text)
		}
		back, err := strconv.ParseFloat(text, 64)
		if err != nil || math.Abs(back-v) > 0.5000001e-8*math.Abs(v) {
			t.Fatalf("number(%v) = %q", v, text)
		}
	})
}
