package main

import (
	"errors"
	"io/fs"

	"github.com/spf13/cobra"

	"candelua/engine/regular"
	"candelua/engine/trial"
)

// makePart makes a share of the runs of all trials, and prints what they came to.
// Whether they pass is known when all parts are joined.
func (a *app) makePart(cmd *cobra.Command, runner *trial.Runner, all []*trial.Trial, f *trialFlags) error {
	share, err := trial.ParseShare(f.shard)
	if err != nil {
		return wrongFlag(cmd, "--shard %w", err)
	}
	var outcomes []*trial.Outcome
	for _, t := range all {
		o, err := a.outcomeOf(cmd, runner, t, share)
		if err != nil {
			return err
		}
		outcomes = append(outcomes, o)
	}
	return encode(cmd.OutOrStdout(), trial.NewPart(version, share, outcomes))
}

// mergeParts joins the parts in files, and reports on the trials.
func mergeParts(cmd *cobra.Command, files []string, asJSON bool) error {
	var parts []*trial.Part
	for _, file := range files {
		data, err := regular.Read(file)
		if errors.Is(err, fs.ErrNotExist) {
			return wrongFlag(cmd, "--merge: there is no file %s", file)
		}
		if err != nil {
			return wrongFlag(cmd, "--merge: a part cannot be read: %w", err)
		}
		p, err := trial.ParsePart(data)
		if err != nil {
			return wrongFlag(cmd, "--merge: %s: %w", file, err)
		}
		parts = append(parts, p)
	}
	all, err := trial.Merge(parts)
	if err != nil {
		return wrongFlag(cmd, "--merge: %w", err)
	}
	to := trialOutput{out: cmd.OutOrStdout(), json: asJSON}
	for _, o := range all {
		if err := to.add(o); err != nil {
			return err
		}
	}
	return to.end()
}
