package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"candelua/engine"
	"candelua/engine/plain"
	"candelua/engine/procedure"
	"candelua/engine/report"
	"candelua/scripts"
)

// changeFlags say what a replay changes.
type changeFlags struct {
	corrections []string
	with        string
}

func (f *changeFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringArrayVar(&f.corrections, "correction", nil, "correct the meter's readings with this `FILE` instead\nof the run's correction; write reference=FILE for\nthe reference meter, or none for no correction")
	flags.StringVar(&f.with, "with", "", "run this `SCRIPT` instead of the stored one; it must\nask for the same steps; its path contains a / or ends\nin .lua")
}

func (f *changeFlags) given() bool { return len(f.corrections) > 0 || f.with != "" }

// changes reads the files that the flags name.
func (f *changeFlags) changes(cmd *cobra.Command) (c engine.Changes, err error) {
	if c.Corrections, err = givenCorrections(f.corrections); err != nil || f.with == "" {
		return c, err
	}
	if !procedure.IsPath(f.with) {
		return c, wrongPath(cmd, f.with, nil, ".lua", "--with is %q; it must be the path of a script, which contains a / or ends in .lua", f.with)
	}
	c.With, err = procedure.Find(f.with, scripts.Files)
	return c, err
}

// reanalyse replays a run with something changed, and prints what that changed.
func (a *app) reanalyse(cmd *cobra.Command, run string, asJSON, budget bool, f changeFlags, setup engine.Setup) error {
	o := outcome{folder: folderIfThere(run)}
	c, err := f.changes(cmd)
	if err == nil {
		o.changed, err = engine.Reanalyse(cmd.Context(), run, setup, c)
	}
	a.line.finish()
	err = stoppedReplay(err)
	o.err = err
	if o.changed != nil {
		o.rep = o.changed.Report
	}
	if err != nil {
		explain(cmd.ErrOrStderr(), o.cause())
	}
	switch {
	case asJSON:
		err = printJSON(cmd.OutOrStdout(), &o)
	case err == nil:
		err = printChanges(cmd.OutOrStdout(), o.changed, budget)
	default:
		err = nil // it was explained
	}
	if o.err == nil && err != nil {
		return fmt.Errorf("the results cannot be printed; they are kept in %s: %w", o.changed.Folder, err)
	}
	if o.err != nil {
		return &exitError{statusOf(o.err), o.err}
	}
	if status := statusOfRun(o.changed.Outcome); status == statusTolerance {
		return &exitError{status, nil}
	}
	return nil
}

// printChanges prints each value before and after, what its uncertainty is made of
// if budget is set, and which correction and script were used.
func printChanges(w io.Writer, re *engine.Reanalysis, budget bool) error {
	text := plain.On(w).Page()
	o := terminalOptions(w)
	o.Budget = budget
	if err := report.Changes(text, re.Before, re.Results, o); err != nil {
		return err
	}
	if text.Len() > 0 {
		fmt.Fprintln(text)
	}
	for _, d := range re.Head.Devices {
		c, is := re.Used.Corrections[d.Name]
		was, replaced := re.Used.InPlaceOf[d.Name]
		if !is && !replaced {
			continue
		}
		line := fmt.Sprintf("Correction of the %s: none", d.Name)
		if is {
			line = fmt.Sprintf("Correction of the %s: %q", d.Name, c.Name)
		}
		if replaced {
			line += fmt.Sprintf(", in place of %q", was)
		}
		fmt.Fprintln(text, plain.Line(line+"."))
	}
	if re.Used.Edited {
		fmt.Fprintln(text, plain.Line("Script: "+re.Used.File+", in place of the run's own."))
	}
	if len(re.Differences) == 0 {
		fmt.Fprintln(text, "Nothing differs from the recorded results.")
	}
	measuredWhat(text, re.Report)
	text.Say("Replay: ", plain.Line(fmt.Sprintf("%s (%s, %s)", re.Folder, re.Status, count(re.Steps, "step"))))
	return plain.On(w).Paste(text)
}
