package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/mattn/go-runewidth"
	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine/bench"
	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/report"
	"candelua/engine/result"
	"candelua/engine/survey"
)

// summary is what --json prints of a run in a list.
type summary struct {
	*survey.Summary
	Error *errorJSON `json:"error,omitempty"`
}

func (a *app) listRuns(cmd *cobra.Command, out string, f *runsFlags) error {
	all, err := survey.Runs(cmd.Context(), out, builtins.Modules(), simulatedBench)
	if err != nil {
		return err
	}
	w := cmd.OutOrStdout()
	if f.json {
		list := make([]summary, len(all))
		for i, s := range all {
			list[i] = summary{s, errorOf(s.Err)}
		}
		return encode(w, map[string]any{"runs": list})
	}
	if len(all) == 0 {
		_, err := fmt.Fprintf(w, "There are no runs in %s.\nMake one with: candelua run window-sweep\n", plain.Line(out))
		return err
	}
	var text strings.Builder
	printRuns(&text, all, widthOf(w))
	_, err = io.WriteString(w, text.String())
	return err
}

// mostValues is how many values of a run a list shows.
const mostValues = 3

// printRuns writes one line for each run. Below it are the cells that did not fit,
// why the run is not done, and its first values.
func printRuns(w io.Writer, all []*survey.Summary, width int) {
	columns := []runsColumn{{head: "run"}, {head: "status"}, {head: "procedure"}, {head: "unit"}, {head: "started"}}
	for _, s := range all {
		for j, cell := range []string{s.Folder, standing(s), otherProcedure(s), unitText(s), startedText(s)} {
			columns[j].cells = append(columns[j].cells, plain.Line(cell))
		}
	}
	columns, below := fitColumns(columns, width)
	fmt.Fprintln(w, rowOf(columns, -1))
	for i, s := range all {
		fmt.Fprintln(w, rowOf(columns, i))
		var moved []string
		for _, c := range below {
			if c.cells[i] != "" {
				moved = append(moved, c.cells[i])
			}
		}
		for _, text := range []string{strings.Join(moved, "; "), troubleText(s), valuesText(s.Values)} {
			if text != "" {
				paragraphWithin(w, width, "    ", "    ", text)
			}
		}
	}
	if text := unlikePaths(all); text != "" {
		paragraphWithin(w, width, "", "", text)
	}
}

// runsColumn is a column of a list of runs.
type runsColumn struct {
	head  string
	width int
	cells []string
}

// gap stands between columns.
const gap = "  "

// fitColumns leaves out the columns that are empty, and moves those below that
// find no room, from the right. Run and status stay; what of them is too wide
// is cut off.
func fitColumns(columns []runsColumn, width int) (fit, below []runsColumn) {
	total := -len(gap)
	for _, c := range columns {
		if !slices.ContainsFunc(c.cells, func(cell string) bool { return cell != "" }) {
			continue
		}
		for _, cell := range append([]string{c.head}, c.cells...) {
			c.width = max(c.width, runewidth.StringWidth(cell))
		}
		if len(fit) >= 2 && (len(below) > 0 || total+c.width+len(gap) > width) {
			below = append(below, c)
			continue
		}
		total += c.width + len(gap)
		fit = append(fit, c)
	}
	for j := len(fit) - 1; j >= 0 && total > width; j-- {
		narrow := max(fit[j].width-(total-width), min(fit[j].width, 16))
		total -= fit[j].width - narrow
		fit[j].width = narrow
	}
	return fit, below
}

// rowOf writes a row, -1 the heads.
func rowOf(columns []runsColumn, row int) string {
	line := ""
	for _, c := range columns {
		cell := c.head
		if row >= 0 {
			cell = c.cells[row]
		}
		line += runewidth.FillRight(runewidth.Truncate(cell, c.width, "…"), c.width) + gap
	}
	return strings.TrimRight(line, " ")
}

// otherProcedure is the procedure of a run whose folder does not say it.
func otherProcedure(s *survey.Summary) string {
	if strings.HasPrefix(s.Folder, s.Procedure+"-") {
		return ""
	}
	return s.Procedure
}

// standing is the status of a run in words.
func standing(s *survey.Summary) string {
	of := ""
	if s.About > 0 {
		of = fmt.Sprintf(" of about %d", s.About)
	}
	switch s.Status {
	case journal.Done:
		text := "done, " + count(s.Steps, "step")
		if s.Finding == result.Fail || s.Finding == result.NotEvaluated {
			text += " (" + strings.ReplaceAll(string(s.Finding), "_", " ") + ")"
		}
		return text
	case journal.Failed:
		return "failed " + atStep(s.Steps)
	case journal.Paused:
		return "paused " + atStep(s.Steps) + of
	case journal.Running:
		return "running, " + atStep(s.Steps) + of
	case journal.Damaged:
		return fmt.Sprintf("damaged at record %d", s.Record)
	case journal.Unreadable:
		return "cannot be read"
	}
	return string(s.Status)
}

// unitText is the unit, if it was described, and its mode.
func unitText(s *survey.Summary) string {
	text := s.Unit
	if s.Unit == bench.DefaultUnit().Name {
		text = ""
	}
	if s.Mode != "" {
		text = strings.TrimPrefix(text+", "+s.Mode, ", ")
	}
	return text
}

// startedText is when a run began, in local time. The day of a simulated bench
// says nothing.
func startedText(s *survey.Summary) string {
	switch {
	case s.Simulated:
		return "(simulated)"
	case s.Started.IsZero():
		return ""
	}
	return s.Started.Local().Format(time.DateOnly + " 15:04")
}

// troubleText is why a run is not done, or why it cannot be read.
func troubleText(s *survey.Summary) string {
	if s.Reason != "" {
		return reasonText(s.Reason)
	}
	if s.Err != nil {
		return s.Err.Error()
	}
	return ""
}

// pausedByOperator is the reason of a run that a person at the bench paused.
const pausedByOperator = "paused by the operator"

// reasonText is why a run was paused or steps were set aside, without the name of
// the device. Some reasons of the journal, whose words are kept for old runs, have
// plainer ones here.
func reasonText(reason string) string {
	reason = strings.ReplaceAll(strings.TrimPrefix(reason, "operator: "), ": operator: ", ": ")
	plainer := map[string]string{
		"paused at the operator's word": pausedByOperator, "struck by the operator": "withdrawn by the operator",
		"it was cut off": "the program ended before the run did",
	}[reason]
	return cmp.Or(plainer, reason)
}

// valuesText writes the first values in a line.
func valuesText(values []*result.Value) string {
	var parts []string
	for i, v := range values {
		if i == mostValues {
			parts = append(parts, fmt.Sprintf("%d more", len(values)-i))
			break
		}
		parts = append(parts, plain.Line(v.Name)+" "+report.ValueText(v))
	}
	return strings.Join(parts, "; ")
}

// atStep says how far a run came.
func atStep(steps int) string {
	if steps == 0 {
		return "before step 1"
	}
	return fmt.Sprintf("at step %d", steps)
}
