package archive

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/engine/store"
)

// Meta is run.json: what was asked, and how it went. All of it can be rebuilt
// from the journal, but Still only for the steps that count.
type Meta struct {
	history.Head
	Status  journal.Standing `json:"status"`
	Reason  string           `json:"reason,omitempty"`
	Seconds float64          `json:"seconds"` // script time
	Steps   int              `json:"steps"`
	Retakes int              `json:"retakes,omitempty"` // steps that were asked again
	Tried   []history.Tried  `json:"tried,omitempty"`   // instruments that were asked again within a step; none of an older version
	Voids   []history.Void   `json:"voids,omitempty"`
	Pauses  []history.Resume `json:"pauses,omitempty"`
	Edits   []EditMeta       `json:"edits,omitempty"`
	Benches []BenchMeta      `json:"benches,omitempty"` // none of an older version
	Finding result.Finding   `json:"finding,omitempty"`
	// Paths are the signal paths over which readings were taken, in the order in which they came; none where the sources do not say.
	Paths []bench.Path    `json:"paths,omitempty"`
	Still *Still          `json:"still,omitempty"` // none of a simulated bench, or of an older version
	Files []store.FileSum `json:"files,omitempty"` // what was written beside results.json; none of an older version
}

// Still says which bright pictures stood still on a real unit: see [caution.Still].
type Still struct {
	WhiteHours float64 `json:"white_h"`   // hours of full white that they are worth
	Longest    float64 `json:"longest_s"` // the longest of them
	Brightest  float64 `json:"brightest"` // 1 is SDR white
}

// HeadText is the text of the journal's head in a run.json, as the journal holds it, whichever candelua wrote both. It is
// all that stands between the file's own head and what [Meta] adds.
func HeadText(runJSON []byte) (json.RawMessage, error) {
	var text bytes.Buffer
	if err := json.Compact(&text, runJSON); err != nil {
		return nil, err
	}
	d := json.NewDecoder(bytes.NewReader(text.Bytes()))
	var before, from int64 // where the last member ended, and the one before the head
	for depth := 0; ; {
		token, err := d.Token()
		if err != nil {
			return nil, errors.Join(err, errNoHead)
		}
		if depth == 0 {
			depth++ // the opening brace
			continue
		}
		if token == "status" && from > 0 {
			return json.RawMessage("{" + strings.TrimPrefix(text.String()[from:before], ",") + "}"), nil
		}
		var value json.RawMessage
		if err := d.Decode(&value); err != nil {
			return nil, errors.Join(err, errNoHead)
		}
		if before = d.InputOffset(); token == "kind" {
			from = before
		}
	}
}

// errNoHead is a run.json without what the journal's head holds.
var errNoHead = errors.New("run.json does not hold the head of the journal")

// EditMeta is an edited script that took over.
type EditMeta struct {
	Step    int                 `json:"step"` // the one that came next
	File    string              `json:"file"`
	Scripts []history.ScriptSum `json:"scripts"`
}

// BenchMeta is a corrected bench file, or a corrected driver, that took over.
type BenchMeta struct {
	Step    int                 `json:"step"` // the one that came next
	Changed []history.ScriptSum `json:"changed"`
}

// After adds the exposure that a run.json before this one tells of: a panel was lit in each process that worked at the run,
// also by steps that were set aside, or interrupted.
func (m *Meta) After(before *Still, out *play.Outcome) {
	if before != nil {
		m.stood(before, out.Lit)
	}
}

func (m *Meta) stood(before *Still, lit caution.Still) {
	all := Still{lit.Hours, lit.Longest, lit.Most}
	if before != nil {
		all = Still{all.WhiteHours + before.WhiteHours, max(all.Longest, before.Longest), max(all.Brightest, before.Brightest)}
	}
	if m.Still != nil {
		all = Still{max(all.WhiteHours, m.Still.WhiteHours), max(all.Longest, m.Still.Longest), max(all.Brightest, m.Still.Brightest)}
	}
	if !m.Simulated && all.WhiteHours > 0 {
		m.Still = &all
	}
}

// MetaOf is run.json of a run and its outcome.
func MetaOf(h *history.History, out *play.Outcome) Meta {
	m := Meta{Head: h.Head, Status: out.Status, Seconds: out.Seconds, Steps: out.Steps, Voids: h.Voids, Pauses: h.Resumes}
	if out.Err != nil {
		m.Reason = out.Err.Error()
	}
	if out.Results != nil {
		m.Finding = out.Results.Finding()
	}
	if s := out.Still; !h.Head.Simulated && s.Hours > 0 {
		m.Still = &Still{s.Hours, s.Longest, s.Most}
	}
	m.stood(nil, out.Lit)
	m.Tried, _ = h.Tried() // a step that cannot be read is told of elsewhere
	for i := range out.Readings {
		if p := out.Readings[i].Path; p != "" && !slices.Contains(m.Paths, p) {
			m.Paths = append(m.Paths, p)
		}
	}
	for _, e := range h.Edits {
		m.Edits = append(m.Edits, EditMeta{Step: e.After + 1, File: e.File, Scripts: e.Scripts})
	}
	for _, b := range h.Mends {
		m.Benches = append(m.Benches, BenchMeta{Step: b.After + 1, Changed: b.Changed})
	}
	for n := 1; n <= h.Journal.Steps(); n++ {
		if s, err := h.Journal.Step(n); err == nil {
			m.Retakes += s.Retakes
		}
	}
	return m
}

// FilesChanged are the files that are not as the run wrote them, as far as m is of the whole journal.
func (m *Meta) FilesChanged(folder *store.Run, h *history.History) []store.FileChange {
	if m.Status != h.Standing() || !m.Follows(h) {
		return nil // other files were written since, or are not yet
	}
	return folder.Changed(m.Files)
}

// Follows says whether m is of the whole journal: the run was not gone on with
// since it was written. A crash
// may have come between its end and the writing of what follows from it.
func (m *Meta) Follows(h *history.History) bool {
	return len(m.Pauses) == len(h.Resumes) && len(m.Voids) == len(h.Voids)
}
