package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// once holds the value of a flag. It refuses a second value, which would silently
// replace the first, unless the flag is a list; and an empty text, which would
// silently mean that the flag is not given.
type once struct {
	pflag.Value
	flag *pflag.Flag
}

var (
	errTwice = errors.New("is given twice; give it once")
	errEmpty = errors.New("is empty")
)

// Set implements [pflag.Value].
func (o *once) Set(text string) error {
	switch kind := o.Type(); {
	case o.flag.Changed && kind != "stringArray":
		return errTwice
	case (kind == "string" || kind == "stringArray") && strings.TrimSpace(text) == "":
		return errEmpty
	}
	return o.Value.Set(text)
}

// takeOnce makes every flag of a command and of those below it refuse what once does.
func takeOnce(cmd *cobra.Command) {
	for _, flags := range []*pflag.FlagSet{cmd.LocalNonPersistentFlags(), cmd.PersistentFlags()} {
		flags.VisitAll(func(f *pflag.Flag) {
			if _, done := f.Value.(*once); !done {
				f.Value = &once{f.Value, f}
			}
		})
	}
	for _, c := range cmd.Commands() {
		takeOnce(c)
	}
}

// noEmptyArgument refuses an argument without text, as a shell makes it of a variable
// that is not set.
func noEmptyArgument(cmd *cobra.Command, args []string) error {
	for i, arg := range args {
		if strings.TrimSpace(arg) == "" && !cmd.Hidden { // a shell asks the hidden command for what can follow
			return &flagError{fmt.Errorf("argument %d of %s is empty", i+1, cmd.CommandPath()), helpTip(cmd) + ", with examples"}
		}
	}
	return nil
}
