package watch

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"candelua/engine/bench"
	"candelua/engine/plain"
	"candelua/engine/progress"
	"candelua/engine/result"
)

// hostile draws texts of any kind, among them those that are markup, commands to a terminal, or turn a line around.
func hostile(t *rapid.T, what string) string {
	return rapid.OneOf(rapid.StringN(1, 30, 90), rapid.SampledFrom([]string{"<script>alert(1)</script>", `"><img src=x onerror=alert(1)>`, "]]>", "&lt;", "#fdfcf9", `fill="#fdfcf9"`,
		"\x1b[2J", "a\u202eb", "a\nb", "a\u2028b", strings.Repeat("long ", 60), "'`=${1}"})).Draw(t, what)
}

// anyResults draws results with any texts and numbers.
func anyResults(t *rapid.T) *result.Results {
	r := result.New()
	for n := range rapid.IntRange(0, 8).Draw(t, "tables") {
		columns := make([]result.Column, rapid.IntRange(1, 15).Draw(t, "columns"))
		for i := range columns {
			columns[i] = result.Column{Name: fmt.Sprint(i, hostile(t, "column")), Unit: rapid.SampledFrom([]string{"", "cd/m2", "%", hostile(t, "unit")}).Draw(t, "unit")}
		}
		table, err := r.Table(fmt.Sprintf("%d %s", n, hostile(t, "table")), fmt.Sprintf("t-%d", n), columns)
		if err != nil {
			continue // too long a name
		}
		for range rapid.IntRange(0, 30).Draw(t, "rows") {
			row := map[string]any{}
			for _, c := range table.Columns() {
				if rapid.Bool().Draw(t, "number") {
					row[c.Name] = rapid.Float64Range(-1e9, 1e9).Draw(t, "number")
				} else {
					row[c.Name] = hostile(t, "cell")
				}
			}
			_ = table.Add(row) // or not
		}
		if len(columns) > 1 && rapid.Bool().Draw(t, "plotted") {
			_, _ = r.Plot(result.Plot{Title: hostile(t, "plot"), ID: fmt.Sprintf("p-%d", n), Table: table.ID, X: table.Columns()[0].Name, Y: []string{table.Columns()[1].Name}})
		}
	}
	for n := range rapid.IntRange(0, 40).Draw(t, "values") {
		number := rapid.Float64Range(-1e9, 1e9).Draw(t, "value")
		_, _ = r.Value(result.Value{ID: fmt.Sprintf("v-%d", n), Name: hostile(t, "name"), Value: &number, Unit: hostile(t, "unit")})
	}
	_, _ = r.Diagram(result.Diagram{Title: hostile(t, "diagram"), ID: "d", Kind: result.Distribution, Values: []float64{1, 2, 3}})
	return r
}

// Whatever results are, a sheet of them is short, its texts are safe lines, and its drawings are whole XML in either look, with the same texts in both.
func TestSheetOfAnyResults(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyResults(t)
		s, drawings := sheetOf(r, nil, nil, rapid.Bool().Draw(t, "simulated"))
		text, err := json.Marshal(s)
		if err != nil || len(text) > 64<<10 {
			t.Fatalf("%d bytes, %v", len(text), err)
		}
		lines := []string{}
		for _, v := range s.Values {
			lines = append(lines, v.Name, v.Text)
		}
		for _, table := range s.Tables {
			lines = append(append(lines, table.Name), table.Head...)
			for _, row := range table.Rows {
				if len(row) != len(table.Head) {
					t.Fatalf("%d cells below %d heads", len(row), len(table.Head))
				}
				lines = append(lines, row...)
			}
		}
		for _, p := range s.Pictures {
			lines = append(lines, p.Title)
			dark, light := textsOf(t, drawings["dark/"+p.ID]), textsOf(t, drawings["light/"+p.ID])
			if dark != light || light == "" {
				t.Fatalf("the dark picture says\n%s\nthe light one\n%s", dark, light)
			}
		}
		for _, l := range lines {
			if l != plain.Line(l) || utf8.RuneCountInString(l) > mostText+1 {
				t.Fatalf("%q is shown", l)
			}
		}
		if s.Earlier+len(s.Values) != len(r.Values()) {
			t.Fatalf("%d values and %d earlier of %d", len(s.Values), s.Earlier, len(r.Values()))
		}
	})
}

// textsOf reads a drawing as XML, and gives its texts.
func textsOf(t *rapid.T, drawing []byte) string {
	d := xml.NewDecoder(strings.NewReader(string(drawing)))
	var b strings.Builder
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return b.String()
		}
		if err != nil {
			t.Fatalf("no XML: %v\n%s", err, drawing)
		}
		switch token := token.(type) {
		case xml.StartElement:
			if name := token.Name.Local; name == "script" || name == "image" || name == "foreignObject" || name == "a" {
				t.Fatalf("the drawing has a <%s>", name)
			}
		case xml.CharData:
			b.Write(token)
		}
	}
}

