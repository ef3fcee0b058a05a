package store

import (
	"errors"
	"fmt"
	"os"
	"path"
	"path/filepath"
)

// The names of the files and folders of a replay that changed something.
const (
	replaysName  = "replays"
	replayName   = "replay.json"
	replayFormat = 1
	replayKind   = "candelua-replay"
)

// Replay is the folder of a replay in a run's, replays/<n>, while it is being
// written. It can hold all that a run can: results, tables, drawings, readings and
// scripts. [Replay.Keep] gives it its name when it is complete, so that a crash
// never leaves an incomplete one.
type Replay struct {
	*Run
	parent       *Run
	beside, name string // in the run's folder
}

// NewReplay begins a replay's folder under the first free number from 1; existing
// ones are never overwritten. It fails for a run that is open for reading only
// (errReadOnly).
func (r *Run) NewReplay() (*Replay, error) {
	if err := r.folder(replaysName); err != nil {
		return nil, err
	}
	name := ""
	for n := 1; ; n++ {
		name = path.Join(replaysName, fmt.Sprint(n))
		_, err := r.root.Lstat(name)
		if errors.Is(err, os.ErrNotExist) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("run %s: %w", r.path, err)
		}
	}
	beside := path.Join(replaysName, "."+path.Base(name)+".part")
	err := r.root.RemoveAll(beside) // of a crash
	if err == nil {
		err = r.root.Mkdir(beside, 0o755)
	}
	if err != nil {
		return nil, fmt.Errorf("run %s: %w", r.path, err)
	}
	root, err := r.root.OpenRoot(beside)
	if err != nil {
		return nil, fmt.Errorf("run %s: %w", r.path, err)
	}
	in := &Run{path: filepath.Join(r.path, filepath.FromSlash(name)), root: root}
	return &Replay{Run: in, parent: r, beside: beside, name: name}, nil
}

// WriteReplay writes replay.json, which says what was used: the members of v,
// which marshals to an object, after "format" and "kind".
func (p *Replay) WriteReplay(v any) error {
	return p.writeIndex(replayName, replayKind, replayFormat, v)
}

// ReadReplay reads the replay.json of a replay that was kept into v. It fails
// with [os.ErrNotExist] where there is none of that number, and on a newer
// format ([result.ErrNewer]).
func (r *Run) ReadReplay(n int, v any) error {
	return r.readHeaded(path.Join(replaysName, fmt.Sprint(n), replayName), replayKind, replayFormat, v)
}

// Keep gives the folder its name, once all is written.
func (p *Replay) Keep() error {
	err := p.Run.root.Close() // a folder that is open cannot be renamed everywhere
	if err == nil {
		err = p.parent.root.Rename(p.beside, p.name)
	}
	if err == nil {
		err = syncFolder(p.parent.root, replaysName)
	}
	if err != nil {
		return fmt.Errorf("run %s: %s was not saved: %w", p.parent.path, p.name, err)
	}
	return nil
}

// Drop removes the folder, where something kept it from being written whole.
func (p *Replay) Drop() error {
	return errors.Join(p.Run.root.Close(), p.parent.root.RemoveAll(p.beside))
}
