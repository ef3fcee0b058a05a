package main

import (
	"fmt"
	"runtime"

	"github.com/spf13/cobra"

	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/sim"
)

func (a *app) worldCommand() *cobra.Command {
	var list bool
	cmd := &cobra.Command{
		Use:   "world [NAME|FILE]",
		Short: "print a simulated world, with every parameter explained",
		Long: `Print a simulated world as a TOML file, with every parameter explained. Change
what you like, then run a procedure in it with --world FILE.

A world file needs to state only what differs from another world, which it names:

  format = 1
  base = "ideal"    # a shipped world, or a world file beside this one
  [light]
  white = 900

Without base, that is the world default.`,
		Example: `  candelua world > my-world.toml
  candelua run tone-response --world ./my-world.toml
  candelua world --list`,
		Args: arguments(cobra.MaximumNArgs(1), "at most one NAME or FILE"),
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			return sim.Names(), cobra.ShellCompDirectiveDefault
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if list {
				for _, name := range sim.Names() {
					fmt.Fprintln(cmd.OutOrStdout(), name)
				}
				return nil
			}
			name := "default"
			if len(args) == 1 {
				name = args[0]
			}
			w, err := worldOf(name)
			if err != nil {
				return &fault.UsageError{Err: err}
			}
			return sim.Print(cmd.OutOrStdout(), w)
		},
	}
	cmd.Flags().BoolVar(&list, "list", false, "list the names of the shipped worlds")
	return cmd
}

func (a *app) versionCommand() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:     "version",
		Short:   "print the version",
		Long:    "Print the version of candelua.",
		Example: "  candelua version --json",
		Args:    arguments(cobra.NoArgs, "no arguments"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if asJSON {
				return encode(cmd.OutOrStdout(), map[string]any{"candelua": version, "journal_format": journal.Format,
					"go": runtime.Version(), "os": runtime.GOOS, "arch": runtime.GOARCH})
			}
			_, err := fmt.Fprintln(cmd.OutOrStdout(), versionText())
			return err
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object, also on failure")
	return cmd
}

func versionText() string {
	return fmt.Sprintf("candelua %s (journal format %d, %s, %s/%s)", version, journal.Format, runtime.Version(), runtime.GOOS, runtime.GOARCH)
}
