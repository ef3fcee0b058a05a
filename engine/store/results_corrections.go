package store

import (
	"fmt"
	"path"
	"slices"
)

const (
	correctionsName   = "corrections"
	correctionsFormat = 1
	correctionsKind   = "candelua-corrections"
	correctionsIndex  = correctionsName + "/corrections.json"
)

// Correction is a correction of a meter that a run made, as the text of a file.
type Correction struct {
	ID   string
	Name string
	Text []byte
}

// correctionEntry describes one correction's file.
type correctionEntry struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	File string `json:"file"`
}

type correctionsJSON struct {
	Corrections []correctionEntry `json:"corrections"`
}

// CorrectionFile returns where a run's folder has the correction with an id.
func CorrectionFile(id string) string { return path.Join(correctionsName, fileOf(id, ".toml")) }

// WriteCorrections writes corrections/<id>.toml for each correction, and
// corrections/corrections.json, which lists them. Where there is none, it makes
// no folder. Files of an earlier call whose corrections are gone are removed.
func (r *Run) WriteCorrections(all []Correction) error {
	var before, index correctionsJSON
	if err := r.readIndex(correctionsIndex, correctionsKind, correctionsFormat, &before); err != nil {
		return err
	}
	if len(all)+len(before.Corrections) == 0 {
		return nil
	}
	if err := r.folder(correctionsName); err != nil {
		return err
	}
	for _, c := range all {
		e := correctionEntry{ID: c.ID, Name: c.Name, File: fileOf(c.ID, ".toml")}
		if err := checkName(e.File); err != nil {
			return fmt.Errorf("run %s: correction: %w", r.path, err)
		}
		index.Corrections = append(index.Corrections, e)
		if err := r.replace(path.Join(correctionsName, e.File), bytesOf(c.Text)); err != nil {
			return err
		}
	}
	for _, old := range before.Corrections {
		stays := slices.ContainsFunc(index.Corrections, func(e correctionEntry) bool { return e.File == old.File })
		if stays || checkName(old.File) != nil {
			continue
		}
		if err := ignoreMissing(r.root.Remove(path.Join(correctionsName, old.File))); err != nil {
			return fmt.Errorf("run %s: %w", r.path, err)
		}
		delete(r.sums, path.Join(correctionsName, old.File))
	}
	return r.writeIndex(correctionsIndex, correctionsKind, correctionsFormat, index)
}
