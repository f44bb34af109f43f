package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"staydown/hold/job"
	"staydown/hold/result"
	"staydown/report"
	"staydown/report/picture"
)

const varyHelp = `Checks a program with several values of its job: what if the pump were larger, the layer another one, the shop
higher up? One row for each combination, with its verdict, least margin, lowest vacuum and alarm setpoint.

KEY is spelled as in a job file, with a dot behind its table; tools go by their number, zones by their name. VALUES are
separated by semicolons and written as in a job file, but text needs no quotes of its own.

Examples:
  staydown vary part.nc pump.flow="60 m3/h; 100 m3/h; 250 m3/h" site.altitude="0 m; 2000 m"
  staydown vary part.nc layer.material="porous-card; mdf" tool.1.flutes="1; 2" -o part.vary.png

The tool is swept through the stock once for all values that leave program, tools, stock and grid as they are.

Exit status: 0 the program is held with every combination, 1 it is not with at least one, 2 wrong usage or job file,
3 the program could not be analyzed.`

// maxVariants bounds the combinations of one run.
const maxVariants = 1000

// varyOptions are the flags of vary.
type varyOptions struct {
	settings
	format string
	out    string
	force  bool
}

func varyFlags(f *pflag.FlagSet) *varyOptions {
	o := &varyOptions{}
	addAnalysisFlags(f, &o.settings)
	f.StringVar(&o.format, "format", "text", "`FORM` of standard output: text, json or csv")
	f.StringVarP(&o.out, "out", "o", "", "also draw a heat map into `FILE`.png, for two keys: verdict and least margin")
	f.BoolVar(&o.force, "force", false, "overwrite FILE if it exists")
	return o
}

// varied is a key with the values that it takes, as written.
type varied struct {
	key    string
	values []string
}

func runVary(args []string, s streams) int {
	f := newFlags("vary", "PROGRAM KEY=VALUES...", varyHelp, s)
	o := varyFlags(f)
	if status, done := parseFlags(f, args, s); done {
		return status
	}
	if f.NArg() < 2 {
		return misuse(s, `vary takes a program and at least one KEY=VALUES, as in pump.flow="60 m3/h; 100 m3/h"`)
	}
	path := tidy(f.Arg(0))
	keys, err := readVaried(f.Args()[1:])
	if err != nil {
		return misuse(s, "%v", err)
	}
	if p := o.refuse(path, keys); p != nil {
		complain(s.err, p)
		return p.status
	}
	v, p := newVariation(path, keys, o.settings)
	if p != nil {
		complain(s.err, p)
		return p.status
	}
	status := v.run(s)
	if err := o.print(s.out, v.table()); err != nil {
		return broken(s, err)
	}
	if o.out == "" {
		return status
	}
	var drawn bytes.Buffer
	if err := picture.HeatMapPNG(&drawn, v.table()); err != nil {
		complain(s.err, about(o.out, "could not be drawn: %v", err))
		return exitUnanalysed
	}
	if err := writeWhole(o.out, drawn.Bytes()); err != nil {
		complain(s.err, err)
		return exitUsage
	}
	mention(s.err, "wrote %s", filepath.ToSlash(o.out))
	return status
}

// readVaried reads the arguments KEY=VALUES.
func readVaried(args []string) ([]varied, error) {
	var out []varied
	combinations := 1
	for _, arg := range args {
		key, values, ok := strings.Cut(arg, "=")
		if !ok {
			return nil, fmt.Errorf(`%q has no equals sign; write KEY=VALUES, as in pump.flow="60 m3/h; 100 m3/h"`, arg)
		}
		v := varied{strings.TrimSpace(key), job.Alternatives(values)}
		if slices.Contains(v.values, "") {
			return nil, fmt.Errorf("%q has an empty value; write one value or more, with semicolons between them", arg)
		}
		if combinations *= len(v.values); combinations > maxVariants {
			return nil, fmt.Errorf("these are more than %d combinations; give fewer values", maxVariants)
		}
		out = append(out, v)
	}
	return out, nil
}

// refuse checks the form and the file of the heat map.
func (o *varyOptions) refuse(program string, keys []varied) *problem {
	switch {
	case !slices.Contains([]string{"text", "json", "csv"}, o.format):
		return misused(fmt.Errorf("--format %q is unknown; use text, json or csv", o.format))
	case o.out == "":
		return nil
	case strings.ToLower(filepath.Ext(o.out)) != ".png":
		return misused(about(filepath.ToSlash(o.out), "is no name for a picture; let it end in .png"))
	case len(keys) != 2:
		return misused(fmt.Errorf("a heat map has two keys, not %d; leave out -o, or vary two keys", len(keys)))
	}
	if p := refuseOverwrite(program, o.out); p != nil {
		return p
	}
	if _, err := os.Lstat(o.out); err == nil && !o.force {
		return misused(about(filepath.ToSlash(o.out), "already exists; choose another file with -o, or overwrite it "+
			"with --force"))
	}
	return nil
}

// print writes the table in the form asked for.
func (o *varyOptions) print(w io.Writer, table *result.Variants) error {
	switch o.format {
	case "json":
		return report.VariantsJSON(w, table)
	case "csv":
		return report.VariantsCSV(w, table)
	}
	return report.VariantsText(w, table)
}
