package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// Between them stands the number of a file that keeps what was cut.
const (
	damagedStem = "journal-damaged"
	damagedEnd  = ".jsonl"
)

// KeepDamaged saves the records that a repair will cut from the run's journal in
// journal-damaged-<n>.jsonl, where n is the first free number from 1, and returns
// the path when the file is on the disk. If the last such file already holds
// exactly these records, because an earlier repair was interrupted, that file is used.
func (r *Run) KeepDamaged(tail []byte) (path string, err error) {
	name, last := firstFree(r.root, damagedStem, damagedEnd)
	if last != "" {
		if kept, err := r.file(last); err == nil && bytes.Equal(kept, tail) {
			return filepath.Join(r.path, last), nil
		}
	}
	return filepath.Join(r.path, name), r.replace(name, bytesOf(tail))
}

// SetResultsAside renames results.json to results-before-repair-<n>.json, n
// being the first free number from 1, and returns its path; it is empty where
// the run has no results.
func (r *Run) SetResultsAside() (path string, err error) {
	if r.read {
		return "", fmt.Errorf("run %s: %s: %w", r.path, ResultsName, errReadOnly)
	}
	if _, err := r.root.Lstat(ResultsName); errors.Is(err, os.ErrNotExist) {
		return "", nil
	}
	name, _ := firstFree(r.root, "results-before-repair", ".json")
	if err := errors.Join(r.root.Rename(ResultsName, name), syncFolder(r.root, ".")); err != nil {
		return "", fmt.Errorf("run %s: %s cannot be set aside: %w", r.path, ResultsName, err)
	}
	return filepath.Join(r.path, name), nil
}

// firstFree is the first name <stem>-<n><end> that is not taken, and the one
// before it, which is empty where there is none.
func firstFree(root *os.Root, stem, end string) (free, last string) {
	for n := 1; ; n++ {
		name := fmt.Sprintf("%s-%d%s", stem, n, end)
		if _, err := root.Lstat(name); err != nil {
			return name, last
		}
		last = name
	}
}

// Damaged returns the paths of the files in which repairs keep what they cut
// from the journal, the oldest first.
func (r *Run) Damaged() (paths []string) {
	for n := 1; ; n++ {
		name := fmt.Sprintf("%s-%d%s", damagedStem, n, damagedEnd)
		if _, err := r.root.Lstat(name); err != nil {
			return paths
		}
		paths = append(paths, filepath.Join(r.path, name))
	}
}
