package archive

import (
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/report"
	"candelua/engine/result"
	"candelua/engine/script"
)

// readingsHead are the columns of readings.csv. A simulated run has one more, which is true
// in every row.
var readingsHead = []string{
	"step", "sample", "line", "part", "meter", "began (s)", "ended (s)",
	"X (cd/m2)", "Y (cd/m2)", "Z (cd/m2)", "x", "y", "flags", "typed",
	"lit (s)", "window (%)", "red", "green", "blue", "background red", "background green", "background blue",
	"signal", "bits", "settings", "rig", "correction", "pattern", "space", "path", "hdr",
}

// readingCells are the rows of readings.csv: every single reading beside its patch,
// settings, rig and part.
func readingCells(rows []script.ReadingRow, simulated bool) iter.Seq[[]result.Cell] {
	return func(yield func([]result.Cell) bool) {
		for _, r := range rows {
			cells := cellsOf(r)
			if simulated {
				cells = append(cells, report.SimulatedCell())
			}
			if !yield(cells) {
				return
			}
		}
	}
}

func cellsOf(r script.ReadingRow) []result.Cell {
	num, text := result.Num, result.Text
	var none result.Cell
	cells := []result.Cell{num(float64(r.Reading)), num(float64(r.Sample)), text(r.At), text(r.Part), text(r.Meter), num(r.Began), num(r.Ended)}
	if r.Colour {
		cells = append(cells, num(r.X), num(r.Y), num(r.Z))
	} else {
		cells = append(cells, none, num(r.Y), none)
	}
	if sum := r.X + r.Y + r.Z; r.Colour && r.Y > 0 && sum > 0 {
		cells = append(cells, num(r.X/sum), num(r.Y/sum))
	} else {
		cells = append(cells, none, none)
	}
	flags := make([]string, len(r.Flags))
	for i, f := range r.Flags {
		flags[i] = string(f)
	}
	cells = append(cells, text(strings.Join(flags, " ")), text(r.Typed))
	cells = append(cells, patchCells(r.Patch, r.Lit)...)
	cells = append(cells, text(levels(r.Settings)), text(levels(r.Rig)), correctionCell(r.Correction))
	cells = append(cells, pictureCells(r.Patch)...)
	return append(cells, text(string(r.Path)), text(r.HDR))
}

func patchCells(p *bench.Patch, lit float64) []result.Cell {
	if p == nil {
		return make([]result.Cell, 10)
	}
	num := result.Num
	return []result.Cell{num(lit), num(p.Window), num(p.RGB[0]), num(p.RGB[1]), num(p.RGB[2]),
		num(p.Background[0]), num(p.Background[1]), num(p.Background[2]), result.Text(string(p.Signal)), num(float64(p.Bits))}
}

// pictureCells say what a patch is besides a window of plain codes.
func pictureCells(p *bench.Patch) []result.Cell {
	if p == nil {
		return make([]result.Cell, 2)
	}
	return []result.Cell{result.Text(patternWords(p.Pattern)), result.Text(string(p.Space))}
}

// patternWords writes a pattern with its numbers: "checkerboard 4 x 4", "steps 16 from 0 0 0".
func patternWords(p bench.Pattern) string {
	words := string(p.Kind)
	switch p.Kind {
	case bench.Window:
		return ""
	case bench.Checkerboard:
		return fmt.Sprintf("%s %d x %d", words, p.Columns, p.Rows)
	case bench.Steps, bench.Ladder:
		words += fmt.Sprintf(" %d", p.Count)
	}
	words += fmt.Sprintf(" from %v %v %v", p.From[0], p.From[1], p.From[2])
	if p.Vertical {
		words += " vertical"
	}
	return words
}

// correctionCell names what X, Y and Z of a row were corrected by.
func correctionCell(c *bench.Correction) result.Cell {
	if c == nil {
		return result.Cell{}
	}
	return result.Text(c.Name)
}

// levels writes what stands where: "Brightness: 50; Contrast: 80".
func levels[V any](m map[string]V) string {
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(m)) {
		parts = append(parts, fmt.Sprintf("%s: %v", name, m[name]))
	}
	return strings.Join(parts, "; ")
}
