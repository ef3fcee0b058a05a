package report

import (
	"math"
	"strconv"
	"strings"

	"candelua/engine/plain"
	"candelua/engine/result"
)

// displayColumn writes the cells of a table's column for people. Each number is
// rounded by the uncertainties, and to at most five significant digits. If the
// uncertainties are alike, all cells end at one decimal place, that of the smallest
// uncertainty. If they differ by more than a decade, as those of a luminance from
// black to white do, each number ends at its own place.
//
// A number without an uncertainty ends at the same place as the rest, if there is
// one such place and the number does not become 0 there. Otherwise, and in a column
// without known uncertainties, it is written as [usualColumn] says.
//
// Source: [JCGM100], 7.2.6, for each number by itself; the five digits are common
// practice, no source.
func displayColumn(t *result.Table, column int) []string {
	cells := make([]result.Cell, t.Len())
	for i := range cells {
		cells[i] = t.Cell(i, column)
	}
	texts := usualColumn(cells)
	if countedColumn(t, column) {
		return texts
	}
	least, most := lastPlaces(t, column)
	for i, c := range cells {
		f, isNumber := c.Float()
		u := spreadOf(t, i, column)
		if !isNumber || least > most || u == 0 && most-least > 1 {
			continue
		}
		if short := toPlace(f, u, least, most); short != "" {
			texts[i] = short
		}
	}
	return texts
}

// mostCounted is the widest interval of a count that is written as one.
const mostCounted = 50

// countedColumn says whether a column holds counts: whole numbers whose intervals end at whole numbers not far off.
func countedColumn(t *result.Table, column int) bool {
	whole := func(x float64) bool { return x == math.Trunc(x) }
	any := false
	for i := range t.Len() {
		f, isNumber := t.Cell(i, column).Float()
		if isNumber && !whole(f) {
			return false
		}
		if s := t.Spread(i, column); s != nil {
			if any = true; !whole(s.Low) || !whole(s.High) || s.High-s.Low > mostCounted {
				return false
			}
		}
	}
	return any
}

// toPlace writes a number in a column whose uncertainties end at the places from
// least to most; empty if it cannot be written so.
func toPlace(f, u float64, least, most int) (text string) {
	if math.Abs(f) >= plainBelow || least < leastPlace {
		if u > 0 {
			text, _ = withUncertainty(f, u)
		}
		return text
	}
	place := least
	if most-least > 1 {
		place = result.Place(u)
	}
	_, exponent := split(strconv.FormatFloat(f, 'e', -1, 64))
	text = result.ToPlace(f, max(place, exponent-significant+1))
	if u == 0 && f != 0 && strings.Trim(text, "0.") == "" {
		return ""
	}
	return text
}

// From plainBelow on, and in a column that goes on beyond leastPlace, numbers
// have exponents.
const (
	plainBelow = 1e7
	leastPlace = -8
)

// lastPlaces are the least and the most of the decimal places at which the
// uncertainties of a column have their second digit; least > most where there are
// none.
func lastPlaces(t *result.Table, column int) (least, most int) {
	least, most = math.MaxInt, math.MinInt
	for i := range t.Len() {
		if u := spreadOf(t, i, column); u > 0 {
			place := result.Place(u)
			least, most = min(least, place), max(most, place)
		}
	}
	return least, most
}

// spreadOf is a cell's standard uncertainty, 0 where none is known.
func spreadOf(t *result.Table, row, column int) float64 {
	if s := t.Spread(row, column); s != nil {
		return s.U
	}
	return 0
}

// usualColumn writes a column without known uncertainties. Numbers have four
// significant digits, for more would say nothing; but five if two rows in sequence
// look alike with four and not with five. A whole number, and a number of 10000 or
// more, always has five, so that code values and kelvins stay as they are.
func usualColumn(cells []result.Cell) []string {
	few, more := shownCells(cells, significantInTable), shownCells(cells, significant)
	for i := 1; i < len(cells); i++ {
		if few[i] == few[i-1] && more[i] != more[i-1] {
			return more
		}
	}
	return few
}

func shownCells(cells []result.Cell, digits int) []string {
	texts := make([]string, len(cells))
	for i, c := range cells {
		f, isNumber := c.Float()
		switch {
		case !isNumber:
			texts[i] = plain.Line(c.String())
		case math.Abs(f) >= 1e4 || f == math.Trunc(f):
			texts[i] = Display(f)
		default:
			texts[i] = display(f, digits)
		}
	}
	return texts
}
