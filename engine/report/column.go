package report

import (
	"math"
	"strconv"
	"strings"

	"candelua/engine/result"
)

// displayColumn writes the cells of a table's column for people, each number to
// the decimal place that the uncertainties bear, and to five significant digits at
// most. Where the uncertainties are alike, all cells end at one place, that of the
// least; where they differ by more than a decade, as those of a luminance from
// black to white do, each ends at its own.
//
// A number without an uncertainty ends where the others do, if they end at one
// place and something is left of it there; else it comes as [usualColumn] has
// it, and so does a column of which no uncertainty is known.
//
// Source: [JCGM100], 7.2.6, for each number by itself; the five digits are common
// practice, no source.
func displayColumn(t *result.Table, column int) []string {
	cells := make([]result.Cell, t.Len())
	for i := range cells {
		cells[i] = t.Cell(i, column)
	}
	texts := usualColumn(cells)
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

// toPlace writes a number in a column whose uncertainties end at the places from
// least to most; empty where it cannot.
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

// usualColumn writes a column of which no uncertainty is known. Numbers come to
// four significant digits, for more says nothing then; but to five if two rows that follow each other would look alike with
// four and do not with five. A whole number, and one of 10000 and more, always
// comes to five, so that code values and kelvins stay what they are.
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
			texts[i] = clean(c.String())
		case math.Abs(f) >= 1e4 || f == math.Trunc(f):
			texts[i] = Display(f)
		default:
			texts[i] = display(f, digits)
		}
	}
	return texts
}
