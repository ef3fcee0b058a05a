package player

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"candelua/engine/plain"
)

// writeList writes the list for spreadsheets.
func writeList(w io.Writer, in *Index) error {
	out := csv.NewWriter(w)
	head := []string{"number", "file", "shows", "signal", "bits", "red code", "green code", "blue code", "window (%)", "x", "y", "times used"}
	if in.Layout.Form == Video {
		head = append(head, "Y code", "Cb code", "Cr code", "red shown", "green shown", "blue shown")
	}
	rows := [][]string{head}
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 8, 64) }
	for _, e := range in.Patches {
		row := []string{fmt.Sprint(e.Number), plain.Cell(e.File), plain.Cell(e.Shows), string(e.Patch.Signal), fmt.Sprint(e.Bits),
			fmt.Sprint(e.Code[0]), fmt.Sprint(e.Code[1]), fmt.Sprint(e.Code[2]), number(e.Area), number(e.At[0]), number(e.At[1]), fmt.Sprint(e.Times)}
		if e.YCbCr != nil {
			row = append(row, fmt.Sprint(e.YCbCr[0]), fmt.Sprint(e.YCbCr[1]), fmt.Sprint(e.YCbCr[2]),
				number(e.Shown[0]), number(e.Shown[1]), number(e.Shown[2]))
		}
		rows = append(rows, row)
	}
	return out.WriteAll(rows)
}
