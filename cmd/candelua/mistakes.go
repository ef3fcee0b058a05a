package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"candelua/engine/procedure"
	"candelua/engine/spell"
)

// flagError is a command, a flag or an argument that cannot be used.
type flagError struct {
	err error
	tip string
}

func (e *flagError) Error() string { return e.err.Error() }
func (e *flagError) Unwrap() error { return e.err }

// Code is the error's code in reports.
func (e *flagError) Code() string { return codeUsage }

// Hint says what to do next.
func (e *flagError) Hint() string { return e.tip }

func isFlagError(err error) bool {
	var f *flagError
	return errors.As(err, &f)
}

// wrongFlag is a value of a flag that cannot be used.
func wrongFlag(cmd *cobra.Command, format string, args ...any) error {
	return &flagError{fmt.Errorf(format, args...), helpTip(cmd)}
}

// wrongWord is a value that must be one of some words. The nearest of them is named.
func wrongWord(cmd *cobra.Command, word string, known []string, format string, args ...any) error {
	return &flagError{fmt.Errorf(format, args...), orWord(word, known, helpTip(cmd))}
}

// orWord puts the known word that was probably meant before a hint.
func orWord(word string, known []string, tip string) string {
	if near := spell.Nearest(word, known); near != "" {
		return fmt.Sprintf("did you mean %s? (%s)", near, tip)
	}
	return tip
}

// wrongPath is a value that must be a path, or one of some words, and is another name. The file
// or the word that was probably meant is named.
func wrongPath(cmd *cobra.Command, name string, words []string, ending, format string, args ...any) error {
	err := fmt.Errorf(format, args...)
	if own := procedure.Beside(name, ending); own != "" {
		return &flagError{err, fmt.Sprintf("did you mean %s? (%s)", own, helpTip(cmd))}
	}
	return &flagError{err, orWord(name, words, helpTip(cmd))}
}

func helpTip(cmd *cobra.Command) string {
	what := "arguments and flags"
	if cmd.HasSubCommands() {
		what = "commands and flags"
	}
	return cmd.CommandPath() + " --help shows the " + what
}

// arguments turns cobra's complaint about arguments into wrong use. The words
// say what is wanted, such as "one PROCEDURE".
func arguments(check cobra.PositionalArgs, wanted string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if check(cmd, args) == nil {
			return nil
		}
		got := "none is given"
		if len(args) > 0 {
			got = "given: " + strings.Join(args, " ")
		}
		return &flagError{fmt.Errorf("%s takes %s; %s", cmd.CommandPath(), wanted, got),
			helpTip(cmd) + ", with examples"}
	}
}

// knownCommand refuses a command that does not exist.
func knownCommand(root *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	var names []string
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	tip := helpTip(root)
	if near := spell.Nearest(args[0], names); near != "" {
		tip = fmt.Sprintf("did you mean candelua %s? (%s)", near, tip)
	}
	return &flagError{fmt.Errorf("there is no command %q", args[0]), tip}
}

// flagMistake says what is wrong with a flag in our words.
func flagMistake(cmd *cobra.Command, err error) error {
	var (
		unknown *pflag.NotExistError
		missing *pflag.ValueRequiredError
		invalid *pflag.InvalidValueError
	)
	switch {
	case errors.As(err, &unknown):
		return noFlag(cmd, unknown)
	case errors.As(err, &missing):
		f := missing.GetFlag()
		return wrongFlag(cmd, "--%s is given without a value; give %s", f.Name, wantedBy(f))
	case errors.As(err, &invalid):
		f := invalid.GetFlag()
		switch {
		case errors.Is(err, errTwice):
			return wrongFlag(cmd, "--%s %w", f.Name, errTwice)
		case errors.Is(err, errEmpty):
			return wrongFlag(cmd, "--%s is empty; give %s, or leave out --%s", f.Name, wantedBy(f), f.Name)
		}
		return wrongFlag(cmd, "--%s is %q; it must be %s", f.Name, invalid.GetValue(), wantedBy(f))
	}
	return wrongFlag(cmd, "%w", err)
}

func noFlag(cmd *cobra.Command, e *pflag.NotExistError) error {
	if short := e.GetSpecifiedShortnames(); short != "" {
		return wrongFlag(cmd, "there is no flag -%s", e.GetSpecifiedName())
	}
	if root := cmd.Root(); cmd == root {
		if err := knownCommand(root, cmd.Flags().Args()); err != nil {
			return err // the flag is one of the command that was meant
		}
	}
	var names []string
	cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
	err := fmt.Errorf("%s has no flag --%s", cmd.CommandPath(), e.GetSpecifiedName())
	if near := spell.Nearest(e.GetSpecifiedName(), names); near != "" {
		return &flagError{err, fmt.Sprintf("did you mean --%s? (%s)", near, helpTip(cmd))}
	}
	return &flagError{err, helpTip(cmd)}
}

// wantedBy says in words what a flag takes.
func wantedBy(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "uint64":
		return "a whole number of 0 or more, below 2^64"
	case "int":
		return "a whole number"
	case "float64":
		return "a number"
	case "bool":
		return "true or false"
	}
	name, _ := pflag.UnquoteUsage(f)
	return "a " + name
}
