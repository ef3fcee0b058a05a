package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/report"
	"candelua/engine/sandbox"
	"candelua/engine/store"
)

// outcome is what became of a run, a resumption or a replay, with what is known
// of it if there is no report.
type outcome struct {
	folder    string // of the run, if it is known beforehand
	procedure string
	simulated bool
	replay    bool
	budget    bool   // show what uncertainties are made of
	with      string // the corrected script that it was gone on with; empty for none
	rep       *engine.Report
	changed   *engine.Reanalysis // of a replay with something changed
	err       error
}

// cause is why it is not done, if it is not.
func (o *outcome) cause() error {
	err, path := o.err, o.folder
	if o.rep != nil {
		path = o.rep.Path
		if err == nil && o.rep.Outcome != nil {
			err = o.rep.Err
		}
	}
	if err == nil || path == "" {
		return err
	}
	return &runError{err, path}
}

// runError is an error of one run. Its hint names that run where the engine, which
// does not know the path, says RUN.
type runError struct {
	err  error
	path string
}

func (e *runError) Error() string { return e.err.Error() }
func (e *runError) Unwrap() error { return e.err }

// Hint says what to do next.
func (e *runError) Hint() string {
	return ofRun.ReplaceAllLiteralString(fault.HintOf(e.err), plain.Word(e.path))
}

// ofRun matches the word that stands for a run's folder.
var ofRun = regexp.MustCompile(`\bRUN\b`)

// finish prints what became of a run or a resumption, and returns its status.
func (a *app) finish(stdout, stderr io.Writer, asJSON bool, o outcome) error {
	a.line.finish()
	written := o.err == nil
	if err := a.results(stdout, asJSON, &o); err != nil {
		o.err = errors.Join(o.err, err)
	}
	if cause := o.cause(); cause != nil {
		explainEnd(stderr, o.rep, cause)
	}
	if o.rep == nil || o.rep.Outcome == nil {
		if o.err == nil {
			return nil
		}
		return &exitError{statusOf(o.err), o.err}
	}
	say := func(format string, args ...any) { plain.On(stderr).Say("candelua: ", fmt.Sprintf(format, args...)) }
	switch o.rep.Status {
	case journal.Done:
		switch {
		case o.err == nil:
		case written:
			say("the run is done, and its results are in its folder; see them with: candelua runs %s", plain.Word(o.rep.Path))
		default:
			say("everything was measured, and is in the journal; once the cause is mended, write the results with: %s", resumeCommand(o.rep.Path))
		}
	case journal.Paused:
		say("%s %s; %s", pausedWord(o.rep.Err), after(o.rep.Steps), howToGoOn(o.rep, o.with))
	case journal.Failed:
		say("failed %s; %s", after(o.rep.Steps), howToGoOn(o.rep, o.with))
	}
	if o.err != nil {
		return &exitError{statusOf(o.err), o.err}
	}
	if status := statusOfRun(o.rep.Outcome); status != statusDone {
		return &exitError{status, o.rep.Err}
	}
	return nil
}

func after(steps int) string {
	if steps == 0 {
		return "before step 1"
	}
	return fmt.Sprintf("after step %d", steps)
}

// pausedWord says who paused a run, if it was a person at the bench.
func pausedWord(cause error) string {
	if cause != nil && reasonText(cause.Error()) == pausedByOperator {
		return "you paused the run"
	}
	return "paused"
}

// howToGoOn says how to go on with a run. One that its script stopped would stop
// there again, so it needs a corrected script.
func howToGoOn(rep *engine.Report, with string) string {
	path := cmp.Or(with, rep.Head.Source)
	if !isThere(rep.Path) {
		return "put the run's folder back to " + rep.Path + ", then go on with: " + resumeCommand(rep.Path)
	}
	switch own := procedure.IsPath(path); {
	case own && scriptsFault(rep):
		return "correct the script, then go on with: " + resumeCommand(rep.Path) + " --with " + plain.Word(path)
	case scriptsFault(rep):
		return "copy " + plain.Word(filepath.ToSlash(filepath.Join(rep.Path, store.ProcedureName, rep.Head.File))) +
			" to a FILE of your own and correct that, then go on with: " + resumeCommand(rep.Path) + " --with FILE"
	case rep.Status == journal.Paused:
		return "go on with: " + resumeCommand(rep.Path) + orMended(rep)
	}
	return "what was recorded is in " + rep.Path
}

// orMended says how a bench file or a driver that is wrong is corrected, where an instrument did not answer as it should: a pattern
// may not fit, or the instrument may be back at another port.
func orMended(rep *engine.Report) string {
	path := rep.Head.Texts[textBenchPath]
	passing := []string{bench.CodeGarbled, bench.CodeTimeout, bench.CodeInstrument, bench.CodeBadReading, bench.CodeGone}
	if path == "" || !slices.Contains(passing, cmp.Or(rep.Fault, fault.CodeOf(rep.Err))) {
		return ""
	}
	return "; to go on with a corrected bench file or driver, add: --bench " + plain.Word(path)
}

