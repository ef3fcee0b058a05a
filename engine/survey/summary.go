package survey

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"candelua/engine/archive"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/store"
)

// Summary is the status of a run and its first results. Of a run that cannot be
// read it holds what is known.
type Summary struct {
	Path      string           `json:"run"`
	Folder    string           `json:"folder"` // the path's last name
	Status    journal.Standing `json:"status"`
	Reason    string           `json:"reason,omitempty"` // why it has this status; empty if it is done
	Steps     int              `json:"steps"`            // answered, and in effect
	About     int              `json:"about,omitempty"`  // about how many it takes in all; 0: it is done, or this is not known
	Record    int              `json:"record,omitempty"` // the damaged one
	Procedure string           `json:"procedure,omitempty"`
	Unit      string           `json:"unit,omitempty"`
	Mode      string           `json:"mode,omitempty"`
	Bench     string           `json:"bench,omitempty"`
	Simulated bool             `json:"simulated"`
	Started   time.Time        `json:"started,omitzero"` // of a simulated bench, a fixed day
	Finding   result.Finding   `json:"finding,omitempty"`
	Values    []*result.Value  `json:"values"`
	Paths     []bench.Path     `json:"paths,omitempty"` // over which signal paths it was read; none where that is not known
	// Err is why the run, or what it concluded, cannot be read.
	Err error `json:"-"`
}

// sight is what can be seen of a run without locking it.
type sight struct {
	Summary
	head    history.Head
	history *history.History // nil if the journal cannot be read; of a damaged one, what comes before the damage
	kept    []string         // files in which repairs keep what they cut from the journal
}

// see reads a run's folder. It writes nothing, holds no lock, and never fails:
// what is wrong is part of what is seen.
func see(path string) *sight {
	s := &sight{Summary: Summary{Path: path, Folder: filepath.Base(path), Status: journal.Unreadable, Values: []*result.Value{}}}
	if whole, err := filepath.Abs(path); err == nil {
		s.Folder = filepath.Base(whole)
	}
	folder, busy, err := store.Look(path)
	if errors.Is(err, result.ErrNewer) {
		return s.cannot(journal.Newer, err)
	}
	if err != nil {
		return s.cannot(journal.Unreadable, err)
	}
	defer func() { _ = folder.Close() }() // nothing was written that could be lost
	s.kept = folder.Damaged()
	var m archive.Meta
	metaErr := folder.ReadMeta(&m)
	if errors.Is(metaErr, result.ErrNewer) {
		return s.cannot(journal.Newer, metaErr)
	}
	s.know(m.Head)
	if s.readJournal(folder); s.history == nil {
		return s
	}
	s.Steps = s.history.Journal.Steps()
	if busy != nil && s.Status != journal.Damaged {
		s.Status, s.Reason = journal.Running, "it is open in "+folder.Holder()
	}
	switch s.Status {
	case journal.Done, journal.Failed, journal.Paused:
		if metaErr != nil {
			s.Err = fmt.Errorf("%w; candelua resume writes it anew", metaErr)
			return s
		}
		s.readResults(folder, m)
	}
	return s
}

// cannot says why no more is seen of the run.
func (s *sight) cannot(is journal.Standing, err error) *sight {
	s.Status, s.Err, s.Reason = is, err, err.Error()
	return s
}

// know takes in what the run is.
func (s *sight) know(h history.Head) {
	s.head = h
	s.Procedure, s.Unit, s.Mode, s.Bench = h.Procedure, h.Unit, h.Mode, h.Bench
	s.Simulated, s.Started = h.Simulated, h.Started
}

// readJournal reads the status of the run from the journal, which decides it.
func (s *sight) readJournal(folder *store.Run) {
	j, err := journal.Load(folder.JournalPath())
	var version *journal.VersionError
	var damage *journal.DamageError
	switch {
	case errors.As(err, &version) && version.Format > version.Reads:
		s.cannot(journal.Newer, err)
		return
	case errors.As(err, &damage):
		s.cannot(journal.Damaged, err)
		s.Record, s.Reason = damage.Record, damage.Why
		d, err := journal.Part(folder.JournalPath())
		if err != nil {
			return // the head is damaged
		}
		j = d.Kept
	case err != nil:
		s.cannot(journal.Unreadable, err)
		return
	}
	h, err := history.Read(j)
	var newer *history.NewerRulesError
	switch {
	case errors.As(err, &newer):
		s.cannot(journal.Newer, err)
		return
	case err != nil:
		s.cannot(journal.Unreadable, err)
		return
	}
	if damage == nil {
		s.Status, s.Reason = h.Standing(), h.Reason()
	}
	s.know(h.Head)
	s.history = h
}

// readResults reads what was concluded, unless that is older than the journal,
// as a crash leaves it.
func (s *sight) readResults(folder *store.Run, m archive.Meta) {
	if !m.Follows(s.history) || m.Status != s.Status || s.Status == journal.Paused && m.Steps != s.Steps {
		if s.Status == journal.Done {
			s.Reason = "the last step was recorded, but the results were not; candelua resume writes them"
		}
		return
	}
	s.Paths = m.Paths
	res, err := folder.ReadResults()
	switch {
	case errors.Is(err, os.ErrNotExist) && s.Status == journal.Paused:
		return // it was cut off, or repaired
	case errors.Is(err, result.ErrNewer):
		s.Err = err
		return
	case err != nil:
		s.Err = fmt.Errorf("%w; candelua resume writes them anew", err)
		return
	}
	s.Values, s.Finding = append(s.Values, res.Values()...), res.Finding()
}
