package store

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// Entry is a run's folder that [List] found.
type Entry struct {
	Path      string
	Procedure string // the folder's name before its number, or all of it
	Number    int    // 0 where the name has none
}

// List returns the runs in a folder, sorted by procedure and number, so that the
// newest run of each procedure comes last. A run is each folder that [IsRun] accepts,
// in whatever state and under whatever name: people rename them. Other files and folders
// are left out. It fails if out cannot be read.
func List(out string) ([]Entry, error) {
	if info, err := os.Stat(out); err == nil && !info.IsDir() { // a pipe would keep whoever opens it waiting
		return nil, fmt.Errorf("folder for runs %s: it is not a folder", out)
	}
	found, err := os.ReadDir(out)
	if err != nil {
		return nil, fmt.Errorf("folder for runs %s: %w", out, err)
	}
	var runs []Entry
	for _, f := range found {
		path := filepath.Join(out, f.Name())
		if !f.IsDir() || !IsRun(path) {
			continue
		}
		procedure, n, ok := parseName(f.Name())
		if !ok {
			procedure, n = f.Name(), 0
		}
		runs = append(runs, Entry{path, procedure, n})
	}
	slices.SortFunc(runs, func(a, b Entry) int {
		return cmp.Or(cmp.Compare(a.Procedure, b.Procedure), cmp.Compare(a.Number, b.Number), cmp.Compare(a.Path, b.Path))
	})
	return runs, nil
}

// parseName splits "window-sweep-3" into "window-sweep" and 3.
func parseName(name string) (procedure string, n int, ok bool) {
	at := strings.LastIndexByte(name, '-')
	if at < 1 {
		return "", 0, false
	}
	n, err := strconv.Atoi(name[at+1:])
	return name[:at], n, err == nil && n > 0 && strconv.Itoa(n) == name[at+1:]
}
