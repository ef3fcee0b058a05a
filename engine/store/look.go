package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"candelua/engine/regular"
)

// Look opens a run to read it even while it is written, and writes nothing.
// If a process is writing to the run, busy matches [ErrLocked] and names it; else
// busy is nil. Unlike [OpenReadOnly], Look holds no lock, so that it never prevents
// a resumption. The files may change while they are read: the journal only grows,
// and other files are replaced as a whole.
func Look(path string) (r *Run, busy, err error) {
	r, err = OpenReadOnly(path)
	if err == nil {
		if r.lock != nil {
			err = r.lock.Unlock()
			r.lock = nil
		}
		if err != nil {
			return nil, nil, errors.Join(err, r.Close())
		}
		return r, nil, nil
	}
	if !errors.Is(err, ErrLocked) {
		return nil, nil, err
	}
	if r, noRun := open(path); noRun == nil {
		r.read = true
		return r, err, nil
	}
	return nil, nil, err
}

// IsRun says whether a folder is the folder of a run, in whatever state: it has a
// run.json or a journal.
func IsRun(path string) bool {
	for _, name := range []string{MetaName, journalName} {
		if _, err := os.Stat(filepath.Join(path, name)); err == nil {
			return true
		}
	}
	return false
}

// Holder says who has the run open to write, as far as that is known: "process
// 4711 on bench-pc", or "another process".
func (r *Run) Holder() string {
	var h holder
	text, err := regular.ReadIn(r.root, holderName)
	switch {
	case err != nil || json.Unmarshal(text, &h) != nil || h.PID == 0:
		return "another process"
	case h.Host == "":
		return fmt.Sprintf("process %d", h.PID)
	}
	return fmt.Sprintf("process %d on %s", h.PID, h.Host)
}
