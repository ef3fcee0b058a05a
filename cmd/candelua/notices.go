package main

import (
	"github.com/spf13/cobra"

	"candelua/engine/notices"
)

func (a *app) noticesCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "notices",
		Short: "print the licences of what candelua contains",
		Long: `Print the licences of all Go modules that are part of candelua, and of the
packages from which tables of numbers were transcribed.`,
		Example: "  candelua notices > NOTICES.txt",
		Args:    arguments(cobra.NoArgs, "no arguments"),
		RunE:    func(cmd *cobra.Command, _ []string) error { return notices.Write(cmd.OutOrStdout()) },
	}
}
