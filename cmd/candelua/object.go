package main

import (
	"encoding/json"
	"errors"
	"io"
	"regexp"
	"strconv"

	"candelua/engine"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/sandbox"
)

// object is what --json prints of a run, a resumption or a replay, also on
// failure.
type object struct {
	Run       string           `json:"run"` // the folder; empty: there is none
	Procedure string           `json:"procedure"`
	Status    journal.Standing `json:"status"`
	Simulated bool             `json:"simulated"`
	Values    json.RawMessage  `json:"values"`
	Tables    json.RawMessage  `json:"tables"`
	Notes     json.RawMessage  `json:"notes,omitempty"`
	// Draws says how many draws the uncertainties are from, and how many of them
	// had no result; left out if there were no draws.
	Draws json.RawMessage `json:"draws,omitempty"`
	// Tried are the instruments that were asked again for something.
	Tried []history.Tried `json:"tried,omitempty"`
	// Agrees and Differences are a replay's. One that was stopped does not say, nor one that had no results to compare
	// with, for the reason in Uncompared.
	Agrees      *bool    `json:"agrees,omitempty"`
	Differences []string `json:"differences,omitempty"`
	Uncompared  string   `json:"uncompared,omitempty"`
	OlderRules  *older   `json:"older_rules,omitempty"`
	// Replay is the folder that keeps a replay with something changed or with other
	// draws; Before are the recorded values of one with something changed.
	Replay string          `json:"replay,omitempty"`
	Before json.RawMessage `json:"before,omitempty"`
	Error  *errorJSON      `json:"error,omitempty"`
}

// failed is what --json prints if any other command fails.
type failed struct {
	Error *errorJSON `json:"error"`
}

type errorJSON struct {
	Code    string `json:"code"`
	Message string `json:"message"`
	Hint    string `json:"hint,omitempty"`
	File    string `json:"file,omitempty"` // a script, bench, unit or world file
	Line    int    `json:"line,omitempty"`
}

// The codes of errors that have no code of their own.
const (
	codeUsage       = "usage"
	codeScript      = "script"       // the script raised it
	codeInterrupted = "interrupted"  // Ctrl-C
	codeDamaged     = "damaged"      // the journal is not as it was written
	codeFormat      = "format"       // the journal is of another version
	codeEnds        = "journal-ends" // the script asks for more than was recorded
	codeDiffers     = "differs"      // a replay gives other results
)

// older is what a replay did not compare, since the run was made by older rules.
type older struct {
	Run         int      `json:"run"`
	Now         int      `json:"now"`
	Changes     []string `json:"changes"`
	Differences []string `json:"differences"`
}

func olderOf(o *engine.Older) *older {
	if o == nil {
		return nil
	}
	all := &older{Run: o.Rules, Now: history.Rules, Changes: o.Changes}
	for _, d := range o.Differences {
		all.Differences = append(all.Differences, d.String())
	}
	return all
}

func codeOf(err error) string {
	if code := fault.CodeOf(err); code != "error" {
		return code
	}
	var format *journal.VersionError
	var raised *sandbox.Error
	switch {
	case errors.Is(err, play.ErrInterrupted):
		return codeInterrupted
	case errors.Is(err, journal.ErrDamaged):
		return codeDamaged
	case errors.As(err, &format):
		return codeFormat
	case errors.Is(err, play.ErrJournalEnds):
		return codeEnds
	case errors.Is(err, fault.ErrUsage):
		return codeUsage
	case errors.As(err, &raised):
		return codeScript
	}
	return "error"
}

func errorOf(err error) *errorJSON {
	if err == nil {
		return nil
	}
	e := &errorJSON{Code: codeOf(err), Message: err.Error(), Hint: fault.HintOf(err)}
	if place := placed.FindStringSubmatch(e.Message); place != nil {
		e.File, e.Message = place[1], e.Message[len(place[0]):]
		e.Line, _ = strconv.Atoi(place[2]) // the pattern lets digits through only
	}
	return e
}

// placed matches the place at the head of an error: of a script's line, or of a
// bench, unit or world file's.
var placed = regexp.MustCompile(`^([^:\n]+\.(?:lua|toml)):(\d{1,9}): `)

// printJSON prints one object, whatever became of the run.
func printJSON(w io.Writer, out *outcome) error {
	o := object{Run: out.folder, Procedure: out.procedure, Status: journal.Failed, Simulated: out.simulated,
		Values: json.RawMessage("[]"), Tables: json.RawMessage("[]"), Error: errorOf(out.cause())}
	if rep := out.rep; rep != nil {
		o.Run, o.Procedure, o.Simulated, o.Replay = rep.Path, rep.Head.Procedure, rep.Head.Simulated, rep.Kept
		o.Differences = differencesOf(rep)
		o.OlderRules = olderOf(rep.Older)
		o.Tried = rep.Tried
		if rep.Uncompared != nil {
			o.Uncompared = rep.Uncompared.Error()
		}
	}
	if out.rep != nil && out.rep.Outcome != nil {
		o.Status = out.rep.Status
		text, err := out.rep.Results.MarshalJSON()
		if err != nil {
			return err
		}
		var parts struct{ Values, Tables, Notes, Draws json.RawMessage }
		if err := json.Unmarshal(text, &parts); err != nil {
			return err
		}
		o.Values, o.Tables, o.Notes, o.Draws = parts.Values, parts.Tables, parts.Notes, parts.Draws
	}
	if re := out.changed; re != nil && re.Before != nil {
		o.Replay = re.Folder
		text, err := json.Marshal(re.Before.Values())
		if err != nil {
			return err
		}
		o.Before = text
	}
	if out.replay && !errors.Is(out.err, play.ErrInterrupted) {
		agrees := out.err == nil
		if o.Uncompared == "" {
			o.Agrees = &agrees
		}
		if !agrees {
			o.Error = errorOf(out.err)
		}
	}
	return encode(w, o)
}

// printFailure prints the object of a command that failed before it printed one.
func printFailure(w io.Writer, command string, err error) error {
	switch command {
	case "run", "resume", "replay":
		return printJSON(w, &outcome{err: err})
	}
	return encode(w, failed{errorOf(err)})
}
