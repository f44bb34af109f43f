package report

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"
	"sync"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"staydown/hold/result"
	"staydown/report/internal/reporttest"
	"staydown/report/words"
)

// compiled is a schema for all tests that use it.
func compiled(id string, schema []byte) func() (*jsonschema.Schema, error) {
	return sync.OnceValues(func() (*jsonschema.Schema, error) {
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schema))
		if err != nil {
			return nil, err
		}
		c := jsonschema.NewCompiler()
		c.AssertFormat()
		if err := c.AddResource(id, doc); err != nil {
			return nil, err
		}
		return c.Compile(id)
	})
}

var compiledResult = compiled("urn:staydown:result:2", resultSchema)

// valid checks JSON bytes against the published schema with an independent validator.
func valid(t testing.TB, data []byte) error {
	t.Helper()
	s, err := compiledResult()
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
	r, _ := reporttest.Fixture()
	// A short timeline keeps the golden file readable.
	r.Timeline = append(r.Timeline[:3:3], r.Timeline[200:203]...)
	data, err := JSON(r)
	if err != nil {
		t.Fatal(err)
	}
	if err := valid(t, data); err != nil {
		t.Error(err)
	}
	reporttest.Golden(t, "nest.result.json", data)
	again, _ := JSON(r)
	if !bytes.Equal(data, again) {
		t.Error("two runs differ")
	}
	if data[len(data)-1] != '\n' {
		t.Error("no newline at the end")
	}
}

func TestUnanalysedResultIsValid(t *testing.T) {
	data, err := JSON(result.Unanalysed("shop/empty.nc", "the file is empty"))
	if err != nil {
		t.Fatal(err)
	}
	if err := valid(t, data); err != nil {
		t.Error(err)
	}
}

func TestEmptyResultIsValid(t *testing.T) {
	data, err := JSON(&result.Result{Verdict: result.Incomplete, Vacuum: result.Vacuum{AlarmSetpointKPa: math.NaN(),
		PumpNeededM3h: math.NaN()}})
	if err != nil {
		t.Fatal(err)
	}
	if err := valid(t, data); err != nil {
		t.Error(err)
	}
	for _, list := range []string{`"assumed": []`, `"actions": []`, `"pieces": []`, `"doubt": []`, `"findings": []`,
		`"timeline": []`,
		`"gauge": []`} {
		if !bytes.Contains(data, []byte(list)) {
			t.Errorf("want %s, never null", list)
		}
	}
}

// A piece that hangs on a skin to the end was never freed: it counts as stock, has a web, and stands behind the freed
// ones.
func TestPieceOnWebsIsValid(t *testing.T) {
	r, _ := reporttest.Fixture()
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
	if p := back.Pieces[len(back.Pieces)-1]; p.ID != 10 || p.Origin != "stock" || p.Freed != nil || p.Web == nil ||
		p.Web.Line != 44 {
		t.Errorf("%+v", p)
	}
	for _, words := range []string{"those that hang on webs to the end", "or a piece that tabs or a skin still join " +
		"to it at the end"} {
		if !bytes.Contains(resultSchema, []byte(words)) {
			t.Errorf("the schema does not say %q", words)
		}
	}
}

// filled is a result in which nothing is unknown.
func filled() *result.Result {
	r, _ := reporttest.Fixture()
	r.Timeline = r.Timeline[:3]
	r.Actions = []result.Action{{What: "end the last pass at Z-5.9", Lines: []int{44, 88}, Verdict: result.AtRisk,
		LeastMargin: result.Range{Low: 0.9, Likely: 1.4, High: 2.25}, LeftLoose: []int{9}}}
	r.Doubts = []result.Doubt{{Input: "friction of porous-card on aluminium-wrought", Range: result.Range{Low: 0.2,
		Likely: 0.3, High: 0.45},
		Share: 0.5, Source: "common practice, no source"}}
	r.LeakM3h = result.Leaks{Bare: 1, Kerfs: 2, Holes: 3, Rim: 4, Work: 5, LayerRim: 6, Gaskets: 8, Hoses: 7}
	r.Gauge = []result.Reading{{Event: result.EventStop, Line: 12, TimeS: 8, VacuumKPa: result.Range{Low: 80,
		Likely: 85,
		High:   88}}}
	r.Vacuum.AlarmSetpointKPa, r.Vacuum.NeverBelowKPa = 71, 52
	p := &r.Pieces[1]
	p.Chance, p.Alike, p.Least.Low, p.Least.High = 0.125, 3, 0.75, 1.5
	return r
}

