package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"candelua/engine/result"
)

const hostile = `</title></text><script>alert(1)</script>"' onload='x' &lt; <b>` + "\x00\x1b[2J\u202e]]>\n"

// hostileDrawings are drawings all of whose texts want to be markup.
func hostileDrawings(t testing.TB) (*result.Results, []string) {
	t.Helper()
	r := result.New()
	uv := [2]float64{0.2, 0.47}
	for _, d := range []result.Diagram{
		{ID: "a", Title: hostile, Kind: result.Chromaticity, Magnify: 10, Points: []result.DiagramPoint{{Name: hostile, Measured: [2]float64{0.21, 0.48}, Target: &uv}, {Name: hostile, Measured: uv}},
			Spaces: []result.DiagramSpace{{Name: hostile, Corners: [3][2]float64{{0.45, 0.52}, {0.1, 0.56}, {0.17, 0.16}}}}},
		{ID: "b", Title: hostile, Kind: result.Distribution, Values: []float64{1, 2, 3}, Unit: hostile, Marks: []result.DiagramMark{{Name: hostile, Value: 2}}},
	} {
		if _, err := r.Diagram(d); err != nil {
			t.Fatal(err)
		}
	}
	tab, err := r.Table(hostile, "t", []result.Column{{Name: hostile, Unit: hostile}, {Name: "y" + hostile}})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		if err := tab.Add(map[string]any{hostile2(tab, 0): float64(i), hostile2(tab, 1): float64(i * i)}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := r.Plot(result.Plot{ID: "c", Table: "t", X: hostile2(tab, 0), Y: []string{hostile2(tab, 1), hostile2(tab, 0)}, LogX: true}); err != nil {
		t.Fatal(err)
	}
	return r, drawAll(t, r)
}

func hostile2(t *result.Table, i int) string { return t.Columns()[i].Name }

func drawAll(t testing.TB, r *result.Results) (all []string) {
	t.Helper()
	draw := func(f func(io.Writer) error) {
		var b strings.Builder
		if err := f(&b); err != nil {
			t.Fatal(err)
		}
		all = append(all, b.String())
	}
	for _, d := range r.Diagrams() {
		draw(func(w io.Writer) error { return DiagramSVG(w, d) })
	}
	for _, p := range r.Plots() {
		tab, _ := r.TableByID(p.Table)
		draw(func(w io.Writer) error { return PlotSVG(w, tab, p, PointsOf(1)) })
	}
	return all
}

// No text of a script becomes markup, an attribute or a script, and what is
// drawn is well-formed XML without anything from elsewhere.
func TestDrawingsHoldHostileTexts(t *testing.T) {
	allowed := []string{"svg", "title", "rect", "text", "line", "path", "circle", "clipPath", "g"}
	_, drawings := hostileDrawings(t)
	for n, text := range drawings {
		dec := xml.NewDecoder(strings.NewReader(text))
		said := 0
		for {
			tok, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("drawing %d is not well-formed: %v", n, err)
			}
			switch tok := tok.(type) {
			case xml.StartElement:
				if !slices.Contains(allowed, tok.Name.Local) {
					t.Errorf("drawing %d has the element %s", n, tok.Name.Local)
				}
				for _, a := range tok.Attr {
					if strings.HasPrefix(a.Name.Local, "on") || a.Name.Local == "href" || a.Name.Local == "style" {
						t.Errorf("drawing %d has the attribute %s", n, a.Name.Local)
					}
				}
			case xml.CharData:
				if strings.Contains(string(tok), "<script>alert(1)") {
					said++
				}
			}
		}
		if said == 0 {
			t.Errorf("drawing %d does not show the text", n)
		}
		if strings.ContainsAny(text, "\x00\x1b\u202e") || strings.Count(text, "http") != 1 {
			t.Errorf("drawing %d holds control characters or a link", n)
		}
	}
}

