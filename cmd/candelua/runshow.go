package main

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/mattn/go-runewidth"
	"github.com/spf13/cobra"

	"candelua/builtins"
	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/report"
	"candelua/engine/result"
	"candelua/engine/script"
	"candelua/engine/survey"
)

// inspection is what --json prints of one run.
type inspection struct {
	*survey.Inspection
	Error *errorJSON `json:"error,omitempty"`
}

func (a *app) showRun(cmd *cobra.Command, path string, f *runsFlags) error {
	i, err := survey.Inspect(cmd.Context(), path, f.steps, builtins.Modules(), simulatedBench)
	if err != nil {
		return err
	}
	w := cmd.OutOrStdout()
	if f.json {
		return encode(w, inspection{i, errorOf(i.Err)})
	}
	var text strings.Builder
	p := &pages{&text, widthOf(w)}
	p.head(i)
	p.calls(i)
	p.parts(i.Parts)
	p.history(i)
	if err := p.values(i.Values); err != nil {
		return err
	}
	_, err = io.WriteString(w, text.String())
	return err
}

// pages writes the details of a run, in lines of a width.
type pages struct {
	w     io.Writer
	width int
}

// section begins a list with an empty line and its head.
func (p *pages) section(head string) { fmt.Fprintf(p.w, "\n%s\n", head) }

// item writes one of a list, a name and a text beside it.
func (p *pages) item(name string, width int, text string) {
	lead := gap + runewidth.FillRight(plain.Line(name), width) + gap
	if width == 0 {
		lead = gap
	}
	paragraphWithin(p.w, p.width, lead, strings.Repeat(" ", runewidth.StringWidth(lead)), text)
}

func (p *pages) head(i *survey.Inspection) {
	title := i.Folder
	if i.Title != "" {
		title += ": " + i.Title
	}
	paragraphWithin(p.w, p.width, "", "", title)
	for _, f := range headFields(i) {
		if f[1] != "" {
			p.item(f[0], 11, f[1])
		}
	}
}

func headFields(i *survey.Inspection) [][2]string {
	status := standing(&i.Summary)
	switch trouble := troubleText(&i.Summary); {
	case trouble == "":
	case i.Status == journal.Done:
		status += ", but " + trouble
	default:
		status += ": " + trouble
	}
	simulated := ""
	if i.Simulated {
		simulated = " (simulated)"
	}
	unit := i.Unit
	if unit == bench.DefaultUnit().Name {
		unit = "not described"
	}
	if i.Mode != "" {
		unit += ", mode " + i.Mode
	}
	started := ""
	if !i.Simulated {
		started = startedText(&i.Summary)
	}
	time := count(i.Steps, "step") + " in " + clockText(i.Seconds)
	if i.Simulated {
		time += " of simulated time"
	}
	if i.Retakes > 0 {
		time += ", " + count(i.Retakes, "retake")
	}
	return [][2]string{
		{"status", status},
		{"next", nextText(i)},
		{"procedure", i.Procedure + ", from " + i.File},
		{"parameters", paramsText(i.Params)},
		{"unit", unit},
		{"bench", i.Bench + simulated},
		{"signal path", pathsText(i.Paths)},
		{"instruments", devicesText(i.Devices)},
		{"seed", fmt.Sprint(i.Seed)},
		{"candelua", i.Engine},
		{"started", started},
		{"caution", i.Caution},
		{"took", time},
		{"tried again", strings.Join(triedTexts(i.Tried), "; ")},
	}
}

// nextText is what can be done with the run.
func nextText(i *survey.Inspection) string {
	switch i.Status {
	case journal.Paused:
		return resumeCommand(i.Path)
	case journal.Done:
		if i.Reason != "" || i.Err != nil {
			return resumeCommand(i.Path) + ", which writes the results again"
		}
	case journal.Damaged:
		return "candelua repair " + plain.Word(i.Path)
	}
	return ""
}

func paramsText(params script.Params) string {
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(params)) {
		parts = append(parts, name+"="+declare.Show(params[name]))
	}
	return strings.Join(parts, ", ")
}

