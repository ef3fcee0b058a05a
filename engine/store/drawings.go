package store

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"slices"

	"candelua/engine/report"
	"candelua/engine/result"
)

// DrawingsName is the folder in a run's that holds its drawings.
const DrawingsName = "plots"

const (
	drawingsFormat = 1
	drawingsKind   = "candelua-drawings"
	drawingsIndex  = DrawingsName + "/plots.json"
)

// drawingEntry describes one drawing.
type drawingEntry struct {
	ID    string `json:"id"`
	Title string `json:"title"`
	File  string `json:"file"`
}

type drawingsJSON struct {
	Drawings []drawingEntry `json:"drawings"`
}

// WriteDrawings writes plots/<id>.svg for each plot and each diagram, and
// plots/plots.json, which lists them. Where there is none, it makes no folder.
// Files of an earlier call whose drawings are gone are removed.
func (r *Run) WriteDrawings(res *result.Results) error {
	var before, index drawingsJSON
	err := r.readHeaded(drawingsIndex, drawingsKind, drawingsFormat, &before)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	if len(res.Plots())+len(res.Diagrams())+len(before.Drawings) == 0 {
		return nil
	}
	if err := r.folder(DrawingsName); err != nil {
		return err
	}
	draw := func(id, title string, write func(io.Writer) error) error {
		e := drawingEntry{ID: id, Title: title, File: report.DrawingFile(id)}
		if err := CheckName(e.File); err != nil {
			return fmt.Errorf("run %s: drawing: %w", r.path, err)
		}
		index.Drawings = append(index.Drawings, e)
		return r.replace(path.Join(DrawingsName, e.File), write)
	}
	for _, p := range res.Plots() {
		t, ok := res.TableByID(p.Table)
		if !ok {
			return fmt.Errorf("run %s: plot %q: its table %q is not there", r.path, p.ID, p.Table)
		}
		if err := draw(p.ID, p.Title, func(w io.Writer) error { return report.PlotSVG(w, t, p) }); err != nil {
			return err
		}
	}
	for _, d := range res.Diagrams() {
		if err := draw(d.ID, d.Title, func(w io.Writer) error { return report.DiagramSVG(w, d) }); err != nil {
			return err
		}
	}
	for _, old := range before.Drawings {
		stays := slices.ContainsFunc(index.Drawings, func(e drawingEntry) bool { return e.File == old.File })
		if stays || CheckName(old.File) != nil {
			continue
		}
		if err := ignoreMissing(r.root.Remove(path.Join(DrawingsName, old.File))); err != nil {
			return fmt.Errorf("run %s: %w", r.path, err)
		}
	}
	return r.writeIndex(drawingsIndex, drawingsKind, drawingsFormat, index)
}
