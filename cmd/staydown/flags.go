package main

import (
	"errors"
	"fmt"
	"slices"
	"staydown/hold/wording"
	"strings"

	"github.com/spf13/pflag"
)

// newFlags makes the flag set of a command, with the help text in the common form.
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

// plainSwitches removes the [=true|false] of switches from a help text; the columns stay.
func plainSwitches(text string) string {
	const values = "[=true|false]"
	return strings.ReplaceAll(text, values, strings.Repeat(" ", len(values)))
}

// parseFlags reads args; if done is true the command returns status.
func parseFlags(f *pflag.FlagSet, args []string, s streams) (status int, done bool) {
	err := f.Parse(args)
	switch {
	case errors.Is(err, pflag.ErrHelp):
		return exitHeld, true
	case err == nil:
		err = nothingEmpty(f)
	}
	if err != nil {
		complain(s.err, suggested(f, err))
		fmt.Fprintf(s.err, "try: staydown %s --help\n", f.Name())
		return exitUsage, true
	}
	return 0, false
}

// suggested adds the flag that was probably meant to the error of an unknown one.
func suggested(f *pflag.FlagSet, err error) error {
	var unknown *pflag.NotExistError
	if !errors.As(err, &unknown) || len(unknown.GetSpecifiedName()) < 2 {
		return err
	}
	var names []string
	f.VisitAll(func(flag *pflag.Flag) { names = append(names, flag.Name) })
	near, distance := wording.Nearest(unknown.GetSpecifiedName(), names)
	if distance > wording.CloseEnough(unknown.GetSpecifiedName()) {
		return err
	}
	return fmt.Errorf("%w; did you mean --%s?", err, near)
}

// nothingEmpty refuses empty names. They mostly come from an unset variable in a script, and would mean the working
// folder or no output at all.
func nothingEmpty(f *pflag.FlagSet) (err error) {
	f.Visit(func(flag *pflag.Flag) {
		if flag.Value.Type() == "string" && flag.Value.String() == "" {
			err = fmt.Errorf("--%s is empty; give it a value or leave it out", flag.Name)
		}
	})
	if slices.Contains(f.Args(), "") {
		return errors.New("an argument is empty; name a file or folder")
	}
	return err
}