// devicesText names instruments: "meter: Tern probe TS-2; unit: Crake 2, by
// hand".
func devicesText(devices []bench.Named) string {
	var parts []string
	for _, d := range devices {
		text := d.Name + ": " + d.Identity.Name
		if d.Identity.Serial != "" {
			text += " " + d.Identity.Serial
		}
		if d.Identity.ByHand && !strings.HasSuffix(text, "by hand") {
			text += ", by hand"
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "; ")
}

// calls writes how many steps of each name there are or, where they were asked
// for, every one.
func (p *pages) calls(i *survey.Inspection) {
	if len(i.Calls) == 0 {
		return
	}
	p.section("Steps")
	if len(i.Asked) > 0 {
		p.asked(i.Asked)
		return
	}
	width := 0
	for _, c := range i.Calls {
		width = max(width, len(c.Name))
	}
	for _, c := range i.Calls {
		text := fmt.Sprint(c.Steps)
		if c.Retakes > 0 {
			text += ", " + count(c.Retakes, "retake")
		}
		p.item(c.Name, width, text)
	}
}

func (p *pages) asked(steps []survey.Asked) {
	number, at, t := 0, 0, 0
	for _, s := range steps {
		number = max(number, len(fmt.Sprint(s.Step)))
		at = max(at, runewidth.StringWidth(s.At))
		t = max(t, len(secondsText(s.T)))
	}
	beside := number+t+at+4 < p.width/2 // else the line comes after the request
	for _, s := range steps {
		text := s.Request
		if !beside && s.At != "" {
			text += " at " + s.At
		}
		if s.ByHand {
			text += " (by hand)"
		}
		if s.Retakes > 0 {
			text += " (" + count(s.Retakes, "retake") + ")"
		}
		if s.Failure != "" {
			text += " failed: " + s.Failure
		}
		name := fmt.Sprintf("%*d  %*s", number, s.Step, t, secondsText(s.T))
		if beside {
			name += gap + runewidth.FillRight(s.At, at)
		}
		p.item(name, runewidth.StringWidth(name), text)
	}
}

// secondsText writes script time to a tenth of a second.
func secondsText(t float64) string { return fmt.Sprintf("%.1f s", t) }

func (p *pages) parts(parts []history.Part) {
	if len(parts) == 0 {
		return
	}
	p.section("Parts")
	steps := 0
	for _, s := range parts {
		steps = max(steps, len(stepsText(s)))
	}
	for _, s := range parts {
		text := plain.Line(s.Name)
		for _, word := range partWords(s) {
			text += ", " + word
		}
		name := fmt.Sprintf("%-*s  %7s", steps, stepsText(s), clockText(s.Ended-s.Began)) + strings.Repeat(gap, min(s.Depth, mostDepth))
		p.item(name, len(name), text)
	}
}

// mostDepth is how far parts within parts are indented.
const mostDepth = 5

// partWords says what is special about a part. A part that only an interrupted
// run has, such as on_resume, says so by its name.
func partWords(s history.Part) (words []string) {
	for word, is := range map[string]bool{"must not be interrupted": s.Unbroken, "not ended": s.Open, "left by an error": s.Failed} {
		if is {
			words = append(words, word)
		}
	}
	slices.Sort(words)
	return words
}

func stepsText(s history.Part) string {
	switch {
	case s.Last < s.First:
		return "no steps"
	case s.Last == s.First:
		return fmt.Sprintf("step %d", s.First)
	}
	return fmt.Sprintf("steps %d to %d", s.First, s.Last)
}

// history writes the pauses, and what was set aside, edited, exchanged or decided.
func (p *pages) history(i *survey.Inspection) {
	list(p, "Pauses", i.Pauses, func(s history.Pause) string {
		return fmt.Sprintf("after step %d, at %s: paused for %s; %s", s.After, secondsText(s.At), clockText(s.Seconds), reasonText(s.Reason))
	})
	list(p, "Set aside", i.Voids, func(s history.Void) string {
		return fmt.Sprintf("from step %d: %s; %s", s.From, count(s.Steps, "step"), reasonText(s.Reason))
	})
	list(p, "Edited scripts", i.Edits, func(s history.Edit) string {
		return fmt.Sprintf("after step %d: %s", s.After, editText(s))
	})
	list(p, "Corrected bench files and drivers", i.Benches, func(s history.Mend) string {
		return fmt.Sprintf("after step %d: %s", s.After, sumsText(s.Changed))
	})
	list(p, "Other instruments", i.Swaps, func(s history.Swap) string {
		return fmt.Sprintf("after step %d: %s", s.After, devicesText(s.Devices))
	})
	list(p, "Decisions", alike(i.Decisions), func(s decided) string {
		return fmt.Sprintf("%s: %s = %s", s.at(), s.Name, s.Value)
	})
	list(p, "Set aside by repairs", i.Repairs, func(s string) string { return s })
}

// decided is a choice with all the steps at which it came out alike.
type decided struct {
	survey.Decision
	steps []int
}

// alike joins the decisions of one name and value, in the order of the first of
// each: tens of equal lines would hide the one that differs.
func alike(all []survey.Decision) (joined []decided) {
	for _, d := range all {
		i := slices.IndexFunc(joined, func(j decided) bool { return j.Name == d.Name && string(j.Value) == string(d.Value) })
		if i < 0 {
			i, joined = len(joined), append(joined, decided{Decision: d})
		}
		joined[i].steps = append(joined[i].steps, d.Step)
	}
	return joined
}

// at names the steps.
func (d decided) at() string {
	if len(d.steps) == 1 {
		return fmt.Sprintf("step %d", d.steps[0])
	}
	return "steps " + strings.Trim(strings.ReplaceAll(fmt.Sprint(d.steps), " ", ", "), "[]")
}

// editText names the scripts that changed, and the beginning of their sums.
func editText(e history.Edit) string {
	changed := slices.DeleteFunc(slices.Clone(e.Scripts), func(s history.ScriptSum) bool { return !slices.Contains(e.Changed, s.Name) })
	if len(changed) == 0 {
		return "the scripts as they were before"
	}
	return sumsText(changed)
}

func sumsText(sums []history.ScriptSum) string {
	var parts []string
	for _, s := range sums {
		parts = append(parts, fmt.Sprintf("%s (SHA-256 %.12s…)", s.Name, s.SHA256))
	}
	return strings.Join(parts, ", ")
}

func list[T any](p *pages, head string, all []T, text func(T) string) {
	if len(all) == 0 {
		return
	}
	p.section(head)
	for _, x := range all {
		p.item("", 0, text(x))
	}
}

// values writes all values, as at the end of a run.
func (p *pages) values(values []*result.Value) error {
	if len(values) == 0 {
		return nil
	}
	only := result.New()
	for _, v := range values {
		if _, err := only.Value(*v); err != nil {
			return err
		}
	}
	fmt.Fprintln(p.w)
	return report.Terminal(p.w, only, report.Options{Width: p.width})
}
