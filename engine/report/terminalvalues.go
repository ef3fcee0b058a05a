package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/plain"
	"candelua/engine/result"
)

// values writes one line a value, and below it a text that is too long for
// the line, and why something in it was not evaluated.
func (p *printer) values(values []*result.Value, draws *result.Draws) {
	if len(values) == 0 {
		return
	}
	p.part()
	all := valueColumns(values, draws)
	columns := p.fit(all)
	for i, l := range lines(columns) {
		if i == 0 {
			p.line(l)
			continue
		}
		v := values[i-1]
		p.finding(l, v.Finding)
		if _, long := textOf(v); long {
			p.below(v.Text)
		}
		p.below(v.Why)
		p.below(v.Remark())
		if p.Budget {
			p.below(budgetText(v, draws))
		} else {
			p.below(biasText(v))
		}
	}
	p.noRoom(all, columns)
}

// noRoom says which columns were left out, and where their numbers are.
func (p *printer) noRoom(all, shown []column) {
	names := map[string]string{headInterval: "95 % intervals", headRepeats: "95 % intervals", headTolerance: "tolerances"}
	var out []string
	for _, c := range all {
		head := strings.TrimSpace(c.head)
		if names[head] != "" && !slices.ContainsFunc(shown, func(c column) bool { return strings.TrimSpace(c.head) == head }) {
			out = append(out, names[head])
		}
	}
	if len(out) == 0 {
		return
	}
	for _, l := range wrap("(no room here for the "+strings.Join(out, " and the ")+": results.json has them)", p.Width) {
		p.line(l)
	}
}

// below writes a text that belongs to the line before it.
func (p *printer) below(s string) {
	if s == "" {
		return
	}
	for _, l := range wrap(plain.Line(s), p.Width-4) {
		p.line("    " + l)
	}
}

// textOf returns the text of a value, and whether that is too long to stand
// among the numbers.
func textOf(v *result.Value) (text string, long bool) {
	text = plain.Line(v.Text)
	return text, widths.StringWidth(text) > 16
}

// finding writes a line, and in colour the finding that ends it.
func (p *printer) finding(line string, f result.Finding) {
	colour := map[result.Finding]plain.Own{result.Pass: plain.Green, result.Fail: plain.Red, result.NotEvaluated: plain.Yellow}[f]
	words := findingWords(f)
	if !strings.HasSuffix(line, words) {
		words = "" // there was no room
	}
	fmt.Fprint(p.out, strings.TrimSuffix(line, words))
	p.coloured(words, colour)
	p.line("")
}

// The heads of the values' columns.
const (
	headU        = "± u"
	headInterval = "95 %"
	// Where the accuracy of the meter is not stated.
	headRepeatability = "± repeatability"
	headRepeats       = "95 %, repeatability only"
	headTolerance     = "tolerance"
)

// valueColumns makes the columns of the values; those that would be empty are
// left out.
func valueColumns(values []*result.Value, draws *result.Draws) []column {
	heads := []string{"value", "", headU, "unit", headInterval, headTolerance, "finding"}
	if draws.RepeatabilityOnly() {
		heads[2], heads[4] = headRepeatability, headRepeats
	}
	cells := make([][]string, len(heads))
	for _, v := range values {
		number, u := quantity(v)
		if draws.RepeatabilityOnly() {
			number, u = coarse(v, number, u)
		}
		row := []string{plain.Line(v.Name), number, u, plain.Line(v.Unit), interval(v), tolerance(v.Tolerance), findingWords(v.Finding)}
		for i, cell := range row {
			cells[i] = append(cells[i], cell)
		}
	}
	var columns []column
	for i, head := range heads {
		if i < 2 || slices.ContainsFunc(cells[i], func(s string) bool { return s != "" }) {
			columns = append(columns, newColumn(head, cells[i]))
		}
	}
	return columns
}

// coarse writes a value of which only the repeatability is known to four digits: more would
// promise what no meter keeps.
func coarse(v *result.Value, number, u string) (string, string) {
	if u == "" || v.U == nil || v.Value == nil {
		return number, u
	}
	x, most := math.Abs(*v.Value), 12.0
	if x > 0 {
		most = 3 - math.Floor(math.Log10(x))
	}
	if x >= 1e7 || most > 12 {
		return display(*v.Value, 4), "± " + display(*v.U, 1)
	}
	decimals := max(0, int(math.Min(most, -math.Floor(math.Log10(*v.U)))))
	return strconv.FormatFloat(*v.Value, 'f', decimals, 64), "± " + display(*v.U, 1)
}

