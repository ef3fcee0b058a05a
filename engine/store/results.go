package store

import (
	"encoding/json"
	"fmt"
	"io"
	"path"
	"slices"

	"candelua/engine/result"
)

// The versions of the CSV files' forms, which stand in the JSON file beside
// them.
const (
	tablesFormat   = 1
	tablesKind     = "candelua-tables"
	tablesIndex    = tablesName + "/tables.json"
	readingsFormat = 1
	readingsKind   = "candelua-readings"
	readingsIndex  = "readings.json"
)

// WriteResults writes results.json.
func (r *Run) WriteResults(res *result.Results) error {
	text, err := res.MarshalJSON()
	if err != nil {
		return fmt.Errorf("run %s: %s: %w", r.path, ResultsName, err)
	}
	return r.replace(ResultsName, bytesOf(append(text, '\n')))
}

// ReadResults reads results.json. It fails with [os.ErrNotExist] where the
// run has none yet, and on a newer format ([result.ErrNewer]).
func (r *Run) ReadResults() (*result.Results, error) {
	text, err := r.file(ResultsName)
	if err != nil {
		return nil, err
	}
	res := result.New()
	if err := json.Unmarshal(text, res); err != nil {
		return nil, fmt.Errorf("run %s: %s: %w", r.path, ResultsName, err)
	}
	return res, nil
}

// HasConclusions says whether the files exist that every run writes beside results.json.
func (r *Run) HasConclusions() bool {
	var index tablesJSON
	if r.readHeaded(tablesIndex, tablesKind, tablesFormat, &index) != nil {
		return false
	}
	names := []string{readingsName, readingsIndex}
	for _, t := range index.Tables {
		names = append(names, path.Join(tablesName, t.File))
	}
	return !slices.ContainsFunc(names, func(name string) bool {
		info, err := r.root.Stat(name)
		return err != nil || !info.Mode().IsRegular()
	})
}

// Table is a table of a run, as a file: CSV, which the caller renders.
type Table struct {
	ID, Name string
	Columns  any                   // what tables.json says of the file's columns
	Write    func(io.Writer) error // the file
}

// tableEntry describes one table's CSV.
type tableEntry struct {
	ID      string `json:"id"`
	Name    string `json:"name"`
	File    string `json:"file"`
	Columns any    `json:"columns"`
}

type tablesJSON struct {
	Tables []tableEntry `json:"tables"`
}

// WriteTables writes tables/<id>.csv for each table, and tables/tables.json,
// which says their format and columns. Files of an earlier call whose tables
// are gone are removed.
func (r *Run) WriteTables(all []Table) error {
	if err := r.folder(tablesName); err != nil {
		return err
	}
	index := tablesJSON{Tables: []tableEntry{}}
	for _, t := range all {
		e := tableEntry{ID: t.ID, Name: t.Name, File: fileOf(t.ID, ".csv"), Columns: t.Columns}
		if err := checkName(e.File); err != nil {
			return fmt.Errorf("run %s: table: %w", r.path, err)
		}
		if err := r.replace(path.Join(tablesName, e.File), t.Write); err != nil {
			return err
		}
		index.Tables = append(index.Tables, e)
	}
	if err := r.removeStale(index); err != nil {
		return err
	}
	return r.writeIndex(tablesIndex, tablesKind, tablesFormat, index)
}

// removeStale removes the files that the index names and now does not.
func (r *Run) removeStale(now tablesJSON) error {
	var before tablesJSON
	if err := r.readIndex(tablesIndex, tablesKind, tablesFormat, &before); err != nil {
		return err
	}
	for _, old := range before.Tables {
		stays := slices.ContainsFunc(now.Tables, func(e tableEntry) bool { return e.File == old.File })
		if stays || checkName(old.File) != nil {
			continue
		}
		if err := ignoreMissing(r.root.Remove(path.Join(tablesName, old.File))); err != nil {
			return fmt.Errorf("run %s: %w", r.path, err)
		}
		delete(r.sums, path.Join(tablesName, old.File))
	}
	return nil
}

// WriteReadings writes readings.csv, which the caller renders, and readings.json,
// which says its format and columns.
func (r *Run) WriteReadings(columns []string, write func(io.Writer) error) error {
	if err := r.replace(readingsName, write); err != nil {
		return err
	}
	return r.writeIndex(readingsIndex, readingsKind, readingsFormat, struct {
		File    string   `json:"file"`
		Columns []string `json:"columns"`
	}{readingsName, columns})
}

func (r *Run) writeIndex(name, kind string, format int, v any) error {
	text, err := headed(kind, format, v)
	if err != nil {
		return fmt.Errorf("run %s: %s: %w", r.path, name, err)
	}
	return r.replace(name, bytesOf(text))
}
