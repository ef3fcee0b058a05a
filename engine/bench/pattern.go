package bench

import "math"

// PatternKind is what a patch shows besides a plain window.
type PatternKind string

// The kinds of pattern. None is dithered or smoothed.
const (
	Window       PatternKind = ""             // a window on a background: no pattern
	Checkerboard PatternKind = "checkerboard" // fields of the patch's colour and of its background in turn
	Ramp         PatternKind = "ramp"         // a signal that rises over the whole screen, without steps of its own
	Steps        PatternKind = "steps"        // equal bars over the whole screen, without gaps
	Ladder       PatternKind = "ladder"       // separate fields on the background, one step brighter each
)

// Pattern says how a patch fills the whole screen. The zero Pattern is a plain window.
// Patches are compared with ==, so it holds no lists.
//
//   - [Checkerboard]: the field in which [Patch.At] lies has [Patch.RGB], and those beside it have [Patch.Background].
//   - [Ramp], [Steps]: from From, at the left or the top, to [Patch.RGB].
//   - [Ladder]: Count fields in rows from the left and the top, the first with From, the last with
//     [Patch.RGB], on [Patch.Background].
type Pattern struct {
	Kind     PatternKind `json:"kind"`
	Columns  int         `json:"columns,omitempty"` // of a checkerboard, 1 to [MostFields]
	Rows     int         `json:"rows,omitempty"`
	From     [3]float64  `json:"from,omitzero"`      // signal, 0 to 1
	Count    int         `json:"count,omitempty"`    // of steps and ladders, 2 to [MostLevels]
	Vertical bool        `json:"vertical,omitempty"` // of ramps and steps: from the top to the bottom
}

// The limits of a pattern.
const (
	MostFields = 64  // columns, and rows, of a checkerboard
	MostLevels = 256 // bars of steps, fields of a ladder
)

// Check refuses a pattern that nobody can show. The error says which of its
// numbers is wrong, and what is allowed.
func (p Pattern) Check() error {
	count := p.Count >= 2 && p.Count <= MostLevels
	for _, v := range p.From {
		if !(v >= 0 && v <= 1) {
			return Errorf(CodeUnsupported, "", "pattern: from has %v; it must be signals from 0 to 1", v)
		}
	}
	switch p.Kind {
	case Window, Ramp:
		return nil
	case Checkerboard:
		for _, n := range []int{p.Columns, p.Rows} {
			if n < 1 || n > MostFields {
				return Errorf(CodeUnsupported, "", "pattern: a checkerboard has %d by %d fields; it must have 1 to %d each way", p.Columns, p.Rows, MostFields)
			}
		}
		if p.Columns*p.Rows < 2 {
			return Errorf(CodeUnsupported, "", "pattern: a checkerboard has one field; it must have two or more")
		}
		return nil
	case Steps, Ladder:
		if !count {
			return Errorf(CodeUnsupported, "", "pattern: count is %d; it must be 2 to %d", p.Count, MostLevels)
		}
		return nil
	}
	return Errorf(CodeUnsupported, "", "pattern: kind is %q; it must be %q, %q, %q or %q", p.Kind, Checkerboard, Ramp, Steps, Ladder)
}

// Level is the signal of bar or field number i, from 0, of n: equal differences
// of signal from From to [Patch.RGB].
func (p Patch) Level(i, n int) (rgb [3]float64) {
	share := 0.0
	if n > 1 {
		share = float64(i) / float64(n-1)
	}
	for k := range rgb {
		rgb[k] = min(max(p.Pattern.From[k]+(p.RGB[k]-p.Pattern.From[k])*share, 0), 1)
	}
	return rgb
}

// Field is the field of a checkerboard in which a place lies, counted from 0 from the
// left and the top. A place on a border belongs to the field at its right or below.
func (p Pattern) Field(at [2]float64) (column, row int) {
	of := func(n int, at float64) int { return max(0, min(int(math.Floor(at*float64(n))), n-1)) }
	return of(p.Columns, at[0]), of(p.Rows, at[1])
}

// Middle is where a meter looks that is not placed: the middle of the window, as it was asked
// for, or of the field of a checkerboard in which [Patch.At] lies.
func (p Patch) Middle() [2]float64 {
	if p.Pattern.Kind != Checkerboard {
		return p.At
	}
	column, row := p.Pattern.Field(p.At)
	return [2]float64{(float64(column) + 0.5) / float64(p.Pattern.Columns), (float64(row) + 0.5) / float64(p.Pattern.Rows)}
}

// Area is the share of the screen, %, that a patch asks to have its own colour: of the window, of a checkerboard's fields, of
// the fields of a ladder (about), and of all else that fills the screen.
func (p Patch) Area() float64 {
	pattern := p.Pattern
	switch pattern.Kind {
	case Window:
		return p.Window
	case Checkerboard:
		fields := pattern.Columns * pattern.Rows
		own := fields / 2
		if column, row := pattern.Field(p.At); fields%2 == 1 && (column+row)%2 == 0 {
			own++
		}
		return 100 * float64(own) / float64(fields)
	case Ladder:
		return 25 // the middle halves of cells
	}
	return 100
}

// Space is the colour space that plain signals are meant in.
type Space string

// The spaces of a patch.
const (
	Plain     Space = ""           // plain codes: the unit takes them as it takes any picture
	DisplayP3 Space = "display-p3" // tagged as Display P3, an SDR picture with the primaries of P3 and the curve of sRGB
)

// Zone is a part of the screen that windows keep clear of, as the unit file states it:
// a rounded corner, a notch, a sensor under the panel. Its sides are 0 to 1 from the left and the top.
type Zone struct {
	What                     string `json:"what"` // in words, such as "notch"
	Left, Top, Right, Bottom float64
	// Rounded says that only what lies outside the quarter of an ellipse is meant, which fills the
	// zone and has its centre in the corner that points to the middle of the screen.
	Rounded bool
}

// Turned is where the zone lies when the screen is turned by so many quarters
// clockwise, as seen from the front.
func (z Zone) Turned(quarters int) Zone {
	for range (quarters%4 + 4) % 4 {
		z.Left, z.Top, z.Right, z.Bottom = 1-z.Bottom, z.Left, 1-z.Top, z.Right
	}
	return z
}
