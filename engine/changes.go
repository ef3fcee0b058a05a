package engine

import (
	"context"
	"maps"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/procedure"
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

// usedBy says what a replay is made of: of the run's head was it has that of now.
func usedBy(version string, c Changes, was, now history.Head, files *procedure.Loaded) (u Used, err error) {
	u = Used{Engine: version, Procedure: was.Procedure, File: files.Procedure.File, Scripts: files.Sums(), Edited: c.With != nil}
	if c.With != nil {
		u.Procedure, u.File = c.With.Name, c.With.File
	}
	if u.InPlaceOf, err = c.replaced(was); err != nil {
		return u, err
	}
	u.Corrections, u.Warnings, err = usedCorrections(now)
	return u, err
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
	return used, misfits(corrections, h.Subject(), h.Devices), nil
}
