package main

import (
	"errors"
	"fmt"

	"github.com/spf13/pflag"
)

// newFlags makes the flag set of one command, with a help text in the form that all commands share.
func newFlags(name, args, does string, s streams) *pflag.FlagSet {
	f := pflag.NewFlagSet(name, pflag.ContinueOnError)
	f.SetOutput(s.err)
	f.SortFlags = false
	f.Usage = func() {
		fmt.Fprintf(s.out, "usage: staydown %s [FLAGS] %s\n\n%s\n", name, args, does)
		if text := f.FlagUsagesWrapped(100); text != "" {
			fmt.Fprintf(s.out, "\nflags:\n%s", text)
		}
	}
	return f
}

// parseFlags reads args; done is true when the command has nothing left to do but return status.
func parseFlags(f *pflag.FlagSet, args []string, s streams) (status int, done bool) {
	err := f.Parse(args)
	switch {
	case errors.Is(err, pflag.ErrHelp):
		return exitHeld, true
	case err != nil:
		fmt.Fprintf(s.err, "staydown %s: %v\ntry: staydown %s --help\n", f.Name(), err, f.Name())
		return exitUsage, true
	}
	return 0, false
}
