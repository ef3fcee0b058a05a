package bench

import (
	"fmt"
	"math"
	"path"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"
)

// The methods by which a correction is made.
const (
	FourColour   = "four-colour"   // Ohno and Hardis 1997
	LeastSquares = "least squares" // ASTM E1455
)

// What a correction's matrix is refused for: no filter meter is that far off,
// and what it left of the noise would drown the colour (common practice, no
// source; the corrections of simulated filter meters have a condition under 2).
const mostCondition = 100 // of the matrix, in the norm of the largest row sum

var elements = limits{-100, 100, ""} // of the matrix

// Correction maps what one filter meter reads of one kind of display to what a
// reference meter would read there. It is good for displays with the same
// primaries only.
type Correction struct {
	Name      string
	Path      string // of the file, for messages
	Meter     Maker  // the meter that it was made for
	Reference Maker  // the meter that it goes by; empty where not stated
	Unit      string // the display that it was made on; empty where not stated
	Mode      string // of that display
	Panel     string // the kind of its panel, in somebody's words; empty where not stated
	Method    string // [FourColour] or [LeastSquares]
	Date      string // year-month-day; empty where not stated
	ValidFor  int    // days from Date for which it is to be used without a warning; 0: not stated
	Notes     string // the range in which it holds, in words
	// Matrix gives the corrected XYZ when it is multiplied by the column XYZ
	// of the meter: X' = Matrix[0][0] X + Matrix[0][1] Y + Matrix[0][2] Z.
	Matrix [3][3]float64
	// Residual is what the correction leaves, as standard uncertainties; 0
	// where not stated.
	Residual Residual
}

// Maker tells a meter from any other.
type Maker struct {
	Name   string
	Serial string // empty where not stated
}

// String is what a person tells the meter by.
func (m Maker) String() string { return strings.TrimSpace(m.Name + " " + m.Serial) }

// Is tells whether a meter of that identity is the one. A serial number that
// was not stated fits any.
func (m Maker) Is(id Identity) bool {
	return m.Name == id.Name && (m.Serial == "" || m.Serial == id.Serial)
}

// Residual is what a correction leaves, as standard uncertainties.
type Residual struct {
	XY        float64 // of the chromaticity x and of y
	Luminance float64 // %
}

// ParseCorrection reads a correction file. The name is the file's path: it
// heads the messages, and its base without ".toml" names a correction that
// states no name.
//
// The file is strict, as a bench file is (see [ParseFile]); and the matrix must
// be one that can be a correction: nine finite numbers, which do not mirror
// colours (a determinant over 0), none beyond 100, with a condition of at most
// 100, that is the largest row sum of absolute values, times that of the
// inverse.
func ParseCorrection(name string, src []byte) (*Correction, error) {
	doc, err := parseDocument(name, src)
	if err != nil {
		return nil, err
	}
	c := &Correction{Path: name, Name: strings.TrimSuffix(path.Base(name), ".toml")}
	t := doc.root()
	t.only("a correction file", []string{"format", "name", "method", "date", "valid_for", "panel", "notes", "matrix", "meter", "reference", "unit", "residual"})
	t.format()
	if doc.err != nil { // before what is missing, which is told at the first line
		return nil, doc.err
	}
	t.text("name", &c.Name)
	t.required("method", &c.Method, `state how the matrix was made: method = "four-colour" or method = "least squares"`)
	if c.Method != "" && c.Method != FourColour && c.Method != LeastSquares {
		t.wrong("method", didYouMean(c.Method, []string{FourColour, LeastSquares}), fmt.Sprintf("%q or %q", FourColour, LeastSquares))
	}
	t.date("date", &c.Date)
	t.validFor(c)
	t.text("panel", &c.Panel)
	t.text("notes", &c.Notes)
	t.matrix("matrix", &c.Matrix)
	t.maker("meter", &c.Meter, true)
	t.maker("reference", &c.Reference, false)
	if u := t.table("unit"); u != nil {
		u.only("[unit]", []string{"name", "mode"})
		u.required("name", &c.Unit, `state the display's name, for example name = "Crake 2"`)
		u.text("mode", &c.Mode)
	}
	if r := t.table("residual"); r != nil {
		r.only("[residual]", []string{"xy", "luminance"})
		r.number("xy", &c.Residual.XY, limits{0, 0.5, ""})
		r.number("luminance", &c.Residual.Luminance, limits{0, 100, "%"})
	}
	if doc.err != nil {
		return nil, doc.err
	}
	return c, nil
}

// maker reads the table that tells a meter from any other.
func (t *table) maker(key string, to *Maker, required bool) {
	m := t.table(key)
	if m == nil {
		if _, there := t.values[key]; required && !there {
			t.doc.fail(t.line, "write [meter], and below it the name and the serial number of the meter", "%s is missing", key)
		}
		return
	}
	m.only("["+key+"]", []string{"name", "serial"})
	m.required("name", &to.Name, "state the name by which the meter is known on the bench")
	m.text("serial", &to.Serial)
}

// mostValid is how long a correction can be stated to be valid, in days: filters and panels age within less than ten years (common practice, no source).
const mostValid = 3650

// validFor reads for how many days the correction is valid, which is counted from its date.
func (t *table) validFor(c *Correction) {
	if _, there := t.values["valid_for"]; !there {
		return
	}
	t.whole("valid_for", &c.ValidFor, limits{1, mostValid, "days"})
	if c.Date == "" {
		t.doc.fail(t.lineOf("valid_for"), "write the day on which the correction was made, for example date = 2026-11-20", "%s is stated without a date; its days are counted from date", t.named("valid_for"))
	}
}

