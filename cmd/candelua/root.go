package main

import (
	"errors"
	"strings"

	"github.com/hashicorp/go-hclog"
	"github.com/spf13/cobra"
)

// flagError is a flag or an argument that cannot be used.
type flagError struct{ err error }

func (e *flagError) Error() string { return e.err.Error() }
func (e *flagError) Unwrap() error { return e.err }
func (e *flagError) Hint() string {
	return "candelua --help shows the commands, candelua COMMAND --help one of them"
}

func isFlagError(err error) bool {
	var f *flagError
	return errors.As(err, &f) || err != nil && strings.HasPrefix(err.Error(), "unknown command")
}

// app is what the commands share.
type app struct {
	logLevel string
	log      hclog.Logger
}

func newRoot() *cobra.Command {
	a := &app{}
	root := &cobra.Command{
		Use:   "candelua",
		Short: "measurement procedures for displays, run the same way every time",
		Long: `candelua runs measurement procedures for displays. A procedure is a Lua script
with a contract; every contact with the world is recorded, so that a run can be
resumed after an interruption and its results recomputed from the record.

` + statusHelp,
		Example: `  candelua run window-sweep
  candelua run tone-response --set target=srgb --bench operator
  candelua resume runs/window-sweep-1
  candelua replay runs/window-sweep-1`,
		SilenceErrors: true,
		SilenceUsage:  true,
		Version:       version,
		PersistentPreRunE: func(cmd *cobra.Command, _ []string) error {
			level := hclog.LevelFromString(a.logLevel)
			if level == hclog.NoLevel {
				return &flagError{errors.New("--log-level is " + a.logLevel + ", want trace, debug, info, warn, error or off")}
			}
			a.log = hclog.New(&hclog.LoggerOptions{Name: "candelua", Level: level, Output: cmd.ErrOrStderr(), DisableTime: true})
			return nil
		},
	}
	root.PersistentFlags().StringVar(&a.logLevel, "log-level", "info", "what is logged to stderr: trace, debug, info, warn, error, off")
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return &flagError{err} })
	root.AddCommand(a.runCommand(), a.resumeCommand(), a.replayCommand(), a.proceduresCommand(), a.describeCommand(),
		a.apiCommand(), a.worldCommand(), a.versionCommand())
	complete(root.PersistentFlags(), root, "log-level", "trace", "debug", "info", "warn", "error", "off")
	return root
}

// arguments turns cobra's complaint about arguments into wrong use.
func arguments(check cobra.PositionalArgs) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if err := check(cmd, args); err != nil {
			return &flagError{err}
		}
		return nil
	}
}
