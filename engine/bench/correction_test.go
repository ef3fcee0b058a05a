package bench

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/mat"
)

const crakeDusk = `format = 1
name = "Crake 2, Dusk"
method = "four-colour"
date = 2026-11-20
notes = "1 to 500 cd/m2, 10 % windows"
matrix = [
  [1.02, -0.03, 0.001],
  [0.01, 0.98, -0.002],
  [0, 0.004, 1.1],
]
[meter]
name = "Tern Street filter"
serial = "TF-04"
[reference]
name = "Tern Street spectral"
[unit]
name = "Crake 2"
mode = "Dusk"
[residual]
xy = 0.0008
luminance = 0.3
`

func TestParseCorrection(t *testing.T) {
	got, err := ParseCorrection("corrections/crake-dusk.toml", []byte(crakeDusk))
	if err != nil {
		t.Fatal(err)
	}
	want := &Correction{Name: "Crake 2, Dusk", Path: "corrections/crake-dusk.toml", Method: FourColour, Date: "2026-11-20",
		Notes: "1 to 500 cd/m2, 10 % windows", Meter: Maker{"Tern Street filter", "TF-04"}, Reference: Maker{Name: "Tern Street spectral"},
		Unit: "Crake 2", Mode: "Dusk", Residual: Residual{XY: 0.0008, Luminance: 0.3},
		Matrix: [3][3]float64{{1.02, -0.03, 0.001}, {0.01, 0.98, -0.002}, {0, 0.004, 1.1}}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}

	short := "method = 'least squares'\ndate = '2026-11-20'\nmatrix = [[1, 0, 0], [0, 1, 0], [0, 0, 1]]\nmeter = { name = 'a' }"
	if got, err = ParseCorrection("corrections/crake-dusk.toml", []byte(short)); err != nil {
		t.Fatal(err)
	}
	if got.Name != "crake-dusk" || got.Date != "2026-11-20" || got.Reference != (Maker{}) || got.Matrix != [3][3]float64{{1}, {0, 1}, {0, 0, 1}} {
		t.Errorf("a short file was read as %+v", got)
	}
}

// What is written is read again as it was, to the last bit.
func TestCorrectionText(t *testing.T) {
	want, err := ParseCorrection("b.toml", []byte(crakeDusk))
	if err != nil {
		t.Fatal(err)
	}
	want.Matrix[0][0] = 1 + 1./3
	want.Notes = "\"a\" ' é"
	want.Panel, want.ValidFor = "RGB OLED", 90
	for _, full := range []bool{true, false} {
		if !full {
			want.Reference, want.Unit, want.Mode, want.Residual, want.Date, want.Notes, want.Panel, want.ValidFor = Maker{}, "", "", Residual{}, "", "", "", 0
		}
		text, err := want.Text()
		if err != nil {
			t.Fatal(err)
		}
		got, err := ParseCorrection("b.toml", text)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Error(d)
		}
	}
	want.Matrix[1][1] = math.NaN()
	if _, err := want.Text(); err == nil {
		t.Error("a correction that cannot be read was written")
	}
}