// notKnownU stands in place of an uncertainty that nobody can know.
const notKnownU = "± not known"

// orMore follows the part of an uncertainty that is known, where there is more of it that is not.
const orMore = " or more"

// quantity writes a value, and its uncertainty after "± ". A bound has none: it
// limits the quantity by itself, and no draw makes its number.
func quantity(v *result.Value) (number, u string) {
	text, long := textOf(v)
	switch {
	case long:
		return "", ""
	case text != "":
		return text, ""
	case v.Value == nil:
		return "-", ""
	case v.Counted():
		number = countedText(v, *v.Value)
	case v.U != nil && *v.U > 0 && v.Bound == "":
		number, u = withUncertainty(*v.Value, *v.U)
		u = "± " + u
	case v.Method == result.NotKnown:
		number, u = Display(*v.Value), notKnownU
		if v.UAtLeast != nil && *v.UAtLeast > 0 && v.Bound == "" {
			number, u = withUncertainty(*v.Value, *v.UAtLeast)
			u = "± " + u + orMore
		}
	default:
		number = Display(*v.Value)
	}
	switch v.Bound {
	case result.Upper:
		number = "< " + number
	case result.Lower:
		number = "> " + number
	}
	return number, u
}

// interval writes the ends to the digits of the value: the uncertainty's decimals where the value
// has one, so that no rounding puts the value outside. Where an end is the limit of what is
// possible, it says nothing, and the other one is a bound.
func interval(v *result.Value) string {
	if v.Interval == nil || v.U != nil && *v.U == 0 {
		return ""
	}
	low, high := Display(v.Interval[0]), Display(v.Interval[1])
	switch {
	case v.Counted():
		low, high = countedText(v, v.Interval[0]), countedText(v, v.Interval[1])
	case v.U != nil && v.Bound == "":
		low, _ = withUncertainty(v.Interval[0], *v.U)
		high, _ = withUncertainty(v.Interval[1], *v.U)
	}
	switch v.AtLimit() {
	case result.Upper:
		return "at most " + high
	case result.Lower:
		return "at least " + low
	}
	return low + " to " + high
}

// countedText writes a number of a counted value: as it is where that is short, as whole numbers are,
// and else to the digits of its spread.
func countedText(v *result.Value, f float64) string {
	text := Display(f)
	if v.U == nil || !(*v.U > 0) {
		return text
	}
	if short, _ := withUncertainty(f, *v.U); len(short) < len(text) {
		return short
	}
	return text
}

// worthBias is the share of u from which on a bias is worth a line: it moves the first digit of
// u. A budget states every bias.
const worthBias = 1. / 3

// biasText says in words that errors push a value one way, where that moves a digit that is shown
// and counts beside u.
func biasText(v *result.Value) string {
	if v.Bias == nil || v.U == nil || v.Value == nil || !(math.Abs(*v.Bias) >= worthBias**v.U) || v.Outside() {
		return ""
	}
	if *v.U == 0 {
		return ""
	}
	is, _ := withUncertainty(*v.Value, *v.U)
	if without, _ := withUncertainty(*v.Value-*v.Bias, *v.U); is == without {
		return ""
	}
	way := "up"
	if *v.Bias < 0 {
		way = "down"
	}
	return "random errors push this value " + way + ", by about " + display(math.Abs(*v.Bias), 2) + "; the interval allows for that, the value does not"
}

func tolerance(t *result.Tolerance) string {
	switch {
	case t == nil:
		return ""
	case t.Min == nil:
		return "at most " + Display(*t.Max)
	case t.Max == nil:
		return "at least " + Display(*t.Min)
	}
	return Display(*t.Min) + " to " + Display(*t.Max)
}

func findingWords(f result.Finding) string { return strings.ReplaceAll(string(f), "_", " ") }

// fit makes the values fit the width: it leaves out the interval, then the
// tolerance, then shortens the names. What is still too wide stays so.
func (p *printer) fit(all []column) []column {
	columns := slices.Clone(all)
	for _, head := range []string{headInterval, headRepeats, headTolerance} {
		if total(columns) > p.Width {
			columns = slices.DeleteFunc(columns, func(c column) bool { return strings.TrimSpace(c.head) == head })
		}
	}
	over := total(columns) - p.Width
	if over <= 0 {
		return columns
	}
	name := &columns[0]
	width := max(name.width-over, min(name.width, 16))
	for i, cell := range name.cells {
		name.cells[i] = fill(widths.Truncate(strings.TrimRight(cell, " "), width, "…"), width)
	}
	name.head, name.width = fill(strings.TrimRight(name.head, " "), width), width
	return columns
}
