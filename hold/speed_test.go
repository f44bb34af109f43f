package hold

import (
	"reflect"
	"strings"
	"testing"

	"staydown/hold/result"
)

// A program without S is read with the speed of the job file, and comes to what it does with that S (this package).
// Without either there is one finding, which names the key, however many blocks and tools it is about.
func TestProgramWithoutSpeed(t *testing.T) {
	program := square(74, 600, 6.2)
	bare := strings.Replace(program, "S18000 M3\n", "M3\n", 1)
	plate := aPlate().toml()
	ofTool := strings.Replace(plate, "[[tool]]", "[[tool]]\nspeed = \"18000 rpm\"", 1)
	want := road(t, program, plate).Result
	for name, c := range map[string][2]string{
		"of the machine":  {bare, plate + "\n[machine]\nspeed = \"18000 rpm\"\n"},
		"of the tool":     {bare, ofTool},
		"started by hand": {strings.Replace(program, "S18000 M3\n", "", 1), ofTool},
	} {
		got := road(t, c[0], c[1]).Result
		if got.Verdict != want.Verdict || len(got.Pieces) != len(want.Pieces) ||
			!reflect.DeepEqual(got.Pieces[1].Least.Margin, want.Pieces[1].Least.Margin) {
			t.Errorf("%s: %v %v, want %v %v", name, got.Verdict, got.Pieces, want.Verdict, want.Pieces)
		}
	}
	r := road(t, bare, plate).Result
	if f := findingsOf(r, result.RuleCutData); len(f) != 1 || !strings.Contains(f[0].Message, "speed under [[tool]]") {
		t.Errorf("without a speed: %v", f)
	}
	if r.Verdict != result.Incomplete {
		t.Errorf("verdict %v, want incomplete", r.Verdict)
	}
}
