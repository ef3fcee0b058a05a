package archive

import (
	"fmt"
	"io"
	"slices"

	"candelua/engine/bench"
	"candelua/engine/play"
	"candelua/engine/report"
	"candelua/engine/result"
	"candelua/engine/store"
)

// WriteConclusions writes the results of a run, or of a replay. What people share of a
// simulated run says that it was simulated. The store says under
// which names, and sees to it that no crash leaves half a file.
func WriteConclusions(folder *store.Run, out *play.Outcome, simulated bool) error {
	if err := folder.WriteResults(out.Results); err != nil {
		return err
	}
	if err := folder.WriteTables(tablesOf(out.Results, simulated)); err != nil {
		return err
	}
	drawings, err := drawingsOf(out.Results)
	if simulated {
		for i := range drawings {
			drawings[i].Write = report.Simulated(drawings[i].Write)
		}
	}
	if err != nil {
		return fmt.Errorf("run %s: %w", folder.Path(), err)
	}
	if err := folder.WriteDrawings(drawings); err != nil {
		return err
	}
	if err := writeCorrections(folder, out.Results, simulated); err != nil {
		return err
	}
	head := readingsHead
	if simulated {
		head = append(slices.Clone(head), report.SimulatedHead)
	}
	return folder.WriteReadings(head, func(w io.Writer) error {
		return report.CSV(w, head, readingCells(out.Readings, simulated))
	})
}

func tablesOf(res *result.Results, simulated bool) (all []store.Table) {
	kind := report.Kind{Simulated: simulated, RepeatabilityOnly: res.Draws().RepeatabilityOnly()}
	for _, t := range res.Tables() {
		all = append(all, store.Table{ID: t.ID, Name: t.Name, Columns: report.TableColumns(t, kind),
			Write: func(w io.Writer) error { return report.TableCSV(w, t, kind) }})
	}
	return all
}

// drawingsOf are the plots and then the diagrams. It fails on a plot of a table
// that is not there.
func drawingsOf(res *result.Results) (all []store.Drawing, err error) {
	most := report.PointsOf(len(res.Plots()))
	for _, p := range res.Plots() {
		t, ok := res.TableByID(p.Table)
		if !ok {
			return nil, fmt.Errorf("plot %q: its table %q is not there", p.ID, p.Table)
		}
		all = append(all, store.Drawing{ID: p.ID, Title: p.Title, Write: func(w io.Writer) error { return report.PlotSVG(w, t, p, most) }})
	}
	for _, d := range res.Diagrams() {
		all = append(all, store.Drawing{ID: d.ID, Title: d.Title, Write: func(w io.Writer) error { return report.DiagramSVG(w, d) }})
	}
	return all, nil
}

// simulatedCorrection is a comment of a correction file.
const simulatedCorrection = "# Simulated: made of readings of simulated meters. Use it with no real meter.\n"

// writeCorrections writes the corrections that a run made as files that a bench
// file can name.
func writeCorrections(folder *store.Run, res *result.Results, simulated bool) error {
	var files []store.Correction
	for _, r := range res.Corrections() {
		c := bench.Correction{Name: r.Name, Path: r.ID, Method: r.Method, Matrix: r.Matrix, Meter: bench.Maker(r.Meter), Reference: bench.Maker(r.Reference),
			Unit: r.Unit, Mode: r.Mode, Panel: r.Panel, Date: r.Date, ValidFor: r.ValidFor, Notes: r.Notes, Residual: bench.Residual{XY: r.XY, Luminance: r.Luminance}}
		text, err := c.Text()
		if err != nil {
			return fmt.Errorf("correction %q cannot be written: %w", r.Name, err)
		}
		if simulated {
			text = append([]byte(simulatedCorrection), text...)
		}
		files = append(files, store.Correction{ID: r.ID, Name: r.Name, Text: text})
	}
	return folder.WriteCorrections(files)
}
