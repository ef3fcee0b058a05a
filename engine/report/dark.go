package report

import (
	"io"
	"strings"
)

// The colours of a drawing in a dark room: dim red, to which eyes that are used to the dark stay used, and of which a display
// nearby shows little (common practice, no source).
const (
	darkPaper  = "#000000"
	darkInk    = "#e8492f"
	darkFaint  = "#d9432b"
	darkGround = "#2b0e09"
	darkField  = "#060201"
)

// darkened has the colours of a dark room in the place of a drawing's. What a text says is never taken for a colour, since
// quotation marks are escaped there.
var darkened = strings.NewReplacer(`"`+paper+`"`, `"`+darkPaper+`"`, `"`+ink+`"`, `"`+darkInk+`"`, `"`+faint+`"`, `"`+darkFaint+`"`,
	`"`+ground+`"`, `"`+darkGround+`"`, `"#ffffff"`, `"`+darkField+`"`)

// Dark makes a drawing one for a dark room: dim red on black.
func Dark(draw func(io.Writer) error) func(io.Writer) error {
	return func(w io.Writer) error {
		var b strings.Builder
		if err := draw(&b); err != nil {
			return err
		}
		_, err := darkened.WriteString(w, b.String())
		return err
	}
}
