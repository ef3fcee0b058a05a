package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/plain"
	"candelua/engine/report"
	"candelua/engine/result"
	"candelua/engine/trial"
)

// printTrial prints one line for each value in each world.
func printTrial(out io.Writer, rep *trial.Report, apart bool) error {
	var b strings.Builder
	if apart {
		b.WriteByte('\n')
	}
	fmt.Fprintf(&b, "%s: %s (%s in %s, %s each)\n", plain.Line(rep.Trial), rep.Finding, plain.Line(rep.Procedure), count(len(rep.Worlds), "world"), count(rep.Seeds, "seed"))
	if rep.Title != "" {
		paragraph(&b, "  ", "  ", rep.Title)
	}
	for _, note := range rep.Notes {
		paragraph(&b, "  note: ", "        ", note)
	}
	columns := trialColumns(rep)
	head := []string{"  world", "seeds passed"}
	for _, c := range columns {
		head = append(head, c.head)
	}
	rows := [][]string{head}
	for i := range rep.Worlds {
		rows = append(rows, worldRows(&rep.Worlds[i], rep.Seeds, columns)...)
	}
	if err := writeRows(&b, rows); err != nil {
		return err
	}
	for i := range rep.Worlds {
		printWhy(&b, rep, &rep.Worlds[i])
	}
	paragraph(&b, "  ", "  ", allText(rep))
	_, err := io.WriteString(out, b.String())
	return err
}

// trialColumn is a column of a trial's table.
type trialColumn struct {
	head string
	cell func(c *trial.Check) string
}

// trialColumns returns the columns for values, and those for bounds and intervals if
// there are any.
func trialColumns(rep *trial.Report) []trialColumn {
	if !anyCheck(rep, func(*trial.Check) bool { return true }) {
		return nil // the trial expects a refusal
	}
	columns := []trialColumn{
		{"value", func(c *trial.Check) string { return c.ID }},
		{"truth", func(c *trial.Check) string { return digits(c.Truth, 5) }},
		{"within", func(c *trial.Check) string { return strings.TrimSpace(report.Display(c.Within) + " " + c.Unit) }},
		{"passed", func(c *trial.Check) string { return fmt.Sprintf("%d/%d", c.Passed, c.Runs) }},
		{"bias", func(c *trial.Check) string { return errorText(c.Bias) }},
		{"scatter", func(c *trial.Check) string { return errorText(c.Scatter) }},
		{"worst", func(c *trial.Check) string { return errorText(c.Worst) }},
		{"wrong", func(c *trial.Check) string { return strconv.Itoa(c.Wrong) }},
		{"not evaluated", func(c *trial.Check) string { return strconv.Itoa(c.NotEvaluated) }},
		{"missing", func(c *trial.Check) string { return strconv.Itoa(c.Missing) }},
	}
	if anyCheck(rep, func(c *trial.Check) bool { return c.Bounds > 0 }) {
		columns = append(columns, trialColumn{"bounds", boundsText})
	}
	if anyCheck(rep, func(c *trial.Check) bool { return c.Intervals > 0 }) {
		columns = append(columns, trialColumn{"in 95 % interval", coveredText})
	}
	return columns
}

func anyCheck(rep *trial.Report, is func(c *trial.Check) bool) bool {
	for _, w := range rep.Worlds {
		for i := range w.Checks {
			if is(&w.Checks[i]) {
				return true
			}
		}
	}
	return false
}

// boundsText says how many values were only a bound, and how far the loosest of
// them lay from the truth.
func boundsText(c *trial.Check) string {
	if c.Bounds == 0 {
		return "0"
	}
	return fmt.Sprintf("%d, up to %s off", c.Bounds, errorText(c.Farthest))
}

// coveredText says how many intervals held the truth, and how many had to.
func coveredText(c *trial.Check) string {
	text := fmt.Sprintf("%d/%d", c.Covered, c.Intervals)
	if c.Covers > 0 {
		text += fmt.Sprintf(", want %s %%", digits(100*c.Covers, 3))
	}
	return text
}

