package store

import (
	"fmt"
	"io"
	"path"
	"slices"
)

// DrawingsName is the folder in a run's that holds its drawings.
const DrawingsName = "plots"

const (
	drawingsFormat = 1
	drawingsKind   = "candelua-drawings"
	drawingsIndex  = DrawingsName + "/plots.json"
)

// Drawing is a plot or a diagram as SVG, which the caller renders.
type Drawing struct {
	ID, Title string
	Write     func(io.Writer) error // the file
}

// DrawingFile returns the name of the file that has the drawing with an id, in the
// folder [DrawingsName].
func DrawingFile(id string) string { return fileOf(id, ".svg") }

// drawingEntry describes one drawing.
type drawingEntry struct {
	ID    string `json:"id"`
	Title string `json:"title"`
	File  string `json:"file"`
}

type drawingsJSON struct {
	Drawings []drawingEntry `json:"drawings"`
}

// WriteDrawings writes plots/<id>.svg for each drawing, and
// plots/plots.json, which lists them. Where there is none, it makes no folder.
// Files of an earlier call whose drawings are gone are removed.
func (r *Run) WriteDrawings(all []Drawing) error {
	var before, index drawingsJSON
	if err := r.readIndex(drawingsIndex, drawingsKind, drawingsFormat, &before); err != nil {
		return err
	}
	if len(all)+len(before.Drawings) == 0 {
		return nil
	}
	if err := r.folder(DrawingsName); err != nil {
		return err
	}
	for _, d := range all {
		e := drawingEntry{ID: d.ID, Title: d.Title, File: DrawingFile(d.ID)}
		if err := checkName(e.File); err != nil {
			return fmt.Errorf("run %s: drawing: %w", r.path, err)
		}
		index.Drawings = append(index.Drawings, e)
		if err := r.replace(path.Join(DrawingsName, e.File), d.Write); err != nil {
			return err
		}
	}
	for _, old := range before.Drawings {
		stays := slices.ContainsFunc(index.Drawings, func(e drawingEntry) bool { return e.File == old.File })
		if stays || checkName(old.File) != nil {
			continue
		}
		if err := ignoreMissing(r.root.Remove(path.Join(DrawingsName, old.File))); err != nil {
			return fmt.Errorf("run %s: %w", r.path, err)
		}
		delete(r.sums, path.Join(DrawingsName, old.File))
	}
	return r.writeIndex(drawingsIndex, drawingsKind, drawingsFormat, index)
}