func TestParseCorrectionRefuses(t *testing.T) {
	const identity = "[[1, 0, 0], [0, 1, 0], [0, 0, 1]]"
	with := func(from, to string) string {
		if !strings.Contains(crakeDusk, from) {
			t.Fatalf("there is no %q in the file", from)
		}
		return strings.Replace(crakeDusk, from, to, 1)
	}
	flat := strings.ReplaceAll(crakeDusk, crakeDusk[strings.Index(crakeDusk, "[\n"):strings.Index(crakeDusk, "]\n[meter]")+1], "MATRIX")
	matrix := func(m string) string { return strings.Replace(flat, "MATRIX", m, 1) }
	const anew = "make the correction again from three or more colours that form a wide triangle, such as red, green and blue"
	const shape = "; it must be three rows of three finite numbers"
	tests := []struct{ name, src, message, hint string }{
		{"unknown key", with("notes", "note"), "b.toml:5: note is unknown; the keys of a correction file are format, name, method, date, valid_for, panel, notes, matrix, meter, reference, unit, residual", `did you mean "notes"?`},
		{"newer format", with("format = 1", "format = 2"), "b.toml:1: format is 2; it must be 1", "the file was written for another version of candelua"},
		{"no method", with("method = \"four-colour\"", ""), "b.toml:1: method is missing", `state how the matrix was made: method = "four-colour" or method = "least squares"`},
		{"another method", with("four-colour", "four-color"), `b.toml:3: method is "four-color"; it must be "four-colour" or "least squares"`, `did you mean "four-colour"?`},
		{"no day", with("2026-11-20", "2026"), "b.toml:4: date is 2026; it must be a date such as 2026-11-20", ""},
		{"a day that is not", with("2026-11-20", "'2026-02-30'"), `b.toml:4: date is "2026-02-30"; it must be a date such as 2026-11-20`, ""},
		{"valid for no time", with("date = 2026-11-20", "date = 2026-11-20\nvalid_for = 0"), "b.toml:5: valid_for is 0; it must be a whole number from 1 to 3650 days", ""},
		{"valid from no day", with("date = 2026-11-20", "valid_for = 30"), "b.toml:4: valid_for is stated without a date; its days are counted from date", "write the day on which the correction was made, for example date = 2026-11-20"},
		{"panel as number", with("date = 2026-11-20", "panel = 3"), "b.toml:4: panel is 3; it must be a text in quotes on one line, not blank", ""},
		{"matrix as text", matrix("'identity'"), `b.toml:6: matrix is "identity"` + shape, ""},
		{"two rows", matrix("[[1, 0, 0], [0, 1, 0]]"), "b.toml:6: matrix is a list of 2" + shape, ""},
		{"a short row", matrix("[[1, 0, 0], [0, 1], [0, 0, 1]]"), "b.toml:6: matrix does not have three numbers in row 2; it must have three rows of three finite numbers", ""},
		{"a row as number", matrix("[[1, 0, 0], 1, [0, 0, 1]]"), "b.toml:6: matrix does not have three numbers in row 2; it must have three rows of three finite numbers", ""},
		{"a cell as text", matrix("[[1, 0, 0], [0, 1, 'a'], [0, 0, 1]]"), `b.toml:6: matrix is "a" in row 2, column 3; it must be a number from -100 to 100`, ""},
		{"not finite", matrix("[[1, 0, 0], [0, inf, 0], [0, 0, 1]]"), "b.toml:6: matrix is +Inf in row 2, column 2; it must be a number from -100 to 100", ""},
		{"too large", matrix("[[1, 0, 0], [0, 1, 0], [0, 0, 101]]"), "b.toml:6: matrix is 101 in row 3, column 3; it must be a number from -100 to 100", ""},
		{"nothing", matrix("[[0, 0, 0], [0, 0, 0], [0, 0, 0]]"), "b.toml:6: matrix has a determinant of 0 and a condition number above 100, so it does not determine all colours", anew},
		{"singular", matrix("[[1, 2, 3], [2, 4, 6], [0, 0, 1]]"), "b.toml:6: matrix has a determinant of 0 and a condition number above 100, so it does not determine all colours", anew},
		{"nearly singular", matrix("[[1, 1, 0], [1, 1.01, 0], [0, 0, 1]]"), "b.toml:6: matrix has a determinant of 0.01 and a condition number above 100, so it does not determine all colours", anew},
		{"mirrored", matrix("[[-1, 0, 0], [0, 1, 0], [0, 0, 1]]"), "b.toml:6: matrix has a determinant of -1; it must be more than 0, because a correction does not mirror colours", anew},
		{"no meter", "method='four-colour'\nmatrix=" + identity, "b.toml:1: meter is missing", "write [meter], and below it the name and the serial number of the meter"},
		{"meter as text", "method='four-colour'\nmeter='a'\nmatrix=" + identity, `b.toml:2: meter is "a"; it must be a single table with the head [meter]`, ""},
		{"meter without name", with(`name = "Tern Street filter"`, ""), "b.toml:11: meter.name is missing", "state the name by which the meter is known on the bench"},
		{"unknown in meter", with("serial", "serail"), "b.toml:13: meter.serail is unknown; the keys of [meter] are name, serial", `did you mean "serial"?`},
		{"unit without name", with(`name = "Crake 2"`, ""), "b.toml:16: unit.name is missing", `state the display's name, for example name = "Crake 2"`},
		{"unknown in unit", with("mode", "mod"), "b.toml:18: unit.mod is unknown; the keys of [unit] are name, mode", `did you mean "mode"?`},
		{"residual out of range", with("0.0008", "0.6"), "b.toml:20: residual.xy is 0.6; it must be a number from 0 to 0.5", ""},
		{"unknown in residual", with("luminance", "luminanz"), "b.toml:21: residual.luminanz is unknown; the keys of [residual] are xy, luminance", `did you mean "luminance"?`},
		{"no TOML", "matrix = [[1, 2], [", "b.toml:1: ", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c, err := ParseCorrection("b.toml", []byte(tt.src))
			checkParsed(t, c != nil, err)
			if err == nil {
				t.Fatal("nothing was refused")
			}
			if strings.HasSuffix(tt.message, ": ") {
				return
			}
			fails(t, err, CodeBadFile, tt.message, tt.hint)
		})
	}
	_, err := ParseCorrection("b.toml", []byte("method='four-colour'\nmeter={name='a'}"))
	fails(t, err, CodeBadFile, "b.toml:1: matrix is missing", "write three rows of three numbers, for example matrix = [[1, 0, 0], [0, 1, 0], [0, 0, 1]]")
}

