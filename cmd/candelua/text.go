package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/mattn/go-runewidth"

	"candelua/engine/plain"
)

// count writes a number and the thing counted: "1 step", "5 steps".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// pageWidth is how wide text is that is read, not measured.
const pageWidth = 80

// paragraph writes a text in lines that fit the page, each after the indent.
// The first line has the lead instead, which is as wide.
func paragraph(w io.Writer, lead, indent, text string) {
	paragraphWithin(w, pageWidth, lead, indent, text)
}

// paragraphWithin is paragraph for lines of another width. A word that is
// wider has a line of its own.
func paragraphWithin(w io.Writer, width int, lead, indent, text string) {
	line := lead
	empty := true
	for _, word := range strings.Fields(plain.Line(text)) {
		if !empty && runewidth.StringWidth(line)+1+runewidth.StringWidth(word) > width {
			fmt.Fprintln(w, line)
			line, empty = indent, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	fmt.Fprintln(w, strings.TrimRight(line, " "))
}

// writeRows writes rows with their columns lined up, as wide as the widest cell;
// what is last in a row takes its own room.
func writeRows(w io.Writer, rows [][]string) error {
	var widths []int
	for _, row := range rows {
		for i, cell := range row[:len(row)-1] {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], runewidth.StringWidth(plain.Line(cell)))
		}
	}
	var text strings.Builder
	for _, row := range rows {
		line := ""
		for i, cell := range row[:len(row)-1] {
			line += runewidth.FillRight(plain.Line(cell), widths[i]) + gap
		}
		text.WriteString(strings.TrimRight(line+plain.Line(row[len(row)-1]), " ") + "\n")
	}
	_, err := io.WriteString(w, text.String())
	return err
}

// entry is one of a list: a name, what it is, and what it may be.
type entry struct{ name, help, facts string }

// entries writes names and beside them their help, and below that the facts.
func entries(w io.Writer, all []entry) {
	width := 0
	for i := range all {
		all[i].name = plain.Line(all[i].name)
		width = max(width, runewidth.StringWidth(all[i].name))
	}
	indent := strings.Repeat(" ", width+4)
	for _, e := range all {
		lead := "  " + runewidth.FillRight(e.name, width) + "  "
		for _, text := range []string{e.help, e.facts} {
			if text != "" {
				paragraph(w, lead, indent, text)
				lead = indent
			}
		}
		if e.facts == "" && e.help == "" {
			fmt.Fprintln(w, strings.TrimRight(lead, " "))
		}
	}
}
