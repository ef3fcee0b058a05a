package main

import (
	"os"

	"github.com/spf13/cobra"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/operator"
	"candelua/engine/store"
)

func (a *app) resumeCommand() *cobra.Command {
	h := &hands{line: a.line}
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "resume RUN",
		Short: "go on with a run that was interrupted",
		Long: `Go on with a run, given its folder: its stored script is executed from its
start, the journal answers what it holds, at once, and then the run goes live.

` + statusHelp,
		Example:           "  candelua resume runs/window-sweep-1",
		Args:              arguments(cobra.ExactArgs(1), "one RUN, which is a run's folder"),
		ValidArgsFunction: completeRuns,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := h.check(cmd); err != nil {
				return err
			}
			h.console = operator.NewConsole(cmd.InOrStdin(), cmd.ErrOrStderr())
			o := outcome{folder: folderIfThere(args[0])}
			o.rep, o.err = engine.Resume(cmd.Context(), args[0], a.engineSetup(cmd, h), func(head engine.Head) (*bench.File, bench.Openers, error) {
				o.procedure, o.simulated = head.Procedure, head.Simulated
				return h.benchFrom(head.Texts, head.Seed, head.Mode)
			})
			return a.finish(cmd.OutOrStdout(), cmd.ErrOrStderr(), asJSON, o)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object, also on failure")
	cmd.Flags().BoolVar(&h.accept, "accept-cautions", false, "accept what the procedure cautions of, without being asked")
	h.flags(cmd)
	return cmd
}

// folderIfThere is the path of a run's folder, empty where there is none.
func folderIfThere(path string) string {
	if info, err := os.Stat(path); err != nil || !info.IsDir() {
		return ""
	}
	return path
}

func completeRuns(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return foldersIn("runs"), cobra.ShellCompDirectiveFilterDirs
}

// foldersIn lists the run folders in a folder.
func foldersIn(out string) []string {
	entries, _ := store.List(out) // a folder that is not there yet holds no runs
	paths := make([]string, len(entries))
	for i, e := range entries {
		paths[i] = e.Path
	}
	return paths
}
