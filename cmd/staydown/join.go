package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"staydown/cmd/staydown/store"
	"staydown/report"
)

const joinHelp = `Combines the output folders of all parts of a run (staydown check --shard K/N) into one folder, with the
same files as a run in one piece.

If a part is missing or unfinished, its programs are reported as incomplete and the exit status is 3. Run those parts
again, then join again.

Example:
  staydown join parts/1 parts/2 parts/3 -o night

Exit status: as for staydown check over all programs.`

// part is the output folder of one shard.
type part struct {
	dir    string
	source *store.Source
	plan   *plan
}

func runJoin(args []string, s streams) int {
	f := newFlags("join", "OUT...", joinHelp, s)
	o := &checkOptions{}
	addOutputFlags(f, o)
	f.Lookup("out").Usage = "write the combined run into `DIR` (required)"
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	switch {
	case f.NArg() == 0:
		return misuse(s, "join needs the output folders of the parts")
	case o.out == "":
		return misuse(s, "join needs -o DIR for the combined run")
	}
	baseline, p := o.readShared()
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	parts, p := openParts(f.Args(), o.out)
	defer func() {
		for _, part := range parts {
			part.source.Close()
		}
	}()
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	folder, p := openFolder(o.out)
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	defer folder.Close()
	return join(parts, folder, o, baseline, s)
}

// openParts opens the folders of a run's parts and checks that they belong together. On a problem it still returns the
// parts that it opened.
func openParts(dirs []string, out string) (parts []part, p *problem) {
	outInfo, outErr := os.Stat(out)
	for _, dir := range dirs {
		if info, err := os.Stat(dir); err == nil && outErr == nil && os.SameFile(info, outInfo) {
			return parts, misused(about(dir, "is a part and cannot also be the output; give another "+
				"folder with -o"))
		}
		source, err := store.OpenSource(dir)
		switch {
		case errors.Is(err, store.ErrBusy):
			return parts, misused(about(dir, "a run is still writing there; join after it ends"))
		case errors.Is(err, fs.ErrNotExist):
			return parts,
				misused(about(dir, "is not an output folder of staydown check; name the folders given with -o"))
		case err != nil:
			return parts, misused(readable(dir, err))
		}
		parts = append(parts, part{dir: dir, source: source})
		data, err := source.Read(planName)
		if err == nil {
			parts[len(parts)-1].plan, err = store.Unpack[plan](data)
		}
		if err != nil {
			return parts, misused(about(dir, "its record of the run is missing, damaged or from another version; run "+
				"that part again"))
		}
	}
	first := parts[0]
	for _, other := range parts[1:] {
		switch {
		case other.plan.Version != first.plan.Version || other.plan.Settings != first.plan.Settings:
			return parts,
				misused(fmt.Errorf("%s and %s were made with different flags or versions; run all parts alike",
					first.dir, other.dir))
		case other.plan.Shards != first.plan.Shards:
			return parts, misused(fmt.Errorf("%s is one of %d parts, %s one of %d; join the parts of one run",
				first.dir, first.plan.Shards, other.dir, other.plan.Shards))
		case !slices.Equal(other.plan.Targets, first.plan.Targets):
			return parts, misused(fmt.Errorf("%s and %s were made from different programs; run all parts on the "+
				"same files", first.dir, other.dir))
		}
	}
	return parts, nil
}

// join copies the files of all programs into folder and presents the run.
func join(parts []part, folder *store.Folder, o *checkOptions, baseline *report.Baseline, s streams) int {
	work := *parts[0].plan
	work.Shard, work.Shards = 1, 1
	work.Targets = slices.Clone(work.Targets)
	p := &presenter{opt: o, streams: s, baseline: baseline, said: saidAmong(len(work.Targets))}
	p.leftOver = func(n int) string {
		return fmt.Sprintf("%d of %d programs are missing; run their parts again, then join again", n,
			len(work.Targets))
	}
	p.presentAsides(work.Asides)
	for n := 1; n <= parts[0].plan.Shards; n++ {
		if !slices.ContainsFunc(parts, func(c part) bool { return c.plan.Shard == n }) {
			complain(s.err, fmt.Errorf("part %d of %d is missing", n, parts[0].plan.Shards))
		}
	}
	if err := removeGone(folder, work.Targets, func(string) bool { return true }, s.err); err != nil {
		complain(s.err, writable(o.out, err))
	}
	for i, t := range work.Targets {
		work.Targets[i].Shard = 1
		out, err := copyProgram(parts, t, folder, o)
		if err != nil {
			complain(s.err, err)
			return exitUnanalysed
		}
		p.present(out)
	}
	data, err := store.Pack(&work)
	if err == nil {
		err = folder.Write(planName, data)
	}
	if err != nil {
		complain(s.err, writable(filepath.Join(o.out, planName), err))
		return exitUnanalysed
	}
	return p.finish(folder)
}

// copyProgram copies one program from its part.
func copyProgram(parts []part, t planned, folder *store.Folder, o *checkOptions) (outcome, error) {
	for _, c := range parts {
		if c.plan.Shard != t.Shard {
			continue
		}
		e, err := readEntry(c.source, t.Name)
		if err != nil || e.Path != t.Path || e.Name != t.Name || e.Settings != c.plan.Settings {
			continue
		}
		files, ok := e.files(c.source)
		if !ok {
			continue
		}
		for _, f := range e.Files {
			if err := folder.Write(f.Name, files[f.Name]); err != nil {
				return outcome{}, writable(filepath.Join(o.out, f.Name), err)
			}
		}
		for _, name := range fileNames(target{t.Path, t.Name}) {
			if _, made := files[name]; !made {
				if err := folder.Remove(name); err != nil {
					return outcome{}, writable(filepath.Join(o.out, name), err)
				}
			}
		}
		data, err := store.Pack(e)
		if err != nil {
			return outcome{}, about(t.Path, "its record could not be made (%v)", err)
		}
		if err := folder.Write(entryName(t.Name), data); err != nil {
			return outcome{}, writable(filepath.Join(o.out, entryName(t.Name)), err)
		}
		return e.outcome(files), nil
	}
	const why = "its part is missing, unfinished or damaged; run that part again"
	return outcome{target: target{t.Path, t.Name}, result: unanalysedResult(t.Path, why), status: exitUnanalysed,
		skipped: true}, nil
}
