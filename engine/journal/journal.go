package journal

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"

	"candelua/engine/regular"
)

// Format is the version of the file format that this package writes and reads.
const Format = 1

// Options says how a journal is written.
type Options struct {
	// Sync writes answers, asides, voids, pauses and ends to the disk before Append returns. Other records are
	// handed to the operating system at once and reach the disk with the next of those.
	Sync bool
	// Tell is told that the file was found removed, replaced or changed by another program, and was written
	// anew. Nil tells nobody.
	Tell func(string)
	// Folder sees to it that the file's folder is there, before the file is written anew. Nil does nothing.
	Folder func() error
}

// Journal is a run's record. It may be read by several goroutines at once, but not while one appends.
// What it returns shares its memory and must not be changed.
type Journal struct {
	path    string
	data    []byte // the file's bytes, without a torn last line
	head    json.RawMessage
	chain   *chain
	view    view
	torn    int
	scratch parsed // of the record that is being taken in

	mode    mode
	options Options
	file    file  // nil in memory
	trim    bool  // the file still has its torn last line
	unsaved bool  // something was written since the last sync
	secured int   // so many bytes were found at the journal's path
	broken  error // why nothing can be written any more
}

// mode says whether a journal accepts records.
type mode uint8

const (
	writing mode = iota
	readOnly
	closed
)

// file is the part of *os.File that a journal needs.
type file interface {
	Write([]byte) (int, error)
	ReadAt(b []byte, from int64) (int, error)
	Stat() (os.FileInfo, error)
	Truncate(size int64) error
	Sync() error
	Close() error
}

var _ file = (*os.File)(nil)

// Create starts a journal at path, whose head holds the JSON of head. The file must not exist yet; the
// error wraps [os.ErrExist] if it does. It is removed again when the head cannot be written.
func Create(path string, head any, o Options) (*Journal, error) {
	j, err := Memory(head)
	if err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return nil, fmt.Errorf("journal cannot be created: %w", err)
	}
	j.path, j.file, j.options = path, f, o
	if err := j.begin(); err != nil {
		return nil, fmt.Errorf("journal cannot be created: %w", err)
	}
	return j, nil
}

// Size is the journal's length in bytes, which it also takes in memory.
func (j *Journal) Size() int { return len(j.data) }

// begin writes the head, which is all that there is, or removes the file again.
func (j *Journal) begin() error {
	err := j.write(j.data, true)
	if err == nil && j.options.Sync {
		err = syncFolder(filepath.Dir(j.path)) // the file's name too
	}
	if err != nil {
		j.file.Close()
		os.Remove(j.path)
	}
	return err
}

// syncFolder has the names in a folder on the disk. Windows has no such call and needs none.
func syncFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}

// Memory starts a journal without a file, for a rehearsal or a trial that leaves nothing behind.
func Memory(head any) (*Journal, error) {
	line, err := headLine(head)
	if err != nil {
		return nil, err
	}
	return parse("journal in memory", line)
}

// Open verifies the journal at path and makes it ready to append. A torn last line, one without its
// newline, is left out ([Journal.Torn] says how much) and cut from the file by the first Append. Other
// damage is a [*DamageError], another format a [*VersionError].
//
// Nothing here keeps a second program from writing to the file: lock the run's folder.
func Open(path string, o Options) (*Journal, error) {
	f, err := openAt(path, 0)
	if err != nil {
		return nil, fmt.Errorf("journal cannot be opened for writing: %w", err)
	}
	j, err := read(path)
	if err == nil {
		_, err = f.Seek(int64(len(j.data)), io.SeekStart)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	j.file, j.options, j.trim = f, o, j.torn > 0
	return j, nil
}

// openAt opens a file that is there, to write from a place on.
func openAt(path string, place int64) (*os.File, error) {
	f, err := regular.Open(path, os.O_RDWR)
	if err != nil {
		return nil, err
	}
	if _, err := f.Seek(place, io.SeekStart); err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// Load verifies the journal at path, as Open does, for reading only: the file is left as it is and
// Append refuses.
func Load(path string) (*Journal, error) {
	j, err := read(path)
	if err != nil {
		return nil, err
	}
	j.mode = readOnly
	return j, nil
}

// SetSync changes whether answers are synced, for a journal whose head says how it was begun.
func (j *Journal) SetSync(on bool) { j.options.Sync = on }

// Head decodes the engine's object in the head into into.
func (j *Journal) Head(into any) error {
	if err := json.Unmarshal(j.head, into); err != nil {
		return fmt.Errorf("%s: head cannot be decoded: %w", j.path, err)
	}
	return nil
}

// Torn returns how many bytes of a torn last line were left out when the journal was opened.
func (j *Journal) Torn() int { return j.torn }

// Close saves what is not saved yet, if the journal syncs, compares the whole file with what is in memory, as
// Append does with its end, and closes it. The journal can still be read. Closing it again does nothing.
func (j *Journal) Close() error {
	if j.mode != writing {
		return nil
	}
	j.mode = closed
	if j.file == nil {
		return nil
	}
	var err error
	if j.broken == nil {
		err = j.save(j.options.Sync && j.unsaved)
		if err == nil {
			err = j.secureAll()
		}
	}
	if closing := j.file.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return fmt.Errorf("%s: journal cannot be closed: %w", j.path, err)
	}
	return nil
}
