package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/survey"
)

func (a *app) repairCommand() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "repair RUN",
		Short: "repair a run whose journal is damaged",
		Long: `Repair a run whose journal is damaged. All records before the first damaged one
are kept. The damaged record and all after it are moved to a file in the run's
folder: journal-damaged-1.jsonl, or the next free number. No byte is lost. The
run is then paused, and resume takes again the steps that were set aside. The
old results no longer follow from the journal; they are moved to
results-before-repair-1.json. If the first record is damaged, it is made again
from run.json, and nothing is lost.

First look for an undamaged copy of the journal: if you put it back, nothing is
lost. A torn last line is not damage; resume handles it.

Exit status:
  0  done
  1  failed
  2  wrong use
  5  the journal cannot be repaired`,
		Example: `  candelua repair runs/window-sweep-1
  candelua resume runs/window-sweep-1`,
		Args:              arguments(cobra.ExactArgs(1), "one RUN, which is a run's folder"),
		ValidArgsFunction: completeRuns,
		RunE: func(cmd *cobra.Command, args []string) error {
			done, err := survey.Repair(args[0])
			if err != nil {
				return err
			}
			if asJSON {
				return encode(cmd.OutOrStdout(), repairedOf(done))
			}
			return printRepaired(cmd.OutOrStdout(), done)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object, also on failure")
	return cmd
}

// repaired is what --json prints of a repair.
type repaired struct {
	Run       string           `json:"run"`
	Procedure string           `json:"procedure"`
	Status    journal.Standing `json:"status"`
	Simulated bool             `json:"simulated"`
	Record    int              `json:"record"` // the damaged one, by its line
	Why       string           `json:"why"`
	SetAside  struct {
		Records int    `json:"records"`
		Bytes   int    `json:"bytes"`
		File    string `json:"file"`
		Results string `json:"results,omitempty"`
	} `json:"set_aside"`
	Head  string `json:"head,omitempty"` // the file with the damaged first record, which was made again from run.json
	Steps int    `json:"steps"`          // that are kept
}

func repairedOf(r *survey.Repaired) repaired {
	o := repaired{Run: r.Path, Procedure: r.Procedure, Status: r.Status, Simulated: r.Simulated, Record: r.Record, Why: r.Why, Head: r.Head, Steps: r.Steps}
	o.SetAside.Records, o.SetAside.Bytes, o.SetAside.File, o.SetAside.Results = r.Records, r.Bytes, r.Side, r.Results
	return o
}

func printRepaired(w io.Writer, r *survey.Repaired) error {
	text := fmt.Sprintf("Record %d of the journal is damaged: %s.\n", r.Record, plain.Line(r.Why))
	if r.Head != "" {
		text += fmt.Sprintf("Made again: record 1, from run.json; the damaged record is in %s\n", r.Head)
	}
	if r.Side != "" {
		text += fmt.Sprintf("Set aside: %s, %s, in %s\n", count(r.Records, "record"), count(r.Bytes, "byte"), r.Side)
	}
	if r.Results != "" {
		text += fmt.Sprintf("Set aside: the former results, in %s\n", r.Results)
	}
	text += fmt.Sprintf("Kept: %s.\n", count(r.Steps, "step"))
	if r.Status == journal.Done {
		text += fmt.Sprintf("The run is done. Check it with: candelua replay %s\n", plain.Word(r.Path))
	} else {
		text += fmt.Sprintf("Go on with: %s\n", resumeCommand(r.Path))
	}
	_, err := io.WriteString(w, text)
	return err
}
