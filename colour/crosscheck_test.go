package colour

import (
	"fmt"
	"math"
	"testing"
)

// These tests compare with general-purpose libraries on random inputs; the tables and the scripts
// that made them are in testdata/crosscheck, whose README explains each disagreement.

func crosscheck(t *testing.T, name string, rows int) []row {
	t.Helper()
	r := table(t, "crosscheck", name)
	if len(r) != rows {
		t.Fatalf("%s has %d rows, want %d", name, len(r), rows)
	}
	return r
}

// digits is how far apart two numbers may be that agree to the eleven digits of the tables.
func digits(v float64) float64 { return 1e-9 + 6e-11*math.Abs(v) }

func TestDifferencesAgainstLibraries(t *testing.T) {
	for i, r := range crosscheck(t, "differences.csv", 1200) {
		c, d := sharmaPair(t, r)
		weighted := DeltaE2000Weighted(c, d, Weights2000{2, 1.5, 0.5})
		for column, got := range map[string]float64{
			"c76": DeltaE76(c, d), "l76": DeltaE76(c, d), "u94": DeltaE94(c, d, GraphicArts), "l94": symmetric94(c, d),
			"c2000": DeltaE2000(c, d), "u2000": DeltaE2000(c, d), "l2000": DeltaE2000(c, d),
			"u2000w": weighted, "l2000w": weighted,
		} {
			want := r.num(t, column)
			near(t, fmt.Sprintf("row %d %s", i+1, column), got, want, 1e-7+digits(want))
		}
	}
}

// symmetric94 is ΔE94 as Little CMS has it: with the geometric mean of both chromas, as for two samples
// of which neither is the reference [CIE116], and with the constants for textiles but kL = 1.
func symmetric94(c, d Lab) float64 {
	e := c.Delta(d)
	mean := math.Sqrt(math.Hypot(c.A, c.B) * math.Hypot(d.A, d.B))
	chroma, hue := e.C/(1+Textiles.K1*mean), e.H/(1+Textiles.K2*mean)
	return math.Sqrt(e.L*e.L + chroma*chroma + hue*hue)
}

func TestLabAgainstLibraries(t *testing.T) {
	w := must[White](t)(NewWhite(D65.XYZ(1)))
	for _, r := range crosscheck(t, "lab.csv", 500) {
		c := r.xyz(t, "X", "Y", "Z")
		lab, luv := w.Lab(c), w.Luv(c)
		for column, got := range map[string]float64{
			"L": lab.L, "a": lab.A, "b": lab.B, "lL": lab.L, "la": lab.A, "lb": lab.B, "uL": luv.L, "u": luv.U, "v": luv.V,
		} {
			near(t, column, got, r.num(t, column), 1e-8)
		}
	}
}

func TestSpacesAgainstLibraries(t *testing.T) {
	spaces := map[string]*Space{"BT.709": BT709, "BT.2020": BT2020, "P3-D65": P3D65}
	for _, r := range crosscheck(t, "spaces.csv", 360) {
		got := spaces[r["space"]].ToXYZ([3]float64{r.num(t, "R"), r.num(t, "G"), r.num(t, "B")})
		nearXYZ(t, r["space"], got, r.xyz(t, "X", "Y", "Z"), 1e-9)
	}
}

func TestSRGBAgainstLibraries(t *testing.T) {
	for _, r := range crosscheck(t, "srgb.csv", 120) {
		near(t, "decoded", DecodeSRGB(r.num(t, "v")), r.num(t, "decoded"), 1e-10)
		near(t, "encoded", EncodeSRGB(r.num(t, "v")), r.num(t, "encoded"), 1e-10)
	}
}

func TestICtCpAgainstLibraries(t *testing.T) {
	for _, r := range crosscheck(t, "ictcp.csv", 300) {
		c := r.xyz(t, "X", "Y", "Z").ICtCp()
		near(t, "I", c.I, r.num(t, "I"), 1e-9)
		near(t, "Ct", c.Ct, r.num(t, "Ct"), 1e-9)
		near(t, "Cp", c.Cp, r.num(t, "Cp"), 1e-9)
	}
}

func TestCAM16AgainstLibraries(t *testing.T) {
	surrounds := map[string]Surround{"average": AverageSurround, "dim": DimSurround, "dark": DarkSurround}
	for _, r := range crosscheck(t, "cam16.csv", 400) {
		v := Viewing{D65.XYZ(1), r.num(t, "adapting"), r.num(t, "background") / 100, surrounds[r["surround"]]}
		p := must[*CAM16](t)(NewCAM16(v)).JMh(r.xyz(t, "X", "Y", "Z"))
		near(t, "J", p.J, r.num(t, "J"), 1e-8)
		near(t, "M", p.M, r.num(t, "M"), 1e-8)
		near(t, "h", p.H, r.num(t, "h"), 1e-7)
	}
}

func TestAdaptationAgainstLibraries(t *testing.T) {
	spaces := map[string]*ConeSpace{"Bradford": Bradford, "CAT02": CAT02, "CAT16": CAT16}
	for _, r := range crosscheck(t, "adaptation.csv", 180) {
		from, to := XY{r.num(t, "x1"), r.num(t, "y1")}, XY{r.num(t, "x2"), r.num(t, "y2")}
		m := must[Matrix](t)(spaces[r["space"]].Adaptation(from, to))
		for i := range 3 {
			for j := range 3 {
				near(t, r["space"], m[i][j], r.num(t, fmt.Sprintf("m%d%d", i+1, j+1)), 1e-9)
			}
		}
	}
}

func TestDaylightAgainstLibraries(t *testing.T) {
	for _, r := range crosscheck(t, "daylight.csv", 61) {
		c := must[XY](t)(DaylightXY(r.num(t, "T_K")))
		nearXY(t, r["T_K"], c, XY{r.num(t, "x"), r.num(t, "y")}, 1e-10)
	}
}

func TestPolygonsAgainstLibraries(t *testing.T) {
	for _, r := range crosscheck(t, "polygons.csv", 300) {
		var corners [7]Point
		for i := range corners {
			corners[i] = Point{r.num(t, fmt.Sprintf("x%d", i+1)), r.num(t, fmt.Sprintf("y%d", i+1))}
		}
		g := must[GamutComparison](t)(Polygon(corners[:3]).Compare(corners[3:]))
		near(t, "p", g.Area, r.num(t, "area_p"), 1e-11)
		near(t, "q", g.TargetArea, r.num(t, "area_q"), 1e-11)
		near(t, "shared", g.SharedArea, r.num(t, "shared"), 1e-11)
	}
}
