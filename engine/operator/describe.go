package operator

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"candelua/engine/bench"
)

// describe says in plain words what a patch is: "white 100 %, window 10 % of
// the screen, centred, on black; SDR".
func describe(p bench.Patch) string {
	return strings.Join(pictureWords(p), ", ") + "; " + signalWords(p)
}

func pictureWords(p bench.Patch) []string {
	own, back := colourWords(p.RGB, p.Bits), colourWords(p.Background, p.Bits)
	from := "from " + colourWords(p.Pattern.From, p.Bits)
	along := " at the left to " + own + " at the right"
	if p.Pattern.Vertical {
		along = " at the top to " + own + " at the bottom"
	}
	count := strconv.Itoa(p.Pattern.Count)
	switch p.Pattern.Kind {
	case bench.Checkerboard:
		return []string{fmt.Sprintf("a checkerboard of %d columns and %d rows over the full screen", p.Pattern.Columns, p.Pattern.Rows),
			own + " and " + back + " in turn", "the field with its centre " + fromCorner(p.Middle()) + " is " + own}
	case bench.Ramp:
		return []string{"a ramp over the full screen that rises evenly " + from + along}
	case bench.Steps:
		return []string{count + " equal bars without gaps over the full screen", from + along, "in equal steps of signal"}
	case bench.Ladder:
		return []string{count + " separate fields in rows over the full screen", "on " + back, from + " at the top left to " + own + " at the bottom right", "in equal steps of signal"}
	}
	if p.Window >= 100 {
		return []string{own, "full screen"}
	}
	return []string{own, "window " + decimals(p.Window, 3) + " % of the screen", placeWords(p.At), "on " + back}
}

func placeWords(at [2]float64) string {
	if at == [2]float64{0.5, 0.5} {
		return "centred"
	}
	return "its centre " + fromCorner(at)
}

func fromCorner(at [2]float64) string {
	return decimals(100*at[0], 2) + " % from the left and " + decimals(100*at[1], 2) + " % from the top"
}

// spotWords says where on the screen the meter looks.
func spotWords(at [2]float64) string {
	if at == [2]float64{0.5, 0.5} {
		return "at the middle of the screen"
	}
	return "at the point " + fromCorner(at) + " of the screen"
}

func signalWords(p bench.Patch) string {
	words := strings.ToUpper(string(p.Signal))
	switch {
	case p.Signal == bench.PQ, p.Signal == bench.HLG:
		words = "HDR (" + words + ")"
	case p.Space == bench.DisplayP3:
		words += ", a picture with the profile of Display P3"
	}
	if p.Bits > 0 {
		words += ", " + strconv.Itoa(p.Bits) + " bits"
	}
	return words + metadataWords(p.Metadata)
}

// metadataWords says what an HDR signal says of its content, as far as it does.
func metadataWords(m bench.Metadata) string {
	var words []string
	for _, w := range []struct {
		name  string
		value float64
	}{{"mastering peak", m.MasteringPeak}, {"MaxCLL", m.MaxCLL}, {"MaxFALL", m.MaxFALL}} {
		if w.value > 0 {
			words = append(words, w.name+" "+decimals(w.value, 4))
		}
	}
	if words == nil {
		return ""
	}
	return ", with the metadata " + strings.Join(words, ", ") + " cd/m²"
}

// colourNames are the colours whose lit channels are alike, by which are lit.
var colourNames = map[[3]bool]string{
	{true, true, true}:   "grey",
	{true, false, false}: "red",
	{false, true, false}: "green",
	{false, false, true}: "blue",
	{false, true, true}:  "cyan",
	{true, false, true}:  "magenta",
	{true, true, false}:  "yellow",
}

// colourWords names a colour and its level in percent of the signal, and with
// bits also its full-range code: "grey 50.196 % (code 128 of 255)".
func colourWords(rgb [3]float64, bits int) string {
	var lit [3]bool
	level, alike := 0.0, true
	for i, v := range rgb {
		lit[i] = v > 0
		if v > 0 {
			alike = alike && (level == 0 || v == level)
			level = v
		}
	}
	switch {
	case level == 0:
		return "black"
	case !alike:
		return "red " + levelWords(rgb[0], bits) + ", green " + levelWords(rgb[1], bits) + ", blue " + levelWords(rgb[2], bits)
	case level == 1 && lit == [3]bool{true, true, true}:
		return "white 100 %"
	}
	return colourNames[lit] + " " + levelWords(level, bits)
}

func levelWords(v float64, bits int) string {
	words := decimals(100*v, 3) + " %"
	if bits > 0 && bits <= 16 && v > 0 && v < 1 {
		most := float64(int(1)<<bits - 1)
		words += " (code " + decimals(math.Round(v*most), 0) + " of " + decimals(most, 0) + ")"
	}
	return words
}

// decimals writes v with up to n decimals, without trailing zeros.
func decimals(v float64, n int) string {
	s := strconv.FormatFloat(v, 'f', n, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
