package result

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
)

// Kind says what a cell holds.
type Kind int

// The kinds of cell.
const (
	Empty Kind = iota
	Numeric
	Word
	Logical
)

// Cell is one cell of a table: a finite number, a text, a truth or nothing.
// The zero Cell is empty. Cells compare with ==.
type Cell struct {
	kind   Kind
	number float64
	text   string
	truth  bool
}

// Num returns a cell that holds a number, which must be finite; a table
// refuses it otherwise.
func Num(f float64) Cell { return Cell{kind: Numeric, number: nought(f)} }

// Text returns a cell that holds text.
func Text(s string) Cell { return Cell{kind: Word, text: tidy(s)} }

// truth returns a cell that holds true or false.
func truth(b bool) Cell { return Cell{kind: Logical, truth: b} }

// Kind says what the cell holds.
func (c Cell) Kind() Kind { return c.kind }

// Float returns the number, and whether there is one.
func (c Cell) Float() (float64, bool) { return c.number, c.kind == Numeric }

// Any returns the cell as a float64, a string, a bool or nil.
func (c Cell) Any() any {
	switch c.kind {
	case Numeric:
		return c.number
	case Word:
		return c.text
	case Logical:
		return c.truth
	}
	return nil
}

// String returns the cell as text: a number as [Number] writes it, an empty
// cell as "".
func (c Cell) String() string {
	switch c.kind {
	case Numeric:
		return Number(c.number)
	case Word:
		return c.text
	case Logical:
		return strconv.FormatBool(c.truth)
	}
	return ""
}

// words returns the cell for a message, where text is quoted.
func (c Cell) words() string {
	switch c.kind {
	case Empty:
		return "empty"
	case Word:
		return strconv.Quote(c.text)
	}
	return c.String()
}

// same compares two cells, numbers as [Same] does.
func (c Cell) same(d Cell) bool {
	if c.kind == Numeric && d.kind == Numeric {
		return Same(c.number, d.number)
	}
	return c == d
}

// cellOf makes a cell of what a script gives. It fails where that is no
// number, text, truth or nothing, and on a number that is not finite.
func cellOf(v any) (Cell, error) {
	var c Cell
	switch v := v.(type) {
	case nil:
	case Cell:
		c = v
	case float64:
		c = Num(v)
	case int:
		c = Num(float64(v))
	case string:
		c = Text(v)
	case bool:
		c = truth(v)
	default:
		return c, fmt.Errorf("is a %T; it must be a number, a text, true or false", v)
	}
	return c, c.check()
}

// check refuses a number that is not finite and text beyond maxText.
func (c Cell) check() error {
	if c.kind == Numeric && !finite(c.number) {
		return fmt.Errorf("is %v; it must be a finite number; if there is none, leave it out", c.number)
	}
	if len(c.text) > maxText {
		return fmt.Errorf("has %d bytes of text; it must have at most %d", len(c.text), maxText)
	}
	return nil
}

// MarshalJSON writes a number, a string, true, false or null.
func (c Cell) MarshalJSON() ([]byte, error) { return encode(c.Any()) }

// UnmarshalJSON reads what MarshalJSON writes.
func (c *Cell) UnmarshalJSON(b []byte) error {
	var v any
	if err := json.Unmarshal(b, &v); err != nil {
		return err
	}
	got, err := cellOf(v)
	if err != nil {
		return fmt.Errorf("cell %w", err)
	}
	*c = got
	return nil
}

// Number writes a finite number in the shortest form that reads back as the
// same number, without an exponent from 1e-6 to below 1e21, as JSON does.
func Number(f float64) string {
	b, err := json.Marshal(f)
	if err != nil { // not finite, which nothing in this package lets in
		return strconv.FormatFloat(f, 'g', -1, 64)
	}
	return string(b)
}

// tidy makes text valid UTF-8.
func tidy(s string) string { return strings.ToValidUTF8(s, "\uFFFD") }
