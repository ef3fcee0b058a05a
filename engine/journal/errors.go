package journal

import (
	"errors"
	"fmt"
)

var (
	// ErrDamaged is matched by every [DamageError].
	ErrDamaged = errors.New("journal is damaged")
	// errRefused is matched when Append is given a record that the grammar does not allow here. Nothing
	// is written and the journal goes on.
	errRefused = errors.New("record refused")
	// errReadOnly is matched when Append is called on a journal that was loaded for reading.
	errReadOnly = errors.New("the journal is open for reading only")
	// errClosed is matched when Append is called after Close.
	errClosed = errors.New("journal is closed")
	// ErrBroken is matched by every Append after a write, a sync or a truncation failed. The cause is
	// wrapped too. What was appended before is safe in the file; open it again to go on.
	ErrBroken = errors.New("the journal can no longer be written")
)

// DamageError says which record of a journal is not as it was written. It matches [ErrDamaged].
type DamageError struct {
	path   string
	Record int // line number, from 1
	Why    string
}

func (e *DamageError) Error() string {
	return fmt.Sprintf("%s: record %d is damaged: %s", e.path, e.Record, e.Why)
}

// Is reports whether target is [ErrDamaged].
func (e *DamageError) Is(target error) bool { return target == ErrDamaged }

// Code is the error's code in reports.
func (e *DamageError) Code() string { return "damaged" }

// Hint says what to do next.
func (e *DamageError) Hint() string {
	if e.Record == 1 {
		return "restore the journal from a copy; if there is no copy, candelua repair RUN makes this record again from run.json, if that is whole"
	}
	return "restore the journal from a copy; if there is no copy, candelua repair RUN keeps the records before the damage"
}

// VersionError says that a journal is intact as far as can be told, but of a format that this build does
// not read.
type VersionError struct {
	path   string
	Format int // the journal's format
	Reads  int // the format that this build reads
}

func (e *VersionError) Error() string {
	if e.Format > e.Reads {
		return fmt.Sprintf("%s: journal has format %d, and this candelua reads format %d; use a newer candelua", e.path, e.Format, e.Reads)
	}
	return fmt.Sprintf("%s: journal has format %d, and this candelua reads format %d; use the candelua that wrote it", e.path, e.Format, e.Reads)
}
