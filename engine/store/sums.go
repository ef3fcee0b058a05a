package store

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"maps"
	"os"
	"slices"
	"strings"
)

// FileSum tells the content of one of the run's files from any other.
type FileSum struct {
	Name   string `json:"name"` // within the run's folder, with slashes
	SHA256 string `json:"sha256"`
}

// FileChange is a file of the run's that is not as it was written.
type FileChange struct {
	Name    string
	Removed bool // else it has another content, or cannot be read
}

func (c FileChange) String() string {
	if c.Removed {
		return c.Name + " was removed"
	}
	return c.Name + " was changed"
}

// shared says whether a file is one that people pass on: the results, the readings, a table, a drawing, a correction, and
// what describes them.
func shared(name string) bool {
	folder, _, _ := strings.Cut(name, "/")
	return slices.Contains([]string{ResultsName, readingsName, readingsIndex, tablesName, DrawingsName, correctionsName}, folder)
}

// summed has a file's sum taken as it is written.
func (r *Run) summed(name string, write func(io.Writer) error) func(io.Writer) error {
	return func(w io.Writer) error {
		sum := sha256.New()
		if err := write(io.MultiWriter(w, sum)); err != nil {
			return err
		}
		if r.sums == nil {
			r.sums = map[string]string{}
		}
		r.sums[name] = hex.EncodeToString(sum.Sum(nil))
		return nil
	}
}

// Sums are those of the files of results that were written since the run was opened, by name.
func (r *Run) Sums() []FileSum {
	var all []FileSum
	for _, name := range slices.Sorted(maps.Keys(r.sums)) {
		all = append(all, FileSum{name, r.sums[name]})
	}
	return all
}

// Changed are the files that are not as their sums say.
func (r *Run) Changed(sums []FileSum) []FileChange {
	var all []FileChange
	for _, s := range sums {
		_, missing := r.root.Lstat(s.Name)
		text, err := r.file(s.Name)
		sum := sha256.Sum256(text)
		if err != nil || hex.EncodeToString(sum[:]) != s.SHA256 {
			all = append(all, FileChange{s.Name, missing != nil})
		}
	}
	return all
}

// Unread is run.json as a change, where that cannot be read: the sums of all other files are in it.
func (r *Run) Unread(why error) []FileChange {
	return []FileChange{{MetaName, errors.Is(why, os.ErrNotExist)}}
}
