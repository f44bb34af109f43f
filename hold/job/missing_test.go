package job_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"staydown/hold/job"
	"staydown/parse"
)

func TestMissingTools(t *testing.T) {
	j, err := job.Parse("part.toml", []byte(minimal))
	if err != nil {
		t.Fatal(err)
	}
	p := &parse.Program{
		Name: "part.nc",
		Moves: *parse.NewMoves(
			parse.Move{Kind: parse.Rapid, Line: 3}, parse.Move{Kind: parse.Feed, Line: 4}, parse.Move{Kind: parse.Feed,
				Line: 5},
			parse.Move{Kind: parse.Feed, Line: 8, Tool: 1}, parse.Move{Kind: parse.Feed, Line: 12, Tool: 7},
			parse.Move{Kind: parse.Feed, Line: 22, Tool: 7},
		),
		ToolCalls: []parse.ToolCall{{Tool: 1, Line: 7, Move: 3}, {Tool: 7, Line: 11, Move: 4},
			{Tool: 7, Line: 21, Move: 5}, {Tool: 0, Line: 30, Move: 6}},
	}
	var got []string
	for _, m := range j.MissingTools(p) {
		got = append(got, m.Error())
	}
	want := []string{
		"part.nc:4: feeds before any tool change, and the job does not say which tool is in the spindle (tool 0); " +
			"write a [[tool]] with number = 0, shape, diameter, flutes and helix into part.toml",
		"part.nc:11: calls tool 7, which the job does not describe; write a [[tool]] with number = 7, shape, " +
			"diameter, flutes and helix into part.toml",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
}
