package store

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"candelua/engine/regular"
	"candelua/engine/result"

	"github.com/gofrs/flock"
)

// Causes of errors.
var (
	ErrNoRun    = errors.New("not a run folder")      // nothing there, or something else
	errReadOnly = errors.New("open only for reading") // a run opened by [OpenReadOnly]
)

// Names in a run's folder that a report names.
const (
	MetaName    = "run.json"     // what was asked
	ResultsName = "results.json" // what was concluded
)

// The other names in a run's folder.
const (
	journalName   = "journal.jsonl"
	readingsName  = "readings.csv"
	ProcedureName = "procedure"
	formerName    = "former"
	tablesName    = "tables"
)

// Run is a run's folder, open. It is not for use by several goroutines at
// once.
type Run struct {
	path string
	root *os.Root
	lock *flock.Flock      // nil where a copy without a lock is read
	read bool              // open for reading only
	sums map[string]string // of what was written, by name
	kept map[string][]byte // what cannot be made again from the journal, by name
	told func(string)      // is told what another program did to the folder; nil tells nobody
}

// Create makes the folder <procedure>-<n> in out, n being the first free
// number from 1, and opens it locked. The folder out is made where it is
// missing. Two processes that create at once get two folders. It fails on a
// procedure name that is no file name (errName) and where out cannot be
// written.
func Create(out, procedure string) (*Run, error) {
	if err := errors.Join(checkName(procedure), checkName(procedure+"-1")); err != nil {
		return nil, fmt.Errorf("procedure: %w", err)
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return nil, fmt.Errorf("folder for runs %s cannot be made: %w", out, err)
	}
	for n := 1; ; n++ {
		path := filepath.Join(out, fmt.Sprintf("%s-%d", procedure, n))
		err := os.Mkdir(path, 0o755)
		if errors.Is(err, os.ErrExist) {
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("run folder %s cannot be made: %w", path, err)
		}
		return created(out, path)
	}
}

// created locks a new folder and makes its entry in out last.
func created(out, path string) (*Run, error) {
	r, err := open(path)
	if err != nil {
		return nil, err
	}
	if r.lock, err = lockToWrite(r.root); err != nil {
		return nil, errors.Join(err, r.root.Close())
	}
	parent, err := os.OpenRoot(out)
	if err == nil {
		err = errors.Join(syncFolder(parent, "."), parent.Close())
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("folder for runs %s: %w", out, err), r.Close())
	}
	return r, nil
}

// Open opens a run to go on with it, and locks it. It fails where path is no
// run's folder ([ErrNoRun]), lacks its journal, is of a newer format
// ([result.ErrNewer]), or is open in another process for writing or reading
// ([ErrLocked], naming the process).
func Open(path string) (*Run, error) {
	r, err := openRun(path, lockToWrite)
	if err != nil {
		return nil, err
	}
	if err := r.nothingNewer(); err != nil {
		return nil, errors.Join(err, r.Close())
	}
	return r, nil
}

// OpenReadOnly opens a run for reading. There may be other readers. It writes
// nothing, so that a run on a read-only disk can be opened. A run that is being
// written is refused ([ErrLocked]): its journal has no end yet, so that a replay
// would report steps as missing that have not happened yet.
func OpenReadOnly(path string) (*Run, error) {
	r, err := openRun(path, lockToRead)
	if r != nil {
		r.read = true
	}
	return r, err
}

func openRun(path string, lock func(*os.Root) (*flock.Flock, error)) (*Run, error) {
	r, err := open(path)
	if err != nil {
		return nil, err
	}
	if err := cmp.Or(r.whole(), r.notNewer(MetaName, metaKind, metaFormat)); err != nil {
		return nil, errors.Join(err, r.root.Close())
	}
	if r.lock, err = lock(r.root); err != nil {
		return nil, errors.Join(err, r.root.Close())
	}
	return r, nil
}

// open opens a folder as a root that no name leads out of.
func open(path string) (*Run, error) {
	info, err := os.Stat(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, &noRunError{fmt.Sprintf("there is no run folder %s", path)}
	}
	if err != nil {
		return nil, fmt.Errorf("run %s: %w", path, err)
	}
	if !info.IsDir() {
		return nil, &noRunError{fmt.Sprintf("%s is a file, not a run folder; give the folder of the run", path)}
	}
	root, err := os.OpenRoot(path)
	if err != nil {
		return nil, fmt.Errorf("run %s: %w", path, err)
	}
	return &Run{path: path, root: root}, nil
}