// A table is drawn as the run is expected to plot it later, and where that is not known, simply; and as it is plotted once it is.
func TestTablesAreDrawnBeforeTheirPlots(t *testing.T) {
	titles := func(r *result.Results, planned ...*result.Plot) string {
		var all []string
		for _, d := range drawingsOf(r, planned) {
			all = append(all, d.title)
		}
		return strings.Join(all, ", ")
	}
	r := result.New()
	table, err := r.Table("Sweep", "", []result.Column{{Name: "place"}, {Name: "window", Unit: "%"}, {Name: "luminance", Unit: "cd/m2"}})
	if err != nil {
		t.Fatal(err)
	}
	planned := &result.Plot{ID: "later", Title: "Luminance by window", Table: "sweep", X: "window", Y: []string{"luminance"}, LogX: true}
	stale := &result.Plot{ID: "stale", Title: "Of a column that is gone", Table: "sweep", X: "window", Y: []string{"gone"}}
	if got := titles(r, planned); got != "" {
		t.Errorf("an empty table is drawn: %s", got)
	}
	if err := table.Add(map[string]any{"place": "middle", "window": 10.0, "luminance": 600.0}); err != nil {
		t.Fatal(err)
	}
	if got := titles(r); got != "Sweep" {
		t.Errorf("without a plan %q is drawn", got)
	}
	if got := titles(r, stale); got != "Sweep" {
		t.Errorf("with a plan that does not fit %q is drawn", got)
	}
	if p := simple(table); len(p) != 1 || p[0].X != "window" || p[0].Y[0] != "luminance" {
		t.Errorf("it is drawn simply as %+v", p)
	}
	if got := titles(r, planned, stale); got != "Luminance by window" {
		t.Errorf("with a plan %q is drawn", got)
	}
	if _, err := r.Plot(result.Plot{Title: "Now", Table: "sweep", X: "window", Y: []string{"luminance"}}); err != nil {
		t.Fatal(err)
	}
	if got := titles(r, planned); got != "Now" {
		t.Errorf("once it is plotted %q is drawn", got)
	}
}

// Until a script has recorded a table, its readings are shown: all in the drawing, and the last as a table.
func TestReadingsAreShownFirst(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		means := make([]progress.Mean, rapid.IntRange(1, 40).Draw(t, "readings"))
		for i := range means {
			means[i] = progress.Mean{Step: i + 1, Seconds: rapid.Float64Range(0, 1e5).Draw(t, "seconds"), Y: rapid.Float64Range(-1, 1e4).Draw(t, "luminance"), Count: 1}
		}
		r := result.New()
		s, drawings := sheetOf(r, nil, means, false)
		if len(s.Pictures) != 1 || len(s.Tables) != 1 || s.Tables[0].Earlier+len(s.Tables[0].Rows) != len(means) {
			t.Fatalf("shown are %+v", s)
		}
		if texts := textsOf(t, drawings["dark/"+s.Pictures[0].ID]); !strings.Contains(texts, readingsName) {
			t.Fatalf("the drawing says %s", texts)
		}
		table, err := r.Table("Own", "", []result.Column{{Name: "a"}})
		if err == nil {
			err = table.Add(map[string]any{"a": 1.0})
		}
		if s, _ = sheetOf(r, nil, means, false); err != nil || len(s.Tables) != 1 || s.Tables[0].Name != "Own" || len(s.Pictures) != 0 {
			t.Fatalf("beside a table of the script's are shown %+v, %v", s, err)
		}
	})
}

// Any patch that can be asked for has a small picture inside its frame, or none.
func TestScreenOfAnyPatch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		share := rapid.Float64Range(0, 1)
		p := bench.Patch{RGB: [3]float64{share.Draw(t, "r"), share.Draw(t, "g"), share.Draw(t, "b")}, Window: rapid.Float64Range(0.01, 100).Draw(t, "window"),
			Bits: rapid.SampledFrom([]int{0, 8, 10, 12, 16}).Draw(t, "bits"), Signal: rapid.SampledFrom([]bench.Signal{bench.SDR, bench.PQ}).Draw(t, "signal"),
			At: [2]float64{share.Draw(t, "x"), share.Draw(t, "y")}}
		s := screenOf(&p)
		if s == nil || len(s.Rects) == 0 || len(s.Rects) > mostRects {
			t.Fatalf("%+v is drawn as %+v", p, s)
		}
		for _, r := range s.Rects {
			if r.X < 0 || r.Y < 0 || r.W < 1 || r.H < 1 || r.X+r.W > s.Width || r.Y+r.H > s.Height || r.Level < 0 || r.Level > 1 || len(r.Colour) != 7 {
				t.Fatalf("%+v is drawn with %+v", p, r)
			}
		}
	})
	if screenOf(nil) != nil {
		t.Error("what is not known is drawn")
	}
}
