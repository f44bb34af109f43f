package main

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"strconv"
	"strings"

	"staydown/cmd/staydown/store"
)

// maxShards bounds N of --shard K/N.
const maxShards = 1 << 20

// shard is a part of a run: part k of n, counted from 1.
type shard struct{ k, n int }

var wholeRun = shard{1, 1}

// Variables in which schedulers give a task its place in an array of tasks.
const (
	arrayID    = "SLURM_ARRAY_TASK_ID"
	arrayMin   = "SLURM_ARRAY_TASK_MIN"
	arrayMax   = "SLURM_ARRAY_TASK_MAX"
	arrayStep  = "SLURM_ARRAY_TASK_STEP"
	arrayCount = "SLURM_ARRAY_TASK_COUNT"
	jobIndex   = "JOB_COMPLETION_INDEX"
)

// chooseShard chooses the part of the run from the flag, else from the variables of a scheduler. notice names the part
// if it comes from variables: a part that passes proves nothing for the others, so the user must know.
func chooseShard(flag string, getenv func(string) string) (s shard, notice string, p *problem) {
	array, named, err := arrayTask(getenv)
	switch count, auto := strings.CutPrefix(flag, "auto/"); {
	case auto:
		n, bad := strconv.Atoi(count)
		switch {
		case bad != nil || n < 1 || n > maxShards:
			return shard{}, "", misused(fmt.Errorf("--shard %s: %q is not a number of tasks; write auto/8", flag,
				count))
		case err != nil:
			return shard{}, "", misused(fmt.Errorf("--shard %s: %v", flag, err))
		case named == "":
			return shard{}, "", misused(fmt.Errorf("--shard %s: neither %s nor %s is set, so this is not an array "+
				"task; write --shard K/%d", flag, arrayID, jobIndex, n))
		case array.n != 0 && array.n != n:
			return shard{}, "", misused(fmt.Errorf("--shard %s: the array has %d tasks; write auto/%d", flag, array.n,
				array.n))
		case array.k > n:
			return shard{}, "", misused(fmt.Errorf("--shard %s: this is task %d of the array, counted from 1; write "+
				"auto/N with the number of all tasks", flag, array.k))
		}
		return shard{array.k, n}, partNotice(shard{array.k, n}, named), nil
	case flag != "":
		s, ok := parseShard(flag)
		if !ok {
			return shard{}, "", misused(fmt.Errorf("--shard %q is not K/N with K from 1 to N; write 3/8 for the "+
				"third of eight parts", flag))
		}
		return s, "", nil
	case err != nil:
		return shard{}, "", misused(err)
	case named == "":
		return wholeRun, "", nil
	case array.n == 0:
		return wholeRun, fmt.Sprintf("%s is set but the number of tasks is unknown: everything is checked; --shard "+
			"auto/N checks this task's part of N, --shard 1/1 checks everything without this note", named), nil
	}
	return array, partNotice(array, named), nil
}

func partNotice(s shard, named string) string {
	return fmt.Sprintf("part %d of %d, from %s; --shard 1/1 checks everything", s.k, s.n, named)
}

// parseShard reads K/N.
func parseShard(text string) (shard, bool) {
	left, right, ok := strings.Cut(text, "/")
	k, errK := strconv.Atoi(left)
	n, errN := strconv.Atoi(right)
	return shard{k, n}, ok && errK == nil && errN == nil && k >= 1 && k <= n && n <= maxShards
}

// arrayTask reads the place of this task: k counts from 1, whatever number the array starts with; n is 0 if unknown.
// named is the variable used, "" if this is not an array task.
func arrayTask(getenv func(string) string) (s shard, named string, err error) {
	slurm, indexed := getenv(arrayID), getenv(jobIndex)
	switch {
	case slurm != "" && indexed != "":
		return shard{}, "", fmt.Errorf("both %s and %s are set; choose the part with "+
			"--shard K/N, or --shard 1/1 for everything", arrayID, jobIndex)
	case slurm != "":
		s, err := slurmTask(getenv)
		return s, arrayID, err
	case indexed != "":
		i, err := strconv.Atoi(indexed) // counts from 0
		if err != nil || i < 0 || i >= maxShards {
			return shard{}, "", fmt.Errorf("%s is %q, not an index; give --shard K/N, or --shard 1/1 for everything",
				jobIndex, indexed)
		}
		return shard{i + 1, 0}, jobIndex, nil
	}
	return shard{}, "", nil
}

// slurmTask finds the place of a task in an array with any start and step. Arrays with gaps (1,3,7) are refused: there
// a task cannot know how many come before it.
func slurmTask(getenv func(string) string) (shard, error) {
	number := func(name string) (int, error) {
		v, err := strconv.Atoi(getenv(name))
		if err != nil || v < 0 {
			return 0, fmt.Errorf("%s is %q, not a number; give --shard K/N, or --shard 1/1 for everything", name,
				getenv(name))
		}
		return v, nil
	}
	id, err := number(arrayID)
	if err != nil {
		return shard{}, err
	}
	if getenv(arrayCount) == "" || getenv(arrayMin) == "" {
		return shard{id + 1, 0}, fmt.Errorf("%s is set without %s and %s, so the part of this task is unknown; "+
			"give --shard K/N, or --shard 1/1 for everything", arrayID, arrayCount, arrayMin)
	}
	count, err := number(arrayCount)
	if err != nil {
		return shard{}, err
	}
	least, err := number(arrayMin)
	if err != nil {
		return shard{}, err
	}
	step := 1
	if getenv(arrayStep) != "" {
		if step, err = number(arrayStep); err != nil {
			return shard{}, err
		}
	}
	gaps := fmt.Errorf("the array's task numbers have gaps, so the part of task %d is unknown; use an array "+
		"without gaps (0-7), or give --shard K/N", id)
	if step < 1 || count < 1 || count > maxShards || id < least || (id-least)%step != 0 {
		return shard{}, gaps
	}
	if getenv(arrayMax) != "" {
		most, err := number(arrayMax)
		if err != nil {
			return shard{}, err
		}
		if (most-least)/step+1 != count {
			return shard{}, gaps
		}
	}
	k := (id-least)/step + 1
	if k > count {
		return shard{}, gaps
	}
	return shard{k, count}, nil
}

// shardOf is the part of a program, from 1 to n. It depends only on the program's content, not on its path or on the
// other programs. For programs that cannot be read it depends on the path.
func shardOf(path string, n int) int {
	sum, err := sumFile(path)
	if err != nil {
		sum = store.Sum([]byte(path))
	}
	digest, err := hex.DecodeString(sum)
	if err != nil || len(digest) != sha256.Size {
		return 1
	}
	return int(binary.BigEndian.Uint64(digest[:8])%uint64(n)) + 1
}