// The same results give the same bytes.
func TestDrawingsAreFunctions(t *testing.T) {
	_, a := hostileDrawings(t)
	_, b := hostileDrawings(t)
	if len(a) != 3 || !slices.Equal(a, b) {
		t.Error("two drawings of the same results differ")
	}
}

// What a drawing shows stands in it as text.
func TestDrawingsSay(t *testing.T) {
	r := result.New()
	white := [2]float64{0.1978, 0.4683}
	var points []result.DiagramPoint
	for i := range 30 {
		points = append(points, result.DiagramPoint{Name: fmt.Sprintf("p%d", i), Target: &white, Measured: [2]float64{0.1978 + float64(i)*1e-4, 0.4683}})
	}
	spaces := []result.DiagramSpace{{Name: "wide", Corners: [3][2]float64{{0.45, 0.52}, {0.1, 0.56}, {0.17, 0.16}}}}
	for _, d := range []result.Diagram{
		{Title: "Greys", Kind: result.Chromaticity, Points: points, Magnify: 3, Spaces: spaces},
		{Title: "One", Kind: result.Chromaticity, Points: points[:1], Magnify: 1},
		{Title: "Spread", Kind: result.Distribution, Values: []float64{5, 1, 2, 3, 4, 6, 7, 8, 9, 10}, Unit: "ΔE", Marks: []result.DiagramMark{{Name: "limit", Value: 3}}},
		{Title: "Same", Kind: result.Distribution, Values: []float64{2, 2, 2}},
		{Title: "Many", Kind: result.Distribution, Values: make([]float64, result.MaxDiagramValues)},
		{Title: "Far", Kind: result.Chromaticity, Points: []result.DiagramPoint{{Measured: [2]float64{-1, 2}}, {Measured: [2]float64{2, -1}}}, Magnify: 1000},
	} {
		if _, err := r.Diagram(d); err != nil {
			t.Fatal(err)
		}
	}
	tab, _ := r.Table("T", "", []result.Column{{Name: "x"}, {Name: "y"}})
	_, _ = r.Plot(result.Plot{Table: "t", X: "x", Y: []string{"y"}, LogY: true})
	drawings := drawAll(t, r)
	for i := range 200 {
		_ = tab.Add(map[string]any{"x": float64(i), "y": float64(i)})
	}
	drawings = append(drawings, drawAll(t, r)[6])
	for i, wants := range [][]string{
		{"drawn 3 times as long", "the 24 farthest of 30", ">wide (outside this diagram)<", ">p29<", ">0.0029<"},
		{">displacement, true to scale<", ">0.0000<"},
		{"share of the 10 values at or below", ">50 %: 5.5<", ">95 %: 10<", ">limit: 3 ΔE; 30 % of the values are at or below it<"},
		{">50 %: 2<"}, {">50 %: 0<"}, {">u&#39;<", ">-1.0000<"},
		{"No row has a number for both axes."},
		{"1 not drawn: a logarithmic axis cannot show 0 or less"},
	} {
		for _, w := range wants {
			if !strings.Contains(drawings[i], w) {
				t.Errorf("drawing %d does not say %q", i, w)
			}
		}
		if strings.Contains(drawings[i], "NaN") || strings.Contains(drawings[i], "Inf") {
			t.Errorf("drawing %d has a number that is none", i)
		}
		if len(drawings[i]) > 120_000 {
			t.Errorf("drawing %d has %d bytes", i, len(drawings[i]))
		}
	}
	if strings.Contains(drawings[0], ">p0<") {
		t.Error("the nearest point is in the key")
	}
	if strings.Contains(drawings[7], "<circle") && strings.Count(drawings[7], "<circle") > 1 {
		t.Error("a long series has marks")
	}
}

// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.2: of these 12
// measurements the 90th percentile is 95.1981 (from memory). Shares by counting.
func TestQuantile(t *testing.T) {
	measured := []float64{95.0610, 95.0925, 95.1065, 95.1195, 95.1442, 95.1567, 95.1591, 95.1682, 95.1772, 95.1937, 95.1959, 95.1990}
	slices.Sort(measured)
	if got := quantile(measured, 0.9); math.Abs(got-95.1981) > 5e-5 {
		t.Errorf("the 90th percentile is %v, want 95.1981", got)
	}
	sorted := []float64{1, 2, 3, 4}
	for share, want := range map[float64]float64{0: 1, 0.2: 1, 0.3: 1.5, 0.5: 2.5, 0.6: 3, 0.95: 4, 1: 4} {
		if got := quantile(sorted, share); math.Abs(got-want) > 1e-12 {
			t.Errorf("quantile %g is %g, want %g", share, got, want)
		}
	}
	for v, want := range map[float64]float64{0: 0, 1: 0.25, 1.5: 0.25, 4: 1, 5: 1} {
		if got := atMost(sorted, v); got != want {
			t.Errorf("%g of all are at most %g, want %g", got, v, want)
		}
	}
	if atMost([]float64{2, 2, 2}, 2) != 1 || px(-0.001) != "0" || px(1.5) != "1.5" || px(100) != "100" || math.Signbit(0) {
		t.Error("an edge is wrong")
	}
}

// Numbers keep clear of each other while there is room.
func TestNumbersKeepClear(t *testing.T) {
	b := fitted(&result.Diagram{Points: []result.DiagramPoint{{Measured: [2]float64{0.1, 0.2}}, {Measured: [2]float64{0.4, 0.5}}}, Magnify: 1})
	p := result.DiagramPoint{Measured: [2]float64{0.25, 0.35}, Target: &[2]float64{0.2, 0.35}}
	var taken [][2]float64
	for i := range 12 {
		x, y := freePlace(places(b, p, 1), taken)
		for k, o := range taken {
			if math.Abs(o[0]-x) < 16 && math.Abs(o[1]-y) < 12 {
				t.Errorf("number %d covers number %d", i+1, k+1)
			}
		}
		taken = append(taken, [2]float64{x, y})
	}
	if x, _ := b.at(0.25, 0.35); taken[0][0] <= x {
		t.Error("the first number does not stand beyond the tip")
	}
	all := places(b, p, 1)
	if x, y := freePlace(all, all); x != all[0][0] || y != all[0][1] {
		t.Error("without room a number does not stand where it would")
	}
}

func TestTerminalNamesDrawings(t *testing.T) {
	r, _ := hostileDrawings(t)
	var b bytes.Buffer
	if err := Terminal(&b, r, Options{Drawings: "runs/x-1/plots", DrawingFile: svgOf}); err != nil || !strings.HasSuffix(b.String(), "\ndrawings in runs/x-1/plots: c.svg, a.svg, b.svg\n") {
		t.Errorf("%v\n%s", err, b.String())
	}
	b.Reset()
	if err := Terminal(&b, r, Options{}); err != nil || strings.Contains(b.String(), "svg") {
		t.Errorf("without a folder: %v\n%s", err, b.String())
	}
	for i := range 5 {
		_, _ = r.Diagram(result.Diagram{ID: fmt.Sprint("more-", i), Title: "m", Kind: result.Distribution, Values: []float64{1}})
	}
	b.Reset()
	if err := Terminal(&b, r, Options{Drawings: "p", DrawingFile: svgOf}); err != nil || !strings.HasSuffix(b.String(), "more-2.svg and 2 more\n") {
		t.Errorf("many: %v\n%s", err, b.String())
	}
}

func svgOf(id string) string { return id + ".svg" }

func TestDrawingsFailWithTheirWriter(t *testing.T) {
	r, _ := hostileDrawings(t)
	tab, _ := r.TableByID("t")
	bad := errors.New("full")
	for _, err := range []error{DiagramSVG(failing{bad}, r.Diagrams()[0]), DiagramSVG(failing{bad}, r.Diagrams()[1]), PlotSVG(failing{bad}, tab, r.Plots()[0], PointsOf(1))} {
		if !errors.Is(err, bad) {
			t.Errorf("a writer that fails gives %v", err)
		}
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }
