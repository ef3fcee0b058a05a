package engine

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"

	"candelua/engine/archive"
	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/script"
	"candelua/engine/store"
)

// Changes are what a replay has otherwise than the run had it. The readings
// stay the recorded ones.
type Changes struct {
	// Corrections replace those of the meters, by place: the text of a
	// correction file, or "" for none.
	Corrections map[bench.Kind]string
	// With is executed in place of the stored script; nil keeps that one. Its
	// steps must be the recorded ones, all of them.
	With *procedure.Procedure
}

// Reanalysis is what a replay with changes came to.
type Reanalysis struct {
	*Report        // of the replay; Path is the run's, Differences are from Before
	Folder  string // of the replay, within the run's; empty where nothing was kept
	Before  *result.Results
	Used    Used
}

// Used is replay.json: what a replay was made of, beside the journal.
type Used struct {
	Engine      string                    `json:"engine"` // version of candelua
	Procedure   string                    `json:"procedure"`
	File        string                    `json:"file"`
	Edited      bool                      `json:"edited"` // another script than the run's own
	Scripts     []history.ScriptSum       `json:"scripts"`
	Corrections map[string]UsedCorrection `json:"corrections"` // by the meter's place
	InPlaceOf   map[string]string         `json:"in_place_of"` // names of the run's own corrections that were not used
	Status      journal.Standing          `json:"status"`
	Reason      string                    `json:"reason,omitempty"`
	Warnings    []string                  `json:"warnings,omitempty"`
}

// UsedCorrection is a correction that a replay was made with.
type UsedCorrection struct {
	Name string `json:"name"`
	Text string `json:"text"` // of its file
}

