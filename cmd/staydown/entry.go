package main

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"staydown/cmd/staydown/store"
	"staydown/hold/result"
)

// entry is the record of one analyzed program in an output folder. It is written after the program's files, so if there
// is an entry its files are complete.
type entry struct {
	Build    string // of the program that wrote it
	Settings string // flags on which the files depend
	Path     string
	Name     string
	Inputs   inputs
	Status   int
	Message  string
	Fleeting bool
	Result   result.Result // light
	Lines    []lineText
	Files    []fileSum
}

// fileSum is an output file with the SHA-256 of its content.
type fileSum struct{ Name, SHA string }

// plan is the record of what a run will do. Shards of one run differ only in Shard.
type plan struct {
	Version  string
	Settings string
	Targets  []planned
	Asides   []aside
	Shard    int // 1 to Shards
	Shards   int
}

// planned is a target and its shard.
type planned struct {
	Path, Name string
	Shard      int
}

const planName = store.StateDir + "/plan"

// entryName is the path of a program's record.
func entryName(name string) string {
	sum := sha256.Sum256([]byte(name))
	return store.StateDir + "/programs/" + hex.EncodeToString(sum[:16])
}

// buildDigest is the digest of this build, so that results of another build are never reused.
func buildDigest() (string, error) {
	exe, err := ownProgram()
	if err != nil {
		return "", err
	}
	return sumFile(exe)
}

// sumFile is the SHA-256 of a file's content.
func sumFile(path string) (string, error) {
	file, err := store.OpenRegular(path)
	if err != nil {
		return "", err
	}
	defer file.Close()
	h := sha256.New()
	if _, err := io.Copy(h, file); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// digest lists the flags on which the files of a program depend.
func (o *checkOptions) digest() string {
	return fmt.Sprintf("setup %q, margin %g, cell %g mm, strict %t, block delete %t, set %q, since %q, pictures %t, "+
		"sheet %t",
		tidyUnlessEmpty(o.settings.setup), o.settings.margin, o.settings.cellMM, o.settings.strict,
		o.settings.blockDelete, o.settings.set, o.settings.since, !o.noPictures, o.sheet)
}

func tidyUnlessEmpty(path string) string {
	if path == "" {
		return ""
	}
	return tidy(path)
}

// reader reads files of an output folder.
type reader interface {
	Read(name string) ([]byte, error)
}

// readEntry reads the record of a program. It fails if that is missing or damaged.
func readEntry(from reader, name string) (*entry, error) {
	data, err := from.Read(entryName(name))
	if err != nil {
		return nil, err
	}
	return store.Unpack[entry](data)
}

// files reads the files of an entry; ok is false if one is missing or changed.
func (e *entry) files(from reader) (files map[string][]byte, ok bool) {
	files = map[string][]byte{}
	for _, f := range e.Files {
		data, err := from.Read(f.Name)
		if err != nil || store.Sum(data) != f.SHA {
			return nil, false
		}
		files[f.Name] = data
	}
	return files, true
}

// current reports whether a fresh run would give the same result.
func (e *entry) current(t target, build, digest string, s settings) bool {
	if e.Fleeting || e.Build != build || e.Settings != digest || e.Path != t.path || e.Name != t.name {
		return false
	}
	if sum, err := sumFile(t.path); err != nil || sum != e.Inputs.ProgramSHA {
		return false
	}
	if len(e.Inputs.JobFiles) > 0 || e.Status == 0 {
		if files, p := readJobFiles(t.path, s); p != nil || !slices.Equal(sums(files), e.Inputs.JobFiles) {
			return false
		}
	} else if _, p := jobPathsOf(t.path, s); p == nil {
		// The program failed because it had no job file; now it has one.
		return false
	}
	if _, text, err := readRecords(t.path, ""); err != nil || sumOfRecords(text) != e.Inputs.Records {
		return false
	}
	for _, sub := range e.Inputs.Subs {
		data, err := openSub(filepath.Dir(t.path), sub.Name)
		if sumUnless(data, err) != sub.SHA {
			return false
		}
	}
	return true
}

// outcome is what a run would return for the program, with its result file if there is one.
func (e *entry) outcome(files map[string][]byte) outcome {
	return outcome{
		target: target{e.Path, e.Name}, result: &e.Result, lines: e.Lines, status: e.Status, message: e.Message,
		json: files[e.Name+suffixResult],
	}
}