// What is known is written, what is not is null.
func TestKnownAndUnknownFields(t *testing.T) {
	unknown, _ := reporttest.Fixture()
	unknown.Timeline = unknown.Timeline[:3]
	for _, c := range []struct {
		name string
		r    *result.Result
		want []string
	}{
		{"all known", filled(), []string{
			`"what":"end the last pass at Z-5.9","lines":[44,88],"verdict":"at-risk","least_margin":[0.9,1.4,2.25],"left_loose":[9]`,
			`"input":"friction of porous-card on aluminium-wrought","low":0.2,"likely":0.3,"high":0.45,"unit":"","slope":0,"share":0.5`,
			`"leak_m3h":{"bare":1,"kerfs":2,"holes":3,"rim":4,"work":5,"layer_rim":6,"gaskets":8,"hoses":7}`,
			`"gauge":[{"line":12,"time_s":8,"event":"stop","vacuum_kpa":[80,85,88]}]`,
			`"alarm_setpoint_kpa":71,"never_below_kpa":52`, `"chance":0.125,"alike":3`, `"low":0.75,"high":1.5`,
		}},
		{"nothing known", unknown, []string{
			`"actions":[]`, `"doubt":[]`, `"gauge":[]`, `"alarm_setpoint_kpa":null,"never_below_kpa":null`,
			`"leak_m3h":{"bare":null,"kerfs":null,"holes":null,"rim":null,"work":null,"layer_rim":null,"gaskets":null,"hoses":null}`,
			`"chance":null,"alike":null`, `"low":null,"high":null`,
		}},
	} {
		data, err := JSON(c.r)
		if err != nil {
			t.Fatal(err)
		}
		if err := valid(t, data); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		var short bytes.Buffer
		if err := json.Compact(&short, data); err != nil {
			t.Fatal(err)
		}
		for _, want := range c.want {
			if !bytes.Contains(short.Bytes(), []byte(want)) {
				t.Errorf("%s: no %s", c.name, want)
			}
		}
	}
}

// A schema that accepts everything would make the other tests worthless.
func TestSchemaRefuses(t *testing.T) {
	good, err := JSON(filled())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, from, to string }{
		{"another version", `"staydown/2"`, `"staydown/1"`},
		{"an unknown verdict", `"verdict": "loose"`, `"verdict": "fine"`},
		{"a field without its unit", `"duration_s"`, `"duration"`},
		{"a negative area", `"area_mm2": 240000`, `"area_mm2": -1`},
		{"a stock that was freed", `"freed": null`, `"freed": {"line": 1, "time_s": 0}`},
		{"an unknown level", `"level": "error"`, `"level": "fatal"`},
		{"an unknown mode", `"mode": "twist"`, `"mode": "fly"`},
		{"a finding without words",
			`"message": "piece 5 (60 x 45 mm at X480 Y62) comes loose, slips: margin 0.90, hold 44 N, load 17 N, tool 2"`, `"message": ""`},
		{"a margin as text", `"margin": 0.62`, `"margin": "0.62"`},
		{"a piece without its final area", `"final_area_mm2"`, `"area_left_mm2"`},
		{"a chance above 1", `"chance": 0.125`, `"chance": 1.125`},
		{"a piece like no piece", `"alike": 3`, `"alike": 0`},
		{"an unknown event", `"event": "stop"`, `"event": "pause"`},
		{"an action without its verdict", `"verdict": "at-risk",`, ``},
		{"an action that leaves the program incomplete", `"verdict": "at-risk"`, `"verdict": "incomplete"`},
		{"a way of leaking that is none", `"holes": 3`, `"pores": 3`},
		{"no lowest vacuum", `"never_below_kpa": 52,`, ``},
	} {
		bad := bytes.Replace(good, []byte(c.from), []byte(c.to), 1)
		if bytes.Equal(bad, good) {
			t.Errorf("%s: %s is not in the file", c.name, c.from)
		} else if valid(t, bad) == nil {
			t.Errorf("the schema accepts %s", c.name)
		}
	}
}

// Whatever hold hands over, the file is valid JSON that satisfies the schema, and finite numbers come back within half
// a unit of the ninth digit.
func TestAnyNumberGivesAValidFile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{math.Inf(1), math.NaN(), 0, math.Copysign(0, -1),
			1e300, 5e-324})).Draw(t, "v")
		text := words.Number(v)
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
