package report

import (
	"fmt"
	"io"
	"strings"

	"candelua/engine/plain"
	"candelua/engine/result"
)

// Options say how results are shown.
type Options struct {
	Width  int  // columns of the terminal; 0 for 80, at least 40
	Colour bool // ANSI colours for findings and doubts
	Plots  bool // draw the plots with characters
	Budget bool // show what the uncertainties are made of
	// Drawings is the folder that holds the drawings as files, which are then
	// named in a line; empty if there are none. DrawingFile returns the name of the
	// file in it for the id of a drawing; it must be set if Drawings is.
	Drawings    string
	DrawingFile func(id string) string
}

// Terminal writes results as text: doubts, values, tables with their plots,
// and notes. A part that is empty is left out. It fails only if w fails.
func Terminal(w io.Writer, r *result.Results, o Options) error {
	if o.Width == 0 {
		o.Width = 80
	}
	o.Width = max(o.Width, 40)
	p := &printer{out: plain.On(w).Page(), Options: o}
	p.notes(r, true)
	p.values(r.Values(), r.Draws())
	for _, t := range r.Tables() {
		p.table(t)
		p.plots(r, t)
	}
	p.draws(r.Draws())
	p.notes(r, false)
	p.drawings(r)
	return plain.On(w).Paste(p.out)
}

// printer writes parts with an empty line between them.
type printer struct {
	Options
	out     *plain.Screen
	started bool
	cells   int // of tables that were shown
}

func (p *printer) part() {
	if p.started {
		fmt.Fprintln(p.out)
	}
	p.started = true
}

func (p *printer) line(s string) { fmt.Fprintln(p.out, s) }

// coloured writes a part of a line in a colour.
func (p *printer) coloured(s string, colour plain.Own) {
	if !p.Colour || s == "" || colour == "" {
		fmt.Fprint(p.out, s)
		return
	}
	p.out.Own(colour)
	fmt.Fprint(p.out, s)
	p.out.Own(plain.NoColour)
}

// notes writes the notes that are doubts, or the others, each wrapped.
func (p *printer) notes(r *result.Results, doubts bool) {
	label, shown := plain.Own("note: "), plain.Own("note: ")
	if doubts {
		label, shown = "doubt: ", "doubt: "
		if p.Colour {
			shown = plain.Yellow + "doubt: " + plain.NoColour
		}
	}
	count := 0
	for _, n := range r.Notes() {
		if n.Doubts() != doubts {
			continue
		}
		if count++; count == 1 {
			p.part()
		}
		if count > mostNotes {
			continue
		}
		for i, l := range wrap(plain.Line(n.Text), p.Width-len(label)) {
			if i == 0 {
				p.out.Own(shown)
				p.line(l)
				continue
			}
			p.line(strings.Repeat(" ", len(label)) + l)
		}
	}
	if more := count - mostNotes; more > 0 {
		p.line(fmt.Sprintf("(%d more; results.json has them all)", more))
	}
}

// mostNotes is how many notes of a level are shown.
const mostNotes = 200

// drawings names the files of the drawings.
func (p *printer) drawings(r *result.Results) {
	if p.Drawings == "" {
		return
	}
	var files []string
	for _, plot := range r.Plots() {
		files = append(files, p.DrawingFile(plot.ID))
	}
	for _, d := range r.Diagrams() {
		files = append(files, p.DrawingFile(d.ID))
	}
	if len(files) == 0 {
		return
	}
	p.part()
	more := ""
	if n := len(files) - mostFiles; n > 0 {
		files, more = files[:mostFiles], fmt.Sprintf(" and %d more", n)
	}
	p.line("drawings in " + plain.Line(p.Drawings) + ": " + strings.Join(files, ", ") + more)
}

// mostFiles is how many drawings the line names.
const mostFiles = 6
