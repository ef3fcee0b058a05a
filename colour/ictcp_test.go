package colour

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func rgbColumns(t testing.TB, r row, n, unit string) [3]float64 {
	return [3]float64{r.num(t, "R"+n+unit), r.num(t, "G"+n+unit), r.num(t, "B"+n+unit)}
}

func TestICtCpAndDeltaEITPAgainstPublished(t *testing.T) {
	for _, r := range published(t, "delta_e_itp.csv") {
		c := ICtCpFromBT2020(rgbColumns(t, r, "1", "_cdm2"))
		d := ICtCpFromBT2020(rgbColumns(t, r, "2", "_cdm2"))
		for n, got := range map[string]ICtCp{"1": c, "2": d} {
			near(t, "row "+r["row"]+" I", got.I, r.num(t, "I"+n), 1e-10)
			near(t, "row "+r["row"]+" Ct", got.Ct, r.num(t, "Ct"+n), 1e-10)
			near(t, "row "+r["row"]+" Cp", got.Cp, r.num(t, "Cp"+n), 1e-10)
		}
		near(t, "row "+r["row"], DeltaEITP(c, d), r.num(t, "delta_e_itp"), 6e-8)
		near(t, "row "+r["row"]+" backwards", DeltaEITP(d, c), r.num(t, "delta_e_itp"), 6e-8)
		// The same by XYZ. The luminances are absolute: no white enters.
		e := BT2020.ToXYZ(rgbColumns(t, r, "1", "_cdm2")).ICtCp()
		near(t, "row "+r["row"]+" by XYZ", DeltaEITP(c, e), 0, 1e-6)
	}
}

func TestICtCpInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rgb := linearRGB().Draw(t, "rgb")
		k := rapid.Float64Range(0.01, 10000).Draw(t, "peak")
		c := BT2020.ToXYZ(rgb).Scale(k)
		back := c.ICtCp().XYZ().Sub(c)
		if math.Abs(back.X)+math.Abs(back.Y)+math.Abs(back.Z) > 1e-9*k {
			t.Fatalf("off by %v of %v", back, c)
		}
	})
}

func TestITPPartsAndSigns(t *testing.T) {
	grey := ICtCpFromBT2020([3]float64{100, 100, 100})
	if d := grey.Delta(ICtCpFromBT2020([3]float64{110, 110, 110})); d.I <= 0 || math.Abs(d.T)+math.Abs(d.P) > 1e-9 {
		t.Errorf("brighter is %v", d)
	}
	if d := grey.Delta(ICtCpFromBT2020([3]float64{100, 100, 130})); d.T <= 0 {
		t.Errorf("bluer is %v", d)
	}
	if d := grey.Delta(ICtCpFromBT2020([3]float64{130, 100, 100})); d.P <= 0 {
		t.Errorf("redder is %v", d)
	}
}

// Negative light, as noise near black gives, counts as none; never NaN.
func TestICtCpNearBlack(t *testing.T) {
	c := XYZ{-0.001, -0.001, 0.0005}.ICtCp()
	if math.IsNaN(c.I + c.Ct + c.Cp) {
		t.Error(c)
	}
	black := XYZ{}.ICtCp()
	near(t, "I of black", black.I, 7.309559026e-07, 1e-15) // pq_st2084.csv
}
