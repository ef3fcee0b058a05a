package player

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"maps"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/paint"
	"candelua/engine/plain"
)

//go:embed page.html
var pageText string

var page = template.Must(template.New("page").Funcs(template.FuncMap{
	"line": plain.Line, "number": shortNumber, "sketch": sketch, "place": placeWords, "codes": codeWords,
	"shown": shownWords, "minutes": minutes, "megabytes": megabytes,
}).Parse(pageText))

// writePage writes the page for people: one file, without anything from elsewhere.
func writePage(w io.Writer, in *Index) error {
	var params []string
	for _, name := range slices.Sorted(maps.Keys(in.About.Params)) {
		if text := paramWords(in.About.Params[name]); text != "" {
			params = append(params, name+" = "+text)
		}
	}
	seconds := 0.0
	if in.Timed != nil {
		seconds = float64(in.Timed.Seconds)
	}
	return page.Execute(w, map[string]any{"Index": in, "Params": plain.Line(strings.Join(params, "; ")), "Form": formWords[in.Layout.Form],
		"Video": in.Layout.Form == Video, "Bytes": in.Bytes(), "Asked": in.Asked(), "Seconds": seconds})
}

// formWords say what the files are.
var formWords = map[Form]string{
	Stills:   "PNG stills whose samples are the codes",
	Video:    "HEVC videos of 10 bits, 4:2:0, limited range",
	Lossless: "HEVC videos of red, green and blue, 4:4:4, full range, without loss",
}

// paramWords writes a parameter as --set takes it: a list with commas, a text as it is.
func paramWords(v any) string {
	list := reflect.ValueOf(v)
	if list.Kind() != reflect.Slice {
		return fmt.Sprint(v)
	}
	var all []string
	for i := range list.Len() {
		all = append(all, fmt.Sprint(list.Index(i)))
	}
	return strings.Join(all, ",")
}

func shortNumber(v float64) string { return strconv.FormatFloat(v, 'g', 5, 64) }

func placeWords(e Entry) string {
	words := shortNumber(round(100*e.At[0], 2)) + " % · " + shortNumber(round(100*e.At[1], 2)) + " %"
	if e.Moved {
		words += ", moved clear"
	}
	if len(e.Covers) > 0 {
		words += ", covers: " + plain.Line(strings.Join(e.Covers, ", "))
	}
	return words
}

func round(v float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(v*scale) / scale
}

func codeWords(c [3]int) string { return fmt.Sprintf("%d · %d · %d", c[0], c[1], c[2]) }

func shownWords(v [3]float64) string { return fmt.Sprintf("%.5f · %.5f · %.5f", v[0], v[1], v[2]) }

func minutes(seconds float64) string {
	whole := int(math.Round(seconds))
	if whole < 3600 {
		return fmt.Sprintf("%d:%02d min", whole/60, whole%60)
	}
	return fmt.Sprintf("%d:%02d:%02d h", whole/3600, whole/60%60, whole%60)
}

func megabytes(n int64) string { return fmt.Sprintf("%.1f MB", float64(n)/1e6) }

// mostSketched bounds the rectangles of a sketch: the bars of a ramp are thinned out.
const mostSketched = 72

// sketch is a drawing of a picture for recognising it. Its colours are those of the codes as a browser takes them, whatever the signal.
func sketch(e Entry) template.HTML {
	p := e.picture
	const width, height = 96, 72
	scale := math.Min(width/float64(p.Size.Width), height/float64(p.Size.Height))
	var b strings.Builder
	fmt.Fprintf(&b, `<svg width="%.0f" height="%.0f" viewBox="0 0 %d %d" preserveAspectRatio="none" shape-rendering="crispEdges" aria-hidden="true" focusable="false">`,
		math.Max(1, float64(p.Size.Width)*scale), math.Max(1, float64(p.Size.Height)*scale), p.Size.Width, p.Size.Height)
	for _, r := range thinned(p.Rects) {
		fmt.Fprintf(&b, `<rect x="%d" y="%d" width="%d" height="%d" fill="%s"/>`, r.X, r.Y, r.W, r.H, colourOf(r.Code, p.Bits))
	}
	b.WriteString("</svg>")
	return template.HTML(b.String()) // numbers alone
}

// thinned leaves out rectangles evenly, and stretches those that stay over the gaps.
func thinned(all []paint.Rect) []paint.Rect {
	if len(all) <= mostSketched {
		return all
	}
	out := []paint.Rect{all[0]}
	rest := all[1:]
	step := (len(rest) + mostSketched - 2) / (mostSketched - 1)
	for i := 0; i < len(rest); i += step {
		r, last := rest[i], rest[min(i+step, len(rest))-1]
		if last.Y == r.Y || last.X == r.X { // bars of a ramp
			r.W, r.H = max(last.X+last.W-r.X, r.W), max(last.Y+last.H-r.Y, r.H)
		}
		out = append(out, r)
	}
	return out
}

func colourOf(code [3]int, bits int) string {
	top := 1<<bits - 1
	return fmt.Sprintf("#%02x%02x%02x", code[0]*255/top, code[1]*255/top, code[2]*255/top)
}