// scriptsFault says whether a run ended since its script is wrong: it raised an
// error, or asked a device for what that cannot do.
func scriptsFault(rep *engine.Report) bool {
	var raised *sandbox.Error
	switch {
	case play.Diverged(rep.Err):
		return false
	case rep.Status == journal.Failed:
		return errors.As(rep.Err, &raised)
	}
	return slices.Contains([]string{bench.CodeBadSetting, bench.CodeUnsupported}, cmp.Or(rep.Fault, fault.CodeOf(rep.Err)))
}

// explainEnd says why a run is not done. A pause that somebody asked for is not an
// error.
func explainEnd(w io.Writer, rep *engine.Report, cause error) {
	paused := rep != nil && rep.Outcome != nil && rep.Status == journal.Paused
	switch {
	case paused && (errors.Is(cause, play.ErrInterrupted) || reasonText(cause.Error()) == pausedByOperator):
	case paused && errors.Is(cause, bench.ErrPaused):
		plain.On(w).Say("candelua: ", reasonText(cause.Error()))
		printHint(w, cause)
	default:
		explain(w, cause)
	}
}

// results prints the results, or the one object that --json asks for.
func (a *app) results(w io.Writer, asJSON bool, o *outcome) error {
	var err error
	switch {
	case asJSON:
		err = printJSON(w, o)
	case o.rep != nil && o.rep.Outcome != nil:
		err = printReport(w, o.rep, o.budget, o.err == nil)
	}
	switch {
	case err == nil:
		return nil
	case o.rep == nil || o.err != nil:
		return fmt.Errorf("the results cannot be printed: %w", err)
	}
	return fmt.Errorf("the results cannot be printed; they are kept in %s: %w", o.rep.Path, err)
}

// printReport prints the results, then where they are kept: what is written of them, if that is all.
func printReport(w io.Writer, rep *engine.Report, budget, written bool) error {
	text := plain.On(w).Page()
	o := terminalOptions(w)
	o.Plots, o.Budget = true, budget
	if written && hasDrawings(rep) {
		o.Drawings, o.DrawingFile = filepath.ToSlash(filepath.Join(rep.Path, store.DrawingsName)), store.DrawingFile
	}
	if err := report.Terminal(text, rep.Results, o); err != nil {
		return err
	}
	if text.Len() > 0 {
		fmt.Fprintln(text)
	}
	for _, c := range rep.Results.Corrections() {
		if file := filepath.Join(rep.Path, store.CorrectionFile(c.ID)); written && isThere(file) {
			fmt.Fprintf(text, "Correction %q: %s\n", c.Name, plain.Line(filepath.ToSlash(file)))
		}
	}
	measuredWhat(text, rep)
	for _, again := range triedTexts(rep.Tried) {
		text.Say("Needed more than one try: ", plain.Line(again))
	}
	text.Say("Run: ", plain.Line(fmt.Sprintf("%s (%s, %s, %s)", rep.Path, rep.Status, count(rep.Steps, "step"), clockText(rep.Seconds))))
	return plain.On(w).Paste(text)
}

// hasDrawings says whether all drawings of the results are files in the run's folder.
func hasDrawings(rep *engine.Report) bool {
	folder := filepath.Join(rep.Path, store.DrawingsName)
	for _, p := range rep.Results.Plots() {
		if !isThere(filepath.Join(folder, store.DrawingFile(p.ID))) {
			return false
		}
	}
	for _, d := range rep.Results.Diagrams() {
		if !isThere(filepath.Join(folder, store.DrawingFile(d.ID))) {
			return false
		}
	}
	return true
}

func isThere(file string) bool {
	_, err := os.Lstat(file)
	return err == nil
}

// terminalOptions say how wide and how coloured a terminal takes its text.
func terminalOptions(w io.Writer) (o report.Options) {
	if f := plain.On(w).File(); f != nil && isTerminal(f) {
		o.Colour = os.Getenv("NO_COLOR") == ""
		o.Width = min(columnsOf(f), 120)
	}
	return o
}

// measuredWhat says what the numbers are numbers of.
func measuredWhat(page *plain.Screen, rep *engine.Report) {
	h := rep.Head
	if h.Simulated {
		page.Say("This bench was simulated: ", plain.Line(h.Procedure)+" measured no real display.")
		return
	}
	text := fmt.Sprintf("%q: %s", h.Bench, plain.Line(h.Unit))
	if h.Unit == bench.DefaultUnit().Name {
		text = fmt.Sprintf("%q. The unit is not described (next time, give --unit FILE)", h.Bench)
	}
	if h.Mode != "" {
		text += ", mode " + plain.Line(h.Mode)
	}
	page.Say("Measured on the bench ", text+".")
}

// triedTexts say what needed more than one try: "3 of 120 readings of the meter (Dunlin 12, 3 tries at most)".
func triedTexts(all []history.Tried) (texts []string) {
	for _, t := range all {
		what := "readings of the " + t.Device
		if t.Step != "" {
			what = "steps " + t.Step
		}
		texts = append(texts, fmt.Sprintf("%d of %d %s (%s, %d tries at most)", t.Again, t.Of, what, cmp.Or(t.Called, t.Device), t.Most))
	}
	return texts
}

// nameOf is what a run of a procedure will be called, given its name or path.
func nameOf(procedure string) string {
	return strings.TrimSuffix(filepath.Base(procedure), ".lua")
}

func encode(w io.Writer, v any) error {
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		return err
	}
	_, err := w.Write(plain.JSON(text.Bytes()))
	return err
}
