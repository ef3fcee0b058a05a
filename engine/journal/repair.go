package journal

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"time"

	"candelua/engine/regular"
)

var (
	// ErrWhole is matched where a repair is asked for and nothing is damaged. A torn last line is no damage.
	ErrWhole = errors.New("journal is not damaged")
	// errUnkept is matched where a journal is not cut because what would be cut off is not kept elsewhere.
	errUnkept = errors.New("journal is not cut")
)

// Parted is a journal that is damaged after its head, split where the damage begins.
type Parted struct {
	Kept    *Journal     // what comes before the damaged record, for reading only
	Cause   *DamageError // which record, and why
	Tail    []byte       // the file's bytes from the damaged record on
	Records int          // lines in the tail, a torn last one included

	size int64
}

// Part reads the damaged journal at path for a repair, and writes nothing. All records after the damaged
// one belong to the tail, even if they look intact, because each sum depends on the one before.
//
// It fails with [ErrWhole] if nothing is damaged, with the [*DamageError] if the head is damaged, because
// then nothing can be kept, and with a [*VersionError] for another format.
func Part(path string) (*Parted, error) {
	data, err := regular.Read(path)
	if err != nil {
		return nil, fmt.Errorf("journal cannot be read: %w", err)
	}
	return part(path, data)
}

// part is Part of a file's bytes, which it keeps.
func part(path string, data []byte) (*Parted, error) {
	var cause *DamageError
	switch _, err := parse(path, data); {
	case err == nil:
		return nil, fmt.Errorf("%s: %w", path, ErrWhole)
	case !errors.As(err, &cause) || cause.Record == 1:
		return nil, err
	}
	at := lineStart(data, cause.Record)
	kept, err := parse(path, data[:at:at])
	if err != nil {
		return nil, err
	}
	kept.mode = readOnly
	return &Parted{Kept: kept, Cause: cause, Tail: data[at:], Records: lineCount(data[at:]), size: int64(len(data))}, nil
}

// Cut removes the damaged record and all records after it from the journal's file, but only if the file
// side holds exactly those bytes (errUnkept otherwise). It returns when the change is on the disk. The
// file keeps its modification time, which after a crash says when the run was last active. A crash leaves
// the file either cut or untouched; if untouched, Part finds the same damage again.
func (d *Parted) Cut(side string) error {
	path := d.Kept.path
	switch kept, err := regular.Read(side); {
	case err != nil:
		return fmt.Errorf("%s: %w: %w", path, errUnkept, err)
	case !bytes.Equal(kept, d.Tail):
		return fmt.Errorf("%s: %w: %s does not hold the records that would be cut off", path, errUnkept, side)
	}
	f, err := regular.Open(path, os.O_RDWR)
	if err != nil {
		return fmt.Errorf("journal cannot be opened for writing: %w", err)
	}
	if err := errors.Join(d.cut(f), f.Close()); err != nil {
		return fmt.Errorf("%s: journal cannot be cut: %w", path, err)
	}
	return nil
}

func (d *Parted) cut(f *os.File) error {
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if info.Size() != d.size {
		return fmt.Errorf("it has %d bytes now and had %d when it was read; another program writes to it", info.Size(), d.size)
	}
	if err := f.Truncate(d.size - int64(len(d.Tail))); err != nil {
		return err
	}
	return errors.Join(os.Chtimes(f.Name(), time.Time{}, info.ModTime()), f.Sync())
}

// lineStart is where line n begins, from 1, of which there are as many at least.
func lineStart(data []byte, n int) int {
	at := 0
	for range n - 1 {
		at += bytes.IndexByte(data[at:], '\n') + 1
	}
	return at
}

// lineCount counts lines, a last one without its newline too.
func lineCount(data []byte) int {
	n := bytes.Count(data, []byte{'\n'})
	if len(data) > 0 && data[len(data)-1] != '\n' {
		n++
	}
	return n
}