// worldRows are the rows of a world: one for each value, or one.
func worldRows(world *trial.WorldReport, seeds int, columns []trialColumn) [][]string {
	passed := fmt.Sprintf("%d/%d %s", world.Passed, seeds, world.Finding)
	if world.Finding != result.Pass && slices.ContainsFunc(world.Checks, func(c trial.Check) bool { return c.Uncovered != "" }) {
		passed += " (intervals)" // all seeds may have passed
	}
	rows := [][]string{{"  " + world.World, passed}}
	for i := range world.Checks {
		if i > 0 {
			rows = append(rows, []string{"  ", ""})
		}
		for _, column := range columns {
			rows[i] = append(rows[i], column.cell(&world.Checks[i]))
		}
	}
	return rows
}

// printWhy says in words why a world did not pass, and by how much.
func printWhy(w io.Writer, rep *trial.Report, world *trial.WorldReport) {
	say := func(what, text string) { paragraph(w, "  ", "    ", what+": "+text) }
	if world.Failed > 0 {
		say(world.World, fmt.Sprintf("%s did not end as expected, first with seed %d: %s", count(world.Failed, "run"), world.ErrorSeed, world.Error))
	}
	for i := range world.Checks {
		c := &world.Checks[i]
		if c.Uncovered != "" {
			say(world.World+": "+c.ID, c.Uncovered)
		}
		if c.Passed == c.Runs {
			continue
		}
		text := shortText(c)
		if c.Why != "" {
			text += "; " + c.Why
		}
		say(world.World+": "+c.ID, text)
	}
	if need := int(math.Ceil(rep.Pass*float64(rep.Seeds) - 1e-9)); world.Passed < need {
		say(world.World, fmt.Sprintf("%d of %s passed; at least %d must", world.Passed, count(rep.Seeds, "seed"), need))
	}
}

// shortText says how many values did not pass, and by how much the worst is outside.
func shortText(c *trial.Check) string {
	var parts []string
	if c.Wrong > 0 {
		part := fmt.Sprintf("%d of %s wrong", c.Wrong, count(c.Runs, "run"))
		if c.Worst != nil && math.Abs(*c.Worst) > c.Within {
			part += fmt.Sprintf(", the worst is off by %s, %s more than within allows (%s)", withUnit(digits(*c.Worst, 3), c.Unit),
				withUnit(digits(math.Abs(*c.Worst)-c.Within, 2), c.Unit), withUnit(report.Display(c.Within), c.Unit))
		}
		parts = append(parts, part)
	}
	if c.NotEvaluated > 0 {
		parts = append(parts, fmt.Sprintf("%d of %s not evaluated", c.NotEvaluated, count(c.Runs, "run")))
	}
	if c.Missing > 0 {
		parts = append(parts, fmt.Sprintf("%d of %s without the value", c.Missing, count(c.Runs, "run")))
	}
	return strings.Join(parts, ", ")
}

// allText says in words how the trial ended. Of one that passes it names the value that
// came nearest to its limit, because that will be the first to fail.
func allText(rep *trial.Report) string {
	runs, passed := len(rep.Worlds)*rep.Seeds, 0
	near, nearest := "", 0.0
	for _, w := range rep.Worlds {
		passed += w.Passed
		for i := range w.Checks {
			c := &w.Checks[i]
			if c.Worst == nil || c.Within == 0 {
				continue
			}
			if share := math.Abs(*c.Worst) / c.Within; share > nearest {
				nearest = share
				near = fmt.Sprintf(" Nearest to its limit: %s in %s, off by up to %s of %s.", c.ID, w.World, digits(math.Abs(*c.Worst), 3), withUnit(report.Display(c.Within), c.Unit))
			}
		}
	}
	text := fmt.Sprintf("%d of %s passed.", passed, count(runs, "run"))
	if passed == runs {
		text = fmt.Sprintf("All %s passed.", count(runs, "run"))
	}
	if rep.Finding == result.Pass {
		text += near
	}
	return text
}

func withUnit(number, unit string) string { return strings.TrimSpace(number + " " + unit) }

// errorText writes an error to three digits, "-" if there is none. A rest that comes
// from rounding alone is 0.
func errorText(x *float64) string {
	switch {
	case x == nil:
		return "-"
	case result.Same(*x, 0):
		return "0"
	}
	return digits(*x, 3)
}

// digits writes a number to so many significant digits, or to as many as it has
// before the point, without noughts at its end.
func digits(x float64, significant int) string {
	if math.Abs(x) >= math.Pow10(significant) && math.Abs(x) < 1e7 {
		return report.Display(math.Round(x))
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', significant-1, 64), 64)
	if err != nil {
		rounded = x // rounded up beyond the greatest number that there is
	}
	return report.Display(rounded)
}
