package builtins

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"candelua/engine/bench"
	"candelua/engine/result"
)

// made is a correction in Lua whose matrix is known: the reference reads twice X,
// Y and Z, so that it is twice the identity, whatever the method.
const made = `local target = { red = { X=41, Y=21, Z=2 }, green = { X=36, Y=72, Z=12 }, blue = { X=18, Y=7, Z=95 }, white = { X=95, Y=100, Z=109 } }
local function twice(c) return { X = 2 * c.X, Y = 2 * c.Y, Z = 2 * c.Z } end
local reference = {}
for k, c in pairs(target) do reference[k] = twice(c) end
local four = colour.four_colour { reference = reference, target = target }
local least = colour.matrix_correction { reference = { reference.red, reference.green, reference.blue }, target = { target.red, target.green, target.blue } }
`

func correctionRig() *rig {
	r := newRig()
	r.about = bench.Identity{Name: "Tern Street filter", Serial: "TF-04"}
	return r
}

func TestRecordCorrection(t *testing.T) {
	r := correctionRig()
	err := r.play(t, made+`
record.correction { correction = four, name = "Crake 2, Dusk", notes = "10 % windows", panel = " RGB ", valid_for = 90 }
record.correction { correction = least, name = "Least", id = "other", meter = "reference", reference = "meter",
  check = { reference = { { x = 0.31, y = 0.33, Y = 101 }, { X = 190, Y = 200, Z = 218 } }, target = { { x = 0.3, y = 0.33, Y = 50 }, target.white } } }`)
	if err != nil {
		t.Fatal(err)
	}
	got := r.results.Corrections()
	for _, c := range got {
		for i, row := range c.Matrix {
			for j, x := range row {
				want := 0.0
				if i == j {
					want = 2
				}
				if math.Abs(x-want) > 1e-12 {
					t.Errorf("%s: row %d, column %d is %v, want %v", c.Name, i+1, j+1, x, want)
				}
			}
		}
		c.Matrix = [3][3]float64{}
	}
	filter, second := result.Instrument{Name: "Tern Street filter", Serial: "TF-04"}, result.Instrument{Name: "second"}
	want := []*result.Correction{
		{ID: "crake-2-dusk", Name: "Crake 2, Dusk", Method: bench.FourColour, Meter: filter, Reference: second, Unit: "Crake 2", Mode: "Dusk",
			Panel: "RGB", ValidFor: 90, Date: "2026-11-20", Notes: "10 % windows", Where: "test.lua:9"},
		// One of two colours is off by 0.01 in x and by 1/101 in luminance.
		{ID: "other", Name: "Least", Method: bench.LeastSquares, Meter: second, Reference: filter, Unit: "Crake 2", Mode: "Dusk",
			Date: "2026-11-20", XY: 0.01 / 2, Luminance: 100. / 101 / math.Sqrt2, Where: "test.lua:10"},
	}
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-9 })
	if d := cmp.Diff(want, got, near); d != "" {
		t.Error(d)
	}
}

func TestRecordCorrectionRefuses(t *testing.T) {
	for body, want := range map[string]string{
		`record.correction { correction = four, name = "a", meter = "reference" }`:                                                    `record.correction: reference is "reference"; it must be a meter other than "reference"`,
		`record.correction { correction = four, name = " " }`:                                                                         `the correction:2: name is " "; it must be a text in quotes on one line, not blank`,
		`record.correction { correction = four, name = "a", notes = "a\nb" }`:                                                         "",
		`record.correction { correction = four, name = "a", check = { reference = {}, target = {} } }`:                                `record.correction: check.reference is empty; it must be one stimulus or more`,
		`record.correction { correction = four, name = "a", check = { reference = { target.red }, target = {} } }`:                    `record.correction: check.target has 0 stimuli; it must have 1, as many as reference`,
		`record.correction { correction = four, name = "a", check = { reference = { 5 }, target = { 5 } } }`:                          "",
		`record.correction { correction = four, name = "a", check = { reference = { target.red }, target = { { X=0, Y=0, Z=0 } } } }`: "",
		`record.correction { correction = four, name = "a", check = { reference = { { X=0, Y=0, Z=0 } }, target = { target.red } } }`: "",
		`record.correction { correction = four, name = "a" } record.correction { correction = four, name = "a" }`:                     "",
		`record.correction { name = "a" }`:                 `record.correction: correction is missing; it must be a result of colour.four_colour or colour.matrix_correction`,
		`record.correction { correction = 5, name = "a" }`: `record.correction: correction is 5; it must be a result of colour.four_colour or colour.matrix_correction`,
	} {
		err := correctionRig().play(t, made+body)
		if err == nil {
			t.Errorf("%s: nothing is refused", body)
			continue
		}
		if want != "" {
			correctionRig().fails(t, made+body, want)
		}
	}
	r := correctionRig()
	r.corrections = doubling()
	r.fails(t, made+`record.correction { correction = four, name = "a" }`, `record.correction: the meter already has the correction "Crake 2, Dusk"; no other correction can be made from its readings`)
	r = correctionRig()
	r.about.Name = ""
	if err := r.play(t, made+`record.correction { correction = four, name = "a" }`); err == nil {
		t.Error("a meter without a name passes")
	}
}