// whole refuses a folder without the journal, which cannot be rebuilt.
func (r *Run) whole() error {
	_, err := r.root.Stat(journalName)
	switch {
	case err == nil:
		return nil
	case !errors.Is(err, os.ErrNotExist):
		return fmt.Errorf("run %s: %w", r.path, err)
	}
	if _, noMeta := r.root.Stat(MetaName); noMeta != nil {
		return &noRunError{fmt.Sprintf("%s is not a run folder: it has no %s and no %s", r.path, MetaName, journalName)}
	}
	return &missingFileError{r.path, journalName}
}

// notNewer refuses a file that a newer candelua wrote. One that is missing or damaged can be rebuilt from the journal.
func (r *Run) notNewer(name, kind string, newest int) error {
	var any struct{}
	if err := r.readHeaded(name, kind, newest, &any); errors.Is(err, result.ErrNewer) {
		return err
	}
	return nil
}

// nothingNewer refuses a run that would be written over in a format older than its own: before anything is measured, and
// not when it is to be written.
func (r *Run) nothingNewer() error {
	_, results := r.ReadResults()
	if !errors.Is(results, result.ErrNewer) {
		results = nil // another fault of it is no fault of the run
	}
	return cmp.Or(results,
		r.notNewer(readingsIndex, readingsKind, readingsFormat),
		r.notNewer(tablesIndex, tablesKind, tablesFormat),
		r.notNewer(drawingsIndex, drawingsKind, drawingsFormat),
		r.notNewer(correctionsIndex, correctionsKind, correctionsFormat))
}

// Path returns the folder's path, as it was given.
func (r *Run) Path() string { return r.path }

// JournalPath returns the path of the journal, which package journal writes.
func (r *Run) JournalPath() string { return filepath.Join(r.path, journalName) }

// Drop closes a run that could not be begun, and removes its folder.
func (r *Run) Drop() error { return errors.Join(r.Close(), os.RemoveAll(r.path)) }

// Close lets go of the lock and the folder.
func (r *Run) Close() error {
	var errs []error
	if r.lock != nil {
		if !r.read {
			errs = append(errs, ignoreMissing(r.root.Remove(holderName)))
		}
		errs = append(errs, r.lock.Unlock())
	}
	if err := errors.Join(append(errs, r.root.Close())...); err != nil {
		return fmt.Errorf("run %s could not be closed: %w", r.path, err)
	}
	return nil
}

// replace writes one of the run's files as a whole.
func (r *Run) replace(name string, write func(io.Writer) error) error {
	if r.read {
		return fmt.Errorf("run %s: %s: %w", r.path, name, errReadOnly)
	}
	if shared(name) {
		write = r.summed(name, write)
	}
	var text bytes.Buffer
	if remembered(name) {
		inner := write
		write = func(w io.Writer) error { return inner(io.MultiWriter(w, &text)) }
	}
	if !script(name) {
		if err := r.clear(name, false); err != nil {
			return fmt.Errorf("run %s: %w", r.path, err)
		}
	}
	if err := replaceFile(r.root, name, write); err != nil {
		return fmt.Errorf("run %s: %w", r.path, err)
	}
	if remembered(name) {
		r.remember(name, text.Bytes())
	}
	return nil
}

// folder makes a folder within the run.
func (r *Run) folder(name string) error {
	if r.read {
		return fmt.Errorf("run %s: %s: %w", r.path, name, errReadOnly)
	}
	if !script(name) {
		if err := r.clearWay(name); err != nil {
			return fmt.Errorf("run %s: %w", r.path, err)
		}
	}
	if err := r.root.MkdirAll(name, 0o755); err != nil {
		return fmt.Errorf("run %s: %w", r.path, err)
	}
	return nil
}

// file reads one of the run's files.
func (r *Run) file(name string) ([]byte, error) {
	data, err := regular.ReadIn(r.root, name)
	if errors.Is(err, os.ErrNotExist) {
		return nil, &missingFileError{r.path, name}
	}
	if err != nil {
		return nil, fmt.Errorf("run %s: %w", r.path, err)
	}
	if remembered(name) && !r.read {
		r.remember(name, data)
	}
	return data, nil
}

func bytesOf(b []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(b)
		return err
	}
}