// Reanalyse recomputes a run's results from its journal with something else
// than the run had it: other corrections, another script. What comes of it is
// kept in a new folder of the run's, replays/<n>; journal and results stay as
// they are. Nothing is kept of a replay that fails, other than where the run
// itself failed and does so again.
//
// It fails with a [play.DivergenceError] where a script asks for other steps, a
// [play.LeftOverError] where for fewer, and [play.ErrJournalEnds] where for more.
func Reanalyse(ctx context.Context, path string, s Setup, c Changes) (re *Reanalysis, err error) {
	folder, err := store.Open(path)
	if err != nil {
		return nil, fault.Usage(err)
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	j, err := journal.Load(folder.JournalPath())
	if err != nil {
		return nil, err
	}
	was, err := history.Read(j)
	if err != nil {
		return nil, err
	}
	h := was.Head
	files, err := c.load(ctx, folder, was, s.Modules)
	if err != nil {
		return nil, err
	}
	used := Used{Engine: s.Version, Procedure: h.Procedure, File: files.Procedure.File, Scripts: files.Sums(), Edited: c.With != nil}
	if c.With != nil {
		used.Procedure, used.File = c.With.Name, c.With.File
	}
	if used.InPlaceOf, err = c.replaced(h); err != nil {
		return nil, err
	}
	if h.Texts, err = c.texts(h); err != nil {
		return nil, fault.Usage(err)
	}
	if used.Corrections, used.Warnings, err = usedCorrections(h); err != nil {
		return nil, err
	}
	for _, w := range used.Warnings {
		s.warn("%s", w)
	}
	job := s.jobOf(files.Program, was)
	job.Head = h
	out, err := job.Replay(ctx)
	if err != nil {
		return nil, err
	}
	n := h.Draws
	if s.Draws != nil {
		n = *s.Draws
	}
	if out.Status == journal.Done && n > 0 {
		if err := s.uncertainties(ctx, job, out.Results, n); err != nil {
			return nil, err
		}
	}
	re = &Reanalysis{Report: &Report{Outcome: out, Path: folder.Path(), Head: h, Recorded: was.Standing()}, Used: used}
	return re, re.conclude(folder, files)
}

// conclude compares and keeps what a replay came to.
func (re *Reanalysis) conclude(folder *store.Run, files *procedure.Loaded) (err error) {
	re.Before, err = folder.ReadResults()
	if errors.Is(err, fs.ErrNotExist) { // a run that was cut off
		re.Before, err = result.New(), nil
	}
	if err != nil {
		return err
	}
	re.compare(re.Before)
	re.Used.Status = re.Status
	if re.Err != nil {
		if re.Recorded != journal.Failed || play.Diverged(re.Err) {
			return re.explained()
		}
		re.Used.Reason = re.Err.Error()
	}
	re.Folder, err = keepReplay(folder, re, files)
	return err
}

// explained is why nothing was kept. A script that is the run's own asks for
// other steps only where it chooses them by its readings.
func (re *Reanalysis) explained() error {
	if re.Used.Edited || !play.Diverged(re.Err) {
		return re.Err
	}
	return &SteeredError{re.Err}
}

// SteeredError is a script that asks for other steps than the run took, since
// its readings are other ones with another correction.
type SteeredError struct{ Err error }

func (e *SteeredError) Error() string { return e.Err.Error() }

// Unwrap gives what differs.
func (e *SteeredError) Unwrap() error { return e.Err }

// Code is the error's code in reports.
func (e *SteeredError) Code() string { return fault.CodeOf(e.Err) }

// Hint says what to do next.
func (e *SteeredError) Hint() string {
	return "with this correction the script chooses other steps by its readings; such a choice belongs into run.decide, which gives back the recorded one, " +
		"and which the run must have been made with"
}

// load compiles the script that is to be executed.
func (c *Changes) load(ctx context.Context, folder *store.Run, h *history.History, modules []*script.Module) (*procedure.Loaded, error) {
	if c.With == nil {
		return procedure.Stored(ctx, folder, h, modules)
	}
	return procedure.Load(ctx, c.With, modules)
}

// replaced names the run's own corrections that are not used.
func (c *Changes) replaced(h history.Head) (map[string]string, error) {
	own, err := h.Corrections()
	names := map[string]string{}
	for place, by := range own {
		if _, given := c.Corrections[bench.Kind(place)]; given {
			names[place] = by.Name
		}
	}
	return names, err
}

// texts are the head's, with the corrections that are given instead.
func (c *Changes) texts(h history.Head) (map[string]string, error) {
	texts := map[string]string{}
	maps.Copy(texts, h.Texts)
	there := bench.Identities(h.Devices)
	for k, text := range c.Corrections {
		if _, ok := there[string(k)]; !ok {
			return nil, bench.Errorf(bench.CodeUnsupported, "", "there is a correction for the %s, and the run's bench has none", k)
		}
		if text == "" {
			delete(texts, history.CorrectionText(k))
			continue
		}
		texts[history.CorrectionText(k)] = text
	}
	return texts, nil
}

func usedCorrections(h history.Head) (map[string]UsedCorrection, []string, error) {
	corrections, err := h.Corrections()
	if err != nil {
		return nil, nil, err
	}
	used := map[string]UsedCorrection{}
	for place, c := range corrections {
		used[place] = UsedCorrection{Name: c.Name, Text: h.Texts[history.CorrectionText(bench.Kind(place))]}
	}
	return used, misfits(corrections, h.Unit, h.Devices), nil
}

// keepReplay writes all that a replay came to into a folder of its own.
func keepReplay(folder *store.Run, re *Reanalysis, files *procedure.Loaded) (path string, err error) {
	p, err := folder.NewReplay()
	if err != nil {
		return "", err
	}
	if err := writeReplay(p, re, files); err != nil {
		return "", errors.Join(err, p.Drop())
	}
	return p.Path(), p.Keep()
}

func writeReplay(p *store.Replay, re *Reanalysis, files *procedure.Loaded) error {
	if re.Used.Edited {
		for _, f := range files.Files {
			if err := p.AddProcedure(f.Name, f.Source); err != nil {
				return err
			}
		}
	}
	if err := archive.WriteConclusions(p.Run, re.Outcome); err != nil {
		return err
	}
	if err := p.WriteReplay(re.Used); err != nil {
		return fmt.Errorf("the replay was not kept: %w", err)
	}
	return nil
}
