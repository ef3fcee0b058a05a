package survey

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"

	"candelua/engine/archive"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/engine/store"
)

// Repaired is what a repair did to a run.
type Repaired struct {
	Path      string // of the run's folder
	Procedure string
	Simulated bool
	Record    int    // the damaged record, by its line in the journal
	Why       string // how it is damaged
	Records   int    // lines that were set aside, the damaged one first
	Bytes     int    // their length
	Steps     int    // answered steps that are kept
	Side      string // the file that holds what was set aside
	Results   string // the file that holds the former results; empty if there were none
	Head      string // the file that holds the damaged head, which was made again from run.json; empty if it was not damaged
	Status    journal.Standing
}

// errRepaired is why a repaired run is paused.
var errRepaired = errors.New("its journal was damaged")

// Repair sets the damaged end of a run's journal aside: it cuts the journal
// before the first damaged record, and keeps all bytes from there on beside it, in
// journal-damaged-<n>.jsonl. The run is then paused. Its old results no longer
// follow from the journal and are moved to results-before-repair-<n>.json. The
// tables, readings and drawings stay until a resumption replaces them.
//
// The journal is cut last. So a repair that is interrupted leaves a damaged
// journal, which the next repair finds, and nothing is lost.
//
// A damaged head is made again from run.json, and kept in a file of its own. If
// nothing else is damaged, nothing is cut, and the run stays as it is.
//
// It fails if nothing is damaged (a torn last line is not damage), if the head is
// damaged and run.json does not hold it ([journal.ErrDamaged]), if a format is
// newer, and if the run is open elsewhere.
func Repair(path string) (done *Repaired, err error) {
	folder, err := store.Open(path)
	if errors.Is(err, os.ErrPermission) {
		return nil, &fault.UsageError{Err: err, Tip: "a repair writes into the run's folder; copy the folder to a place where you may write, and repair the copy"}
	}
	if errors.Is(err, result.ErrNewer) {
		return nil, err // any other fault of run.json is repaired, since it follows from the journal
	}
	if err != nil {
		return nil, fault.Usage(err)
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	headed, err := repairHead(folder)
	if err != nil {
		return nil, err
	}
	d, err := journal.Part(folder.JournalPath())
	if errors.Is(err, journal.ErrWhole) && headed != nil {
		return headed, nil
	}
	if err != nil {
		return nil, unrepaired(folder.Path(), err)
	}
	h, err := history.Read(d.Kept)
	if err != nil {
		return nil, err
	}
	done = &Repaired{Path: folder.Path(), Procedure: h.Head.Procedure, Simulated: h.Head.Simulated, Status: journal.Paused,
		Record: d.Cause.Record, Why: d.Cause.Why, Records: d.Records, Bytes: len(d.Tail), Steps: d.Kept.Steps()}
	if headed != nil {
		done.Head = headed.Head
	}
	if done.Side, err = folder.KeepDamaged(d.Tail); err != nil {
		return nil, err
	}
	out := stoodStill(d)
	meta := archive.MetaOf(h, out)
	var was archive.Meta
	if folder.ReadMeta(&was) == nil { // what the panel showed, it showed
		meta.After(was.Still, out)
	}
	if err := folder.WriteMeta(meta); err != nil {
		return nil, err
	}
	if done.Results, err = folder.SetResultsAside(); err != nil {
		return nil, err
	}
	return done, d.Cut(done.Side)
}

// repairHead makes a damaged head again from run.json, where that holds it. It gives nil where there is nothing to make,
// or no way to.
func repairHead(folder *store.Run) (*Repaired, error) {
	var text json.RawMessage
	if folder.ReadMeta(&text) != nil {
		return nil, nil // without it, the damage is told as it is
	}
	head, err := archive.HeadText(text)
	if err != nil {
		return nil, nil
	}
	d, err := journal.PartHead(folder.JournalPath(), head)
	if err != nil {
		return nil, nil
	}
	side, err := folder.KeepDamaged(d.Line)
	if err != nil {
		return nil, err
	}
	if err := d.Mend(side); err != nil {
		return nil, err
	}
	done := &Repaired{Path: folder.Path(), Record: 1, Why: d.Why(), Head: side, Status: journal.Damaged}
	j, err := journal.Load(folder.JournalPath())
	if err != nil {
		return done, nil // damaged further on too, which is repaired next
	}
	h, err := history.Read(j)
	if err != nil {
		return nil, err
	}
	done.Procedure, done.Simulated, done.Steps, done.Status = h.Head.Procedure, h.Head.Simulated, j.Steps(), h.Standing()
	return done, nil
}

// stoodStill is the outcome of a run up to the damage of its journal.
func stoodStill(d *journal.Parted) *play.Outcome {
	out := &play.Outcome{Status: journal.Paused, Steps: d.Kept.Steps(), Err: fmt.Errorf("%w: record %d and all after it were set aside", errRepaired, d.Cause.Record)}
	if s, err := d.Kept.Step(out.Steps); err == nil {
		out.Seconds = s.T
	}
	return out
}

// unrepaired says why there is nothing to repair, or no way to.
func unrepaired(path string, err error) error {
	switch {
	case errors.Is(err, journal.ErrWhole):
		return &fault.UsageError{Err: fmt.Errorf("there is nothing to repair: %w", err),
			Tip: "see the status of the run with: candelua runs " + plain.Word(path)}
	case errors.Is(err, journal.ErrDamaged):
		return &headDamageError{err}
	}
	return err
}

// headDamageError is a journal whose first record is damaged.
type headDamageError struct{ err error }

func (e *headDamageError) Error() string {
	return e.err.Error() + "; this record says what was run, and run.json does not hold it, so nothing after it can be kept"
}

// Unwrap returns the journal's own error.
func (e *headDamageError) Unwrap() error { return e.err }

// Code is the error's code in reports.
func (e *headDamageError) Code() string { return "damaged" }

// Hint says what to do next.
func (e *headDamageError) Hint() string {
	return "put the journal back from a copy, or start a new run; nothing was changed"
}