// date reads a day, with quotes or without.
func (t *table) date(key string, to *string) {
	v, ok := t.values[key]
	if !ok {
		return
	}
	s, isText := v.(string)
	if d, ok := v.(toml.LocalDate); ok {
		s, isText = d.String(), true
	}
	if _, err := time.Parse(time.DateOnly, s); !isText || err != nil {
		t.wrong(key, "", "a date such as 2026-11-20")
		return
	}
	*to = s
}

// matrix reads the matrix of a correction.
func (t *table) matrix(key string, to *[3][3]float64) {
	v, ok := t.values[key]
	if !ok {
		t.doc.fail(t.line, "write three rows of three numbers, for example matrix = [[1, 0, 0], [0, 1, 0], [0, 0, 1]]", "%s is missing", t.named(key))
		return
	}
	const want = "three rows of three finite numbers"
	rows, ok := v.([]any)
	if !ok || len(rows) != 3 {
		got := shown(v)
		if ok {
			got = fmt.Sprintf("a list of %d", len(rows))
		}
		t.doc.fail(t.lineOf(key), "", "%s is %s; it must be %s", t.named(key), got, want)
		return
	}
	for i, row := range rows {
		cells, ok := row.([]any)
		if !ok || len(cells) != 3 {
			t.doc.fail(t.lineOf(key), "", "%s does not have three numbers in row %d; it must have %s", t.named(key), i+1, want)
			return
		}
		for j, cell := range cells {
			if to[i][j], ok = asNumber(cell); !ok || !elements.allow(to[i][j]) {
				t.doc.fail(t.lineOf(key), "", "%s is %s in row %d, column %d; it must be %s", t.named(key), shown(cell), i+1, j+1, elements.want("a number"))
				return
			}
		}
	}
	if err := checkMatrix(*to); err != nil {
		t.doc.fail(t.lineOf(key), "make the correction again from three or more colours that form a wide triangle, such as red, green and blue", "%s %v", t.named(key), err)
	}
}

// checkMatrix says why a matrix cannot be a correction, nil where it can.
func checkMatrix(m [3][3]float64) error {
	for i := range m {
		for j, x := range m[i] {
			if !elements.allow(x) {
				return fmt.Errorf("is %v in row %d, column %d; it must be %s", x, i+1, j+1, elements.want("a number"))
			}
		}
	}
	// The cofactors, whose transpose over the determinant is the inverse.
	var c [3][3]float64
	for i := range 3 {
		for j := range 3 {
			a, b := (i+1)%3, (i+2)%3
			d, e := (j+1)%3, (j+2)%3
			c[j][i] = m[a][d]*m[b][e] - m[a][e]*m[b][d]
		}
	}
	det := m[0][0]*c[0][0] + m[0][1]*c[1][0] + m[0][2]*c[2][0]
	switch condition := largestRow(m) * largestRow(c) / det; {
	case det < 0 && -condition <= mostCondition:
		return fmt.Errorf("has a determinant of %.4g; it must be more than 0, because a correction does not mirror colours", det)
	case !(condition <= mostCondition) || det <= 0:
		return fmt.Errorf("has a determinant of %.4g and a condition number above %d, so it does not determine all colours", det, mostCondition)
	}
	return nil
}

// largestRow is the largest sum of a row's absolute values.
func largestRow(m [3][3]float64) float64 {
	most := 0.0
	for _, r := range m {
		most = math.Max(most, math.Abs(r[0])+math.Abs(r[1])+math.Abs(r[2]))
	}
	return most
}

// correctionFile is a correction as it is written.
type correctionFile struct {
	Format    int           `toml:"format"`
	Name      string        `toml:"name"`
	Method    string        `toml:"method"`
	Date      string        `toml:"date,omitempty"`
	ValidFor  int           `toml:"valid_for,omitempty" comment:"days"`
	Panel     string        `toml:"panel,omitempty"`
	Notes     string        `toml:"notes,omitempty"`
	Matrix    [3][3]float64 `toml:"matrix"`
	Meter     makerFile     `toml:"meter"`
	Reference *makerFile    `toml:"reference,omitempty"`
	Unit      *unitOfFile   `toml:"unit,omitempty"`
	Residual  *residualFile `toml:"residual,omitempty"`
}

type makerFile struct {
	Name   string `toml:"name"`
	Serial string `toml:"serial,omitempty"`
}

type unitOfFile struct {
	Name string `toml:"name"`
	Mode string `toml:"mode,omitempty"`
}

type residualFile struct {
	XY        float64 `toml:"xy"`
	Luminance float64 `toml:"luminance" comment:"%"`
}

// Text writes the correction as a file. It fails on what [ParseCorrection]
// would refuse, so that what is written can be read.
func (c *Correction) Text() ([]byte, error) {
	f := correctionFile{Format: fileFormat, Name: c.Name, Method: c.Method, Date: c.Date, ValidFor: c.ValidFor, Panel: c.Panel, Notes: c.Notes, Matrix: c.Matrix,
		Meter: makerFile(c.Meter)}
	if c.Reference != (Maker{}) {
		f.Reference = (*makerFile)(&c.Reference)
	}
	if c.Unit != "" {
		f.Unit = &unitOfFile{c.Unit, c.Mode}
	}
	if c.Residual != (Residual{}) {
		f.Residual = (*residualFile)(&c.Residual)
	}
	text, err := toml.Marshal(f)
	if err != nil {
		return nil, err
	}
	if _, err := ParseCorrection(c.Path, text); err != nil {
		return nil, err
	}
	return text, nil
}
