package engine

import (
	"errors"
	"os"
	"path/filepath"
	"time"

	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/store"
)

// Standing says how a run stands, seen from outside.
type Standing string

// How a run may stand. The first three are its [Status].
const (
	StandsDone       = Standing(Done)
	StandsFailed     = Standing(Failed)
	StandsPaused     = Standing(Paused)
	StandsRunning    = Standing("running")      // another process has it open to write
	StandsDamaged    = Standing("damaged")      // a record of its journal is
	StandsNewer      = Standing("newer format") // a newer candelua made it
	StandsUnreadable = Standing("unreadable")
)

// Summary is how a run stands, in short. Of a run that cannot be read it holds
// what is known all the same.
type Summary struct {
	Path      string          `json:"run"`
	Folder    string          `json:"folder"` // the path's last name
	Status    Standing        `json:"status"`
	Reason    string          `json:"reason,omitempty"` // why it stands so; empty for one that is done
	Steps     int             `json:"steps"`            // answered, and in effect
	About     int             `json:"about,omitempty"`  // about how many it takes in all; 0: it is done, or nobody knows
	Record    int             `json:"record,omitempty"` // the damaged one
	Procedure string          `json:"procedure,omitempty"`
	Unit      string          `json:"unit,omitempty"`
	Mode      string          `json:"mode,omitempty"`
	Bench     string          `json:"bench,omitempty"`
	Simulated bool            `json:"simulated"`
	Started   time.Time       `json:"started,omitzero"` // of a simulated bench, a fixed day
	Finding   result.Finding  `json:"finding,omitempty"`
	Values    []*result.Value `json:"values"`
	// Err is why the run, or what it concluded, cannot be read.
	Err error `json:"-"`
}

// sight is what can be seen of a run without keeping anybody from it.
type sight struct {
	Summary
	head    Head
	journal *journal.Journal // nil where it cannot be read; of a damaged one, what comes before
	kept    []string         // files in which repairs keep what they cut from the journal
}

// see reads a run's folder. It writes nothing, holds no lock, and never fails:
// what is wrong is part of what is seen.
func see(path string) *sight {
	s := &sight{Summary: Summary{Path: path, Folder: filepath.Base(path), Status: StandsUnreadable, Values: []*result.Value{}}}
	if whole, err := filepath.Abs(path); err == nil {
		s.Folder = filepath.Base(whole)
	}
	folder, busy, err := store.Look(path)
	if err != nil {
		return s.cannot(StandsUnreadable, err)
	}
	defer func() { _ = folder.Close() }() // nothing was written that could be lost
	s.kept = folder.Damaged()
	var m Meta
	metaErr := folder.ReadMeta(&m)
	if errors.Is(metaErr, result.ErrNewer) {
		return s.cannot(StandsNewer, metaErr)
	}
	s.know(m.Head)
	if s.readJournal(folder); s.journal == nil {
		return s
	}
	s.Steps = s.journal.Steps()
	if busy != nil && s.Status != StandsDamaged {
		s.Status, s.Reason = StandsRunning, "it is open in "+folder.Holder()
	}
	switch s.Status {
	case StandsDone, StandsFailed, StandsPaused:
		if metaErr != nil {
			s.Err = metaErr
			return s
		}
		s.readResults(folder, m)
	}
	return s
}

// cannot says why no more is seen of the run.
func (s *sight) cannot(is Standing, err error) *sight {
	s.Status, s.Err, s.Reason = is, err, err.Error()
	return s
}

// know takes in what the run is.
func (s *sight) know(h Head) {
	s.head = h
	s.Procedure, s.Unit, s.Mode, s.Bench = h.Procedure, h.Unit, h.Mode, h.Bench
	s.Simulated, s.Started = h.Simulated, h.Started
}

// readJournal learns from the journal, which is the truth, how the run stands.
func (s *sight) readJournal(folder *store.Run) {
	j, err := journal.Load(folder.JournalPath())
	var version *journal.VersionError
	var damage *journal.DamageError
	switch {
	case errors.As(err, &version) && version.Format > version.Reads:
		s.cannot(StandsNewer, err)
		return
	case errors.As(err, &damage):
		s.cannot(StandsDamaged, err)
		s.Record, s.Reason = damage.Record, damage.Why
		d, err := journal.Part(folder.JournalPath())
		if err != nil {
			return // the head is damaged
		}
		j = d.Kept
	case err != nil:
		s.cannot(StandsUnreadable, err)
		return
	default:
		s.Status, s.Reason = Standing(recordedStatus(j)), stoppedBy(j)
	}
	var h Head
	if err := j.Head(&h); err != nil {
		s.cannot(StandsUnreadable, err)
		return
	}
	s.know(h)
	s.journal = j
}

// wasCutOff is the reason of a pause that nobody asked for.
const wasCutOff = "it was cut off"

// stoppedBy is why a run that is not done stands still.
func stoppedBy(j *journal.Journal) string {
	last, ended := j.Ended()
	switch {
	case !ended:
		if r := j.Record(j.Records()); r.Kind == journal.KindVoid {
			return r.Reason
		}
		return wasCutOff
	case last.Status == string(Done):
		return ""
	}
	return last.Reason
}

// readResults reads what was concluded, unless that is older than the journal,
// as a crash leaves it.
func (s *sight) readResults(folder *store.Run, m Meta) {
	if Standing(m.Status) != s.Status || s.Status == StandsPaused && m.Steps != s.Steps {
		if s.Status == StandsDone {
			s.Reason = "its last step is on record, but not its results; candelua resume writes them"
		}
		return
	}
	res, err := folder.ReadResults()
	switch {
	case errors.Is(err, os.ErrNotExist) && s.Status == StandsPaused:
		return // it was cut off, or repaired
	case err != nil:
		s.Err = err
		return
	}
	s.Values, s.Finding = append(s.Values, res.Values()...), res.Finding()
}
