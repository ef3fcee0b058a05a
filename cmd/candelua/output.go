package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"

	"candelua/engine"
	"candelua/engine/report"
	"candelua/engine/script"
)

// object is what --json prints, also on failure.
type object struct {
	Run       string          `json:"run"`
	Procedure string          `json:"procedure"`
	Status    engine.Status   `json:"status"`
	Simulated bool            `json:"simulated"`
	Values    json.RawMessage `json:"values"`
	Tables    json.RawMessage `json:"tables"`
	Notes     json.RawMessage `json:"notes,omitempty"`
	// Differences are a replay's.
	Differences []string   `json:"differences,omitempty"`
	Error       *errorJSON `json:"error,omitempty"`
}

type errorJSON struct {
	Code    string `json:"code"`
	Message string `json:"message"`
	Hint    string `json:"hint,omitempty"`
	File    string `json:"file,omitempty"`
	Line    int    `json:"line,omitempty"`
}

func errorOf(err error) *errorJSON {
	if err == nil {
		return nil
	}
	e := &errorJSON{Code: script.CodeOf(err), Message: err.Error(), Hint: script.HintOf(err)}
	var in *script.Error
	if errors.As(err, &in) {
		e.File, e.Line = in.File, in.Line
	}
	return e
}

// printJSON prints one object, whatever became of the run.
func printJSON(w io.Writer, procedure string, rep *engine.Report, err error) error {
	o := object{Procedure: procedure, Status: engine.Failed, Values: json.RawMessage("[]"), Tables: json.RawMessage("[]"), Error: errorOf(err)}
	if rep != nil {
		o.Run, o.Procedure, o.Simulated = rep.Path, rep.Head.Procedure, rep.Head.Simulated
		for _, d := range rep.Differences {
			o.Differences = append(o.Differences, d.String())
		}
	}
	if rep != nil && rep.Outcome != nil {
		o.Status = rep.Status
		if o.Error == nil {
			o.Error = errorOf(rep.Err)
		}
		text, err := rep.Results.MarshalJSON()
		if err != nil {
			return err
		}
		var parts struct{ Values, Tables, Notes json.RawMessage }
		if err := json.Unmarshal(text, &parts); err != nil {
			return err
		}
		o.Values, o.Tables, o.Notes = parts.Values, parts.Tables, parts.Notes
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(o)
}

// finish prints what became of a run or a resumption, and gives its status.
func (a *app) finish(stdout, stderr io.Writer, asJSON bool, procedure string, rep *engine.Report, err error) error {
	if asJSON {
		if e := printJSON(stdout, procedure, rep, err); e != nil {
			return e
		}
	}
	if rep == nil || rep.Outcome == nil {
		if err == nil {
			return nil
		}
		explain(stderr, err)
		return &exitError{statusOf(err), err}
	}
	clearProgress(stderr)
	if !asJSON {
		a.printReport(stdout, rep)
	}
	if err != nil {
		explain(stderr, err)
		return &exitError{statusOf(err), err}
	}
	if rep.Err != nil {
		explain(stderr, rep.Err)
	}
	if rep.Status == engine.Paused {
		fmt.Fprintf(stderr, "candelua: paused after step %d; go on with: candelua resume %s\n", rep.Steps, rep.Path)
	}
	if status := statusOfRun(rep.Outcome); status != statusDone {
		return &exitError{status, rep.Err}
	}
	return nil
}

func clearProgress(w io.Writer) {
	if f, ok := w.(*os.File); ok && isTerminal(f) {
		fmt.Fprint(w, "\r\x1b[K")
	}
}

// printReport prints the results, then where they are kept.
func (a *app) printReport(w io.Writer, rep *engine.Report) {
	f, isFile := w.(*os.File)
	o := report.Options{Plots: true, Colour: isFile && isTerminal(f) && os.Getenv("NO_COLOR") == ""}
	if err := report.Terminal(w, rep.Results, o); err != nil {
		a.log.Error("the results cannot be printed", "error", err)
	}
	fmt.Fprintln(w)
	what := rep.Head.Unit
	if rep.Head.Mode != "" {
		what += ", mode " + rep.Head.Mode
	}
	if rep.Head.Simulated {
		fmt.Fprintf(w, "This bench was simulated: %s measured no real display.\n", rep.Head.Procedure)
	} else {
		fmt.Fprintf(w, "Measured: %s, on the bench %q.\n", what, rep.Head.Bench)
	}
	fmt.Fprintf(w, "Run: %s (%s, %d steps, %s)\n", rep.Path, rep.Status, rep.Steps, clockText(rep.Seconds))
}
