package main

import (
	"github.com/spf13/cobra"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/operator"
)

func (a *app) resumeCommand() *cobra.Command {
	h := &hands{}
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "resume RUN",
		Short: "go on with a run that was interrupted",
		Long: `Go on with a run: its stored script is executed from its start, the journal
answers what it holds, at once, and then the run goes live.

` + statusHelp,
		Example: "  candelua resume runs/window-sweep-1",
		Args:    arguments(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := h.check(); err != nil {
				return err
			}
			h.console = operator.NewConsole(cmd.InOrStdin(), cmd.ErrOrStderr())
			rep, err := engine.Resume(cmd.Context(), args[0], a.engineSetup(cmd, h), func(head engine.Head) (*bench.File, bench.Openers, error) {
				return h.benchFrom(head.Texts, head.Seed)
			})
			return a.finish(cmd.OutOrStdout(), cmd.ErrOrStderr(), asJSON, "", rep, err)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object")
	h.flags(cmd)
	return cmd
}
