package store

import (
	"fmt"
	"os"
)

// noRunError says why a path is not the folder of a run.
type noRunError struct{ text string }

func (e *noRunError) Error() string { return e.text }

// Unwrap gives [ErrNoRun].
func (e *noRunError) Unwrap() error { return ErrNoRun }

// Hint says what to do next.
func (e *noRunError) Hint() string { return "candelua runs lists the runs in the folder runs" }

// missingFileError is a file that a run's folder must have and lacks.
type missingFileError struct{ run, name string }

func (e *missingFileError) Error() string {
	return fmt.Sprintf("run %s has no file %s", e.run, e.name)
}

// Unwrap gives [os.ErrNotExist].
func (e *missingFileError) Unwrap() error { return os.ErrNotExist }

// Hint says what to do next.
func (e *missingFileError) Hint() string {
	return "put the file back from a copy of the run"
}
