package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/pflag"
)

// newFlags makes the flag set of one command, with a help text in the form that all commands share.
func newFlags(name, args, does string, s streams) *pflag.FlagSet {
	f := pflag.NewFlagSet(name, pflag.ContinueOnError)
	f.SetOutput(s.err)
	f.SortFlags = false
	f.Usage = func() {
		how := strings.TrimRight("usage: staydown "+name+" [FLAGS] "+args, " ")
		if !f.HasFlags() {
			how = strings.Replace(how, " [FLAGS]", "", 1)
		}
		fmt.Fprintf(s.out, "%s\n\n%s\n", how, does)
		if text := plainSwitches(f.FlagUsagesWrapped(100)); text != "" {
			fmt.Fprintf(s.out, "\nflags:\n%s", text)
		}
	}
	return f
}

// plainSwitches leaves the values that a switch may be given, which nobody needs, out of a help text; columns stay.
func plainSwitches(text string) string {
	const values = "[=true|false]"
	return strings.ReplaceAll(text, values, strings.Repeat(" ", len(values)))
}

// parseFlags reads args; done is true when the command has nothing left to do but return status.
func parseFlags(f *pflag.FlagSet, args []string, s streams) (status int, done bool) {
	err := f.Parse(args)
	switch {
	case errors.Is(err, pflag.ErrHelp):
		return exitHeld, true
	case err == nil:
		err = nothingEmpty(f)
	}
	if err != nil {
		complain(s.err, err)
		fmt.Fprintf(s.err, "try: staydown %s --help\n", f.Name())
		return exitUsage, true
	}
	return 0, false
}

// nothingEmpty refuses empty names, which mostly come of a variable of a script that is not set and would otherwise
// mean the working folder, or no output at all.
func nothingEmpty(f *pflag.FlagSet) (err error) {
	f.Visit(func(flag *pflag.Flag) {
		if flag.Value.Type() == "string" && flag.Value.String() == "" {
			err = fmt.Errorf("--%s is empty; give what it is to be, or leave the flag out", flag.Name)
		}
	})
	if slices.Contains(f.Args(), "") {
		return errors.New("an argument is empty; name a file or a folder")
	}
	return err
}
