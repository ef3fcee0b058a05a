package journal

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"candelua/engine/regular"
)

// errOtherHead is matched where a head is not the one that a journal had.
var errOtherHead = errors.New("this is not the head that the journal had")

// PartedHead is a journal whose head is damaged, and known from elsewhere.
type PartedHead struct {
	Line []byte // the damaged one

	path        string
	cause       error  // a *DamageError, or a *VersionError where the damage is in the format
	data, whole []byte // the file as it is, and with its head
}

// Why says how the head is damaged.
func (d *PartedHead) Why() string {
	var damage *DamageError
	if errors.As(d.cause, &damage) {
		return damage.Why
	}
	return "it states another format" // and fits as this one
}

// PartHead reads the journal at path, whose head is damaged, and writes nothing. The head is the engine's object that
// the head held, as it was encoded. It is believed only where the sum of the head that is made of it is the one that the
// damaged line states, or where the record after it fits.
//
// It fails where the head is not damaged ([ErrWhole], or the damage of a later record), where it has another format (a
// [*VersionError]) by more than one byte, and where the head given is another one.
func PartHead(path string, head any) (*PartedHead, error) {
	data, err := regular.Read(path)
	if err != nil {
		return nil, fmt.Errorf("journal cannot be read: %w", err)
	}
	_, cause := parse(path, data)
	var damage *DamageError
	if cause == nil || errors.As(cause, &damage) && damage.Record != 1 {
		return nil, errors.Join(cause, fmt.Errorf("%s: the head: %w", path, ErrWhole))
	}
	line, err := headLine(head)
	if err != nil {
		return nil, err
	}
	var version *VersionError
	if errors.As(cause, &version) && !oneByteOff(line, data) {
		return nil, cause
	}
	for _, end := range headEnds(data) {
		if fits(line, data[:end], data[end:]) {
			whole := append(bytes.Clone(line), data[end:]...)
			return &PartedHead{cause: cause, Line: data[:end:end], path: path, data: data, whole: whole}, nil
		}
	}
	return nil, fmt.Errorf("%w: %w", errOtherHead, cause)
}

// headEnds are the places at which a damaged head may end: after the first newline, and before the first record that
// follows, wherever damage has put either. The head may be gone altogether.
func headEnds(data []byte) []int {
	ends := []int{bytes.IndexByte(data, '\n') + 1}
	if next := bytes.Index(data, []byte(`{"kind":`)); next >= 0 && next != ends[0] {
		ends = append(ends, next)
	}
	return ends
}

// oneByteOff says whether a file begins with a line but for one byte, as damage can make another format of this one.
func oneByteOff(line, data []byte) bool {
	if len(data) < len(line) {
		return false
	}
	off := 0
	for i, b := range line {
		if data[i] != b {
			off++
		}
	}
	return off == 1
}

// fits says whether a head's line is the one that a damaged line was: by its sum, which is what the line ends with, or by
// the record that comes after.
func fits(line, damaged, rest []byte) bool {
	if tail := line[len(line)-tailLen-1:]; bytes.HasSuffix(damaged, tail) {
		return true
	}
	next := bytes.IndexByte(rest, '\n') + 1
	if next == 0 {
		return false
	}
	_, err := parse("", append(bytes.Clone(line), rest[:next]...))
	return err == nil
}

// Mend writes the journal with its head, but only if the file side holds exactly the damaged line (errUnkept otherwise).
// It returns when the change is on the disk; a crash leaves the file as it was, or mended. The file keeps its modification
// time, which after a crash says when the run was last active.
func (d *PartedHead) Mend(side string) error {
	switch kept, err := regular.Read(side); {
	case err != nil:
		return fmt.Errorf("%s: %w: %w", d.path, errUnkept, err)
	case !bytes.Equal(kept, d.Line):
		return fmt.Errorf("%s: %w: %s does not hold the damaged record", d.path, errUnkept, side)
	}
	if err := d.mend(); err != nil {
		return fmt.Errorf("%s: journal cannot be mended: %w", d.path, err)
	}
	return nil
}

func (d *PartedHead) mend() error {
	info, err := os.Stat(d.path)
	if err != nil {
		return err
	}
	if now, err := regular.Read(d.path); err != nil || !bytes.Equal(now, d.data) {
		return errors.Join(err, errors.New("it is not as it was read; another program writes to it"))
	}
	beside := partPath(d.path)
	if err := writeNew(beside, d.whole); err != nil {
		return err
	}
	if err := errors.Join(os.Chtimes(beside, time.Time{}, info.ModTime()), os.Rename(beside, d.path)); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(d.path))
}
