package draw

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// movedSheet has one reading of five singles for each level of Y, with a scatter of 0.5 and a scale of 1 %.
func movedSheet(colour bool, levels ...float64) *Sheet {
	var s Sheet
	for i, y := range levels {
		singles := make([]XYZ, 5)
		for j := range singles {
			singles[j] = XYZ{Y: y + 0.5*float64(j-2)}
			if colour {
				singles[j].X, singles[j].Z = singles[j].Y, singles[j].Y
			}
		}
		s.Enter(i+1, 0, "meter", singles, Taken{}, Reading{Mean: MeanOf(singles), Colour: colour, Accuracy: Accuracy{Scale: 1},
			Keys: Keys{Scale: NewKey("scale"), Scatter: NewKey("scatter").Number(i)}})
	}
	return &s
}

// draws are a value's on the readings of a sheet.
func drawsOn(s *Sheet, n int, of func(y []float64) float64) []float64 {
	return numbers(n, func(j int) float64 {
		var y []float64
		for i := range s.readings {
			moved, _ := s.Draw(i+1, 0, j)
			y = append(y, moved.Apply(s.readings[i].reading.Mean).Y)
		}
		return of(y)
	})
}

// What a value does in proportion to its readings: all of a mean, of the largest of two equal numbers
// with independent errors of 1 the share ½/(1 - 1/π) = 0.733 (each has the slope ½; variance of the larger of
// two normal numbers: 1 - 1/π), nothing of an even function.
func TestLinear(t *testing.T) {
	s := movedSheet(false, 100, 100)
	for i := range s.readings {
		s.readings[i].reading.Accuracy.Scale = 0
	}
	moves := s.Moves(2000)
	for _, c := range []struct {
		name string
		of   func([]float64) float64
		want float64
	}{
		{"mean", func(y []float64) float64 { return stat.Mean(y, nil) }, 1},
		{"larger", slices.Max[[]float64], 0.5 / (1 - 1/math.Pi)},
		{"square", func(y []float64) float64 { return (y[0] - 100) * (y[0] - 100) }, 0},
	} {
		if got := moves.Linear(drawsOn(s, 2000, c.of)); math.Abs(got-c.want) > 0.05 {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	some := drawsOn(s, 2000, func(y []float64) float64 { return y[0] })
	for i := range 50 {
		some[i*7] = math.NaN()
	}
	if got := moves.Linear(some); math.Abs(got-1) > 1e-9 {
		t.Errorf("where some draws gave no value: %v, want 1", got)
	}
}

// Chance adds nothing: what has nothing to do with forty readings follows none of them.
func TestLinearOfChance(t *testing.T) {
	levels := numbers(40, func(i int) float64 { return 50 + float64(i) })
	moves := movedSheet(true, levels...).Moves(400)
	if got := moves.Linear(numbers(400, NewKey("else").normal)); math.Abs(got) > 0.15 {
		t.Errorf("%v, want 0", got)
	}
}

// It is not known where there are too many readings for the draws, and of what does not change.
func TestLinearNotKnown(t *testing.T) {
	s := movedSheet(true, numbers(60, func(i int) float64 { return 50 + float64(i) })...)
	first := func(y []float64) float64 { return y[0] }
	if got := s.Moves(200).Linear(drawsOn(s, 200, first)); !math.IsNaN(got) {
		t.Errorf("180 columns of 200 draws: %v", got)
	}
	if got := s.Moves(300).Linear(drawsOn(s, 300, first)); math.Abs(got-1) > 1e-6 {
		t.Errorf("of 300 draws: %v, want 1", got)
	}
	if got := s.Moves(300).Linear(make([]float64, 300)); !math.IsNaN(got) {
		t.Errorf("what does not change: %v", got)
	}
	var none *Moves
	if got := none.Linear(make([]float64, 300)); !math.IsNaN(got) {
		t.Errorf("without a sheet: %v", got)
	}
}