// The condition is that of linear algebra: for a diagonal matrix, the largest
// element over the smallest.
func TestCheckMatrix(t *testing.T) {
	for _, c := range []struct {
		least float64
		ok    bool
	}{{0.0101, true}, {0.0099, false}, {1, true}} {
		if err := checkMatrix([3][3]float64{{1}, {0, c.least}, {0, 0, 0.5}}); (err == nil) != c.ok {
			t.Errorf("a condition of %v gives %v", 1/c.least, err)
		}
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), 100.5} {
		if err := checkMatrix([3][3]float64{{1}, {0, 1}, {0, x, 1}}); err == nil {
			t.Errorf("%v passes", x)
		}
	}
}

// Determinant and condition agree with those of gonum's mat package, an
// independent implementation, on random matrices.
func TestCheckMatrixAgainstLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	passed, refused := 0, 0
	for range 20_000 {
		var m [3][3]float64
		dense := mat.NewDense(3, 3, nil)
		for i := range m {
			for j := range m[i] {
				m[i][j] = r.NormFloat64()
				dense.Set(i, j, m[i][j])
			}
		}
		condition := mat.Cond(dense, math.Inf(1))
		if math.Abs(condition-mostCondition) < 1e-6 {
			continue // either is right
		}
		want := mat.Det(dense) > 0 && condition < mostCondition
		if err := checkMatrix(m); (err == nil) != want {
			t.Fatalf("%v: %v, with a determinant of %v and a condition of %v", m, err, mat.Det(dense), condition)
		}
		if want {
			passed++
		} else {
			refused++
		}
	}
	if passed < 5000 || refused < 5000 {
		t.Errorf("%d passed and %d were refused", passed, refused)
	}
}

func TestMakerIs(t *testing.T) {
	for _, c := range []struct {
		m    Maker
		is   bool
		text string
	}{{Maker{"A", "1"}, true, "A 1"}, {Maker{"A", ""}, true, "A"}, {Maker{"A", "2"}, false, "A 2"}, {Maker{"B", "1"}, false, "B 1"}} {
		if c.m.Is(Identity{Name: "A", Serial: "1"}) != c.is || c.m.String() != c.text {
			t.Errorf("%+v is %v, %q", c.m, !c.is, c.m)
		}
	}
}

func FuzzParseCorrection(f *testing.F) {
	f.Add([]byte(crakeDusk))
	f.Add([]byte("method='least squares'\nmeter={name='a'}\nmatrix=[[1,0,0],[0,1,0],[0,0,1]]"))
	f.Fuzz(func(t *testing.T, src []byte) {
		c, err := ParseCorrection("b.toml", src)
		checkParsed(t, c != nil, err)
		if err != nil {
			return
		}
		if err := checkMatrix(c.Matrix); err != nil {
			t.Error(err)
		}
		if _, err := c.Text(); err != nil {
			t.Errorf("what was read cannot be written: %v", err)
		}
	})
}
