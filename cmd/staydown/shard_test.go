package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The variables of array tasks are those of the schedulers' manuals: the array's own numbers with their least, step and
// count (sbatch, "job arrays"); an index from 0 alone (batch/v1 indexed jobs).
func TestShardChoice(t *testing.T) {
	slurm := func(id, least, most, step, count string) map[string]string {
		return map[string]string{arrayID: id, arrayMin: least, arrayMax: most, arrayStep: step, arrayCount: count}
	}
	for _, c := range []struct {
		name   string
		flag   string
		env    map[string]string
		want   shard
		notice string // part of it
		err    string // part of it
	}{
		{name: "nothing said", want: wholeRun},
		{name: "flag", flag: "3/8", want: shard{3, 8}},
		{name: "flag over variables", flag: "3/8", env: slurm("0", "0", "3", "1", "4"), want: shard{3, 8}},
		{name: "flag says everything", flag: "1/1", env: slurm("2", "0", "3", "1", "4"), want: wholeRun},
		{name: "part 0", flag: "0/8", err: "K from 1 to N"},
		{name: "part past the last", flag: "9/8", err: "K from 1 to N"},
		{name: "no fraction", flag: "3", err: "3/8"},
		{name: "words", flag: "a/b", err: "3/8"},
		{name: "absurd count", flag: "1/99999999", err: "3/8"},

		{name: "array from 0, first", env: slurm("0", "0", "3", "1", "4"), want: shard{1, 4}, notice: "part 1 of 4"},
		{name: "array from 0, last", env: slurm("3", "0", "3", "1", "4"), want: shard{4, 4}, notice: "part 4 of 4"},
		{name: "array from 1, first", env: slurm("1", "1", "4", "1", "4"), want: shard{1, 4}, notice: "part 1 of 4"},
		{name: "array from 1, last", env: slurm("4", "1", "4", "1", "4"), want: shard{4, 4}, notice: "part 4 of 4"},
		{name: "array in steps (0-15:4)", env: slurm("12", "0", "12", "4", "4"), want: shard{4, 4},
			notice: "part 4 of 4"},
		{name: "array in steps, end written past the last", env: slurm("8", "0", "8", "4", "3"), want: shard{3, 3},
			notice: "part 3 of 3"},
		{name: "array with gaps (1,3,7)", env: slurm("7", "1", "7", "1", "3"), err: "gaps"},
		{name: "array with gaps, first task", env: slurm("1", "1", "7", "1", "3"), err: "gaps"},
		{name: "task outside the array", env: slurm("9", "0", "3", "1", "4"), err: "gaps"},
		{name: "variables that are no numbers", env: slurm("x", "0", "3", "1", "4"), err: "not a number"},
		{name: "task number alone", env: map[string]string{arrayID: "2"}, err: "is unknown"},

		{name: "index alone", env: map[string]string{jobIndex: "2"}, want: wholeRun, notice: "everything is checked"},
		{name: "index 0 of 4", flag: "auto/4", env: map[string]string{jobIndex: "0"}, want: shard{1, 4},
			notice: "part 1 of 4"},
		{name: "index 3 of 4", flag: "auto/4", env: map[string]string{jobIndex: "3"}, want: shard{4, 4},
			notice: "part 4 of 4"},
		{name: "index 4 of 4", flag: "auto/4", env: map[string]string{jobIndex: "4"},
			err: "task 5 of the array, counted from 1"},
		{name: "negative index", env: map[string]string{jobIndex: "-1"}, err: "not an index"},
		{name: "auto without a scheduler", flag: "auto/4", err: "not an array task"},
		{name: "auto of no number", flag: "auto/x", env: map[string]string{jobIndex: "0"}, err: "auto/8"},
		{name: "auto agrees with the array", flag: "auto/4", env: slurm("4", "1", "4", "1", "4"), want: shard{4, 4},
			notice: "part 4 of 4"},
		{name: "auto against the array", flag: "auto/8", env: slurm("4", "1", "4", "1", "4"),
			err: "the array has 4 tasks"},
		{name: "two schedulers at once", env: map[string]string{jobIndex: "0", arrayID: "1"}, err: "choose the part"},
		{name: "two schedulers but a flag", flag: "2/2", env: map[string]string{jobIndex: "0", arrayID: "1"},
			want: shard{2, 2}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, notice, p := chooseShard(c.flag, func(name string) string { return c.env[name] })
			if c.err != "" {
				if p == nil || !strings.Contains(p.Error(), c.err) {
					t.Fatalf("want an error with %q, got %v %v", c.err, got, p)
				}
				if p.status != exitUsage {
					t.Errorf("status %d", p.status)
				}
				return
			}
			if p != nil {
				t.Fatal(p)
			}
			if got != c.want {
				t.Errorf("got %v, want %v", got, c.want)
			}
			if !strings.Contains(notice, c.notice) || c.notice == "" && notice != "" {
				t.Errorf("notice %q, want %q", notice, c.notice)
			}
		})
	}
}

// Every program is in exactly one part, which follows from its content alone, and parts are of like size.
func TestPartsShareProgramsOut(t *testing.T) {
	dir := t.TempDir()
	const programs, parts = 400, 4
	count := map[int]int{}
	for i := range programs {
		a, b := filepath.Join(dir, fmt.Sprintf("a%d.nc", i)), filepath.Join(dir, fmt.Sprintf("b%d.nc", i))
		text := []byte(fmt.Sprintf("G0 X%d\nM30\n", i))
		if os.WriteFile(a, text, 0o666) != nil || os.WriteFile(b, text, 0o666) != nil {
			t.Fatal("no room")
		}
		k := shardOf(a, parts)
		if k < 1 || k > parts {
			t.Fatalf("part %d of %d", k, parts)
		}
		if shardOf(b, parts) != k {
			t.Fatal("the same program under another name is in another part")
		}
		count[k]++
	}
	for k := 1; k <= parts; k++ {
		// 400 throws into 4 bins: 100 each with a standard deviation of 8.7 (binomial); six of them is past all chance.
		if count[k] < 48 || count[k] > 152 {
			t.Errorf("part %d has %d of %d programs", k, count[k], programs)
		}
	}
	// Written down, so that the parts of a run may be done by different versions of the program.
	fixed := filepath.Join(dir, "fixed.nc")
	if err := os.WriteFile(fixed, []byte("abc"), 0o666); err != nil {
		t.Fatal(err)
	}
	// SHA-256 of "abc" begins with ba7816bf8f01cfea (FIPS 180-4, example); that number modulo 7 is 2: part 3.
	if got, want := shardOf(fixed, 7), 3; got != want {
		t.Errorf("part %d, want %d", got, want)
	}
}
