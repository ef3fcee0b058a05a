package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"iter"

	"candelua/engine/plain"
	"candelua/engine/result"
)

// CSV writes a head row and rows as comma-separated values: CRLF line ends,
// UTF-8, no byte order mark, and no comment lines.
//
// A comment line with the format's version would be a row of data to most
// spreadsheets and to the readers of common statistics programs, so the
// version is in a JSON file beside it (see package store).
//
//   - Numbers are the shortest that read back as the same number, with a
//     point; truths are true and false; an empty cell is an empty field.
//   - Control characters in texts become spaces, and what else could do harm is
//     replaced ([plain.Cell]).
//   - A text that a spreadsheet would take for a formula, one that begins with
//     = + - @ or their full-width forms (spaces before it or not), gets an
//     apostrophe before it. Numbers do not.
//
// Source: [RFC4180]; formulas: common practice, no source.
func CSV(w io.Writer, head []string, rows iter.Seq[[]result.Cell]) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if len(head) == 0 {
		return fmt.Errorf("csv: there are no columns, want at least one")
	}
	record := make([]string, len(head))
	for i, h := range head {
		record[i] = plain.Cell(h)
	}
	if err := out.Write(record); err != nil {
		return fmt.Errorf("csv: %w", err)
	}
	n := 0
	for row := range rows {
		n++
		if len(row) != len(head) {
			return fmt.Errorf("csv: row %d has %d cells, want %d", n, len(row), len(head))
		}
		for i, c := range row {
			record[i] = field(c)
		}
		if err := writeRecord(w, out, record); err != nil {
			return fmt.Errorf("csv: row %d: %w", n, err)
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("csv: %w", err)
	}
	return nil
}

// writeRecord writes a row. One that is a single empty field is quoted, for a
// line with nothing on it is no row to most readers.
func writeRecord(w io.Writer, out *csv.Writer, record []string) error {
	if len(record) > 1 || record[0] != "" {
		return out.Write(record)
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\"\"\r\n")
	return err
}

// field writes one cell.
func field(c result.Cell) string {
	if c.Kind() == result.Word {
		return plain.Cell(c.String())
	}
	return c.String()
}
