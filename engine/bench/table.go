package bench

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"
)

// table reads one table of a document. Each method leaves its target alone when
// the key is not there, and keeps a failure in the document otherwise.
type table struct {
	doc    *document
	path   []string
	values map[string]any
	line   int
}

// lineOf returns the line of a key, the table's own where it is not there.
func (t *table) lineOf(key string) int {
	if line := t.doc.lines[pathKey(append(slices.Clone(t.path), key))]; line != 0 {
		return line
	}
	return t.line
}

// named returns a key's path as people write it.
func (t *table) named(key string) string {
	return strings.Join(append(slices.Clone(t.path), key), ".")
}

// wrong keeps that a key has a value that is not what is wanted.
func (t *table) wrong(key, hint, want string) {
	t.doc.fail(t.lineOf(key), hint, "%s is %s; it must be %s", t.named(key), shown(t.values[key]), want)
}

// only refuses the keys that are not in known. what names the table.
func (t *table) only(what string, known []string) {
	for _, key := range slices.Sorted(maps.Keys(t.values)) {
		if slices.Contains(known, key) {
			continue
		}
		t.doc.fail(t.lineOf(key), didYouMean(key, known),
			"%s is unknown; the keys of %s are %s", t.named(key), what, list(known))
	}
}

// format refuses a version that this package does not know.
func (t *table) format() {
	version := fileFormat
	t.whole("format", &version, limits{1, math.MaxInt32, ""})
	if version != fileFormat {
		t.wrong("format", "the file was written for another version of candelua", fmt.Sprint(fileFormat))
	}
}

// text reads a text that is not blank and stands on one line.
func (t *table) text(key string, to *string) {
	v, ok := t.values[key]
	if !ok {
		return
	}
	s, ok := v.(string)
	if !ok || strings.TrimSpace(s) == "" || strings.ContainsFunc(s, isControl) {
		t.wrong(key, "", "a text in quotes on one line, not blank")
		return
	}
	*to = s
}

func isControl(r rune) bool { return r < ' ' || r == 0x7f }

// has says whether the file gives the key.
func (t *table) has(key string) bool {
	_, given := t.values[key]
	return given
}

// word reads a word that must be one of those allowed.
func (t *table) word(key string, to *string, allowed ...string) {
	was := *to
	if t.text(key, to); *to != was && !slices.Contains(allowed, *to) {
		t.wrong(key, didYouMean(*to, allowed), oneOf(allowed))
	}
}

// required is text for a key that must be there.
func (t *table) required(key string, to *string, hint string) {
	if _, ok := t.values[key]; !ok {
		t.doc.fail(t.line, hint, "%s is missing", t.named(key))
		return
	}
	t.text(key, to)
}

// limits are what a number may be. Both are allowed values, as the min and max are
// that a script's argument or a world's parameter is declared with. unit may be empty.
type limits struct {
	min, max float64
	unit     string
}

// allow is false of what is no number at all.
func (l limits) allow(x float64) bool { return l.min <= x && x <= l.max }

// want says it of what is limited: "a number from 0 to 100 %".
func (l limits) want(what string) string {
	return strings.TrimSpace(fmt.Sprintf("%s from %s to %s %s", what, plain(l.min), plain(l.max), l.unit))
}

// number reads a number within limits, whole or not.
func (t *table) number(key string, to *float64, within limits) {
	v, ok := t.values[key]
	if !ok {
		return
	}
	f, ok := asNumber(v)
	if !ok || !within.allow(f) {
		t.wrong(key, "", within.want("a number"))
		return
	}
	*to = f
}

// plain writes a number of a message as people do.
func plain(v float64) string { return fmt.Sprintf("%.10g", v) }

// asNumber takes whole and other numbers alike, but none that is not finite or
// that would lose digits.
func asNumber(v any) (float64, bool) {
	switch n := v.(type) {
	case int64:
		const exact = 1 << 53
		return float64(n), -exact <= n && n <= exact
	case float64:
		return n, finite(n)
	}
	return 0, false
}

// whole reads a whole number within limits.
func (t *table) whole(key string, to *int, within limits) {
	v, ok := t.values[key]
	if !ok {
		return
	}
	n, ok := v.(int64)
	if !ok || !within.allow(float64(n)) {
		t.wrong(key, "", within.want("a whole number"))
		return
	}
	*to = int(n)
}

// exampleTimes are what hints show, of each key that is a time.
var exampleTimes = map[string]string{"timeout": "10s", "delay": "300ms", "warm_up": "20m"}

// duration reads a text such as "10s".
func (t *table) duration(key string, to *time.Duration, least, most time.Duration) {
	v, ok := t.values[key]
	if !ok {
		return
	}
	s, ok := v.(string)
	d, err := time.ParseDuration(s)
	if !ok || err != nil || d < least || d > most {
		t.wrong(key, fmt.Sprintf("write the unit, as in %s = %q", key, exampleTimes[key]),
			fmt.Sprintf("a time from %s to %s", inUnits(least), inUnits(most)))
		return
	}
	*to = d
}

// inUnits writes a whole time in the largest of its units, as people write it.
func inUnits(d time.Duration) string {
	for _, u := range []struct {
		is   time.Duration
		name string
	}{{time.Hour, "h"}, {time.Minute, "min"}, {time.Second, "s"}} {
		if d%u.is == 0 {
			return fmt.Sprintf("%d %s", d/u.is, u.name)
		}
	}
	return fmt.Sprintf("%d ms", d.Milliseconds())
}

// words reads a list of texts that are not blank and all different.
func (t *table) words(key string, to *[]string) {
	v, ok := t.values[key]
	if !ok {
		return
	}
	items, ok := v.([]any)
	seen := map[string]bool{}
	var words []string
	for _, item := range items {
		s, isText := item.(string)
		ok = ok && isText && strings.TrimSpace(s) != "" && !strings.ContainsFunc(s, isControl) && !seen[s]
		seen[s] = true
		words = append(words, s)
	}
	if !ok || len(words) == 0 {
		t.wrong(key, "", `a list of different texts, such as ["on", "off"]`)
		return
	}
	*to = words
}

// table returns the table below a key, nil where there is none.
func (t *table) table(key string) *table {
	v, ok := t.values[key]
	if !ok {
		return nil
	}
	values, ok := v.(map[string]any)
	if !ok {
		t.wrong(key, "", "a single table with the head ["+t.named(key)+"]")
		return nil
	}
	return &table{doc: t.doc, path: append(slices.Clone(t.path), key), values: values, line: t.lineOf(key)}
}

// options reads a table whose keys this package does not know.
func (t *table) options(key string) map[string]any {
	below := t.table(key)
	if below == nil {
		return nil
	}
	options := make(map[string]any, len(below.values))
	for _, k := range slices.Sorted(maps.Keys(below.values)) {
		v, ok := plainValue(below.values[k])
		if !ok {
			below.wrong(k, "put dates, and numbers of more than 15 digits, in quotes",
				"texts, finite numbers, true or false, or lists and tables of these")
		}
		options[k] = v
	}
	return options
}

// plainValue makes numbers float64 all the way down; false for a date, and for
// a number that is not finite or would lose digits.
func plainValue(v any) (any, bool) {
	switch v := v.(type) {
	case string, bool:
		return v, true
	case int64, float64:
		return asNumberValue(v)
	case []any:
		items := make([]any, len(v))
		for i := range v {
			var ok bool
			if items[i], ok = plainValue(v[i]); !ok {
				return nil, false
			}
		}
		return items, true
	case map[string]any:
		table := make(map[string]any, len(v))
		for k := range v {
			var ok bool
			if table[k], ok = plainValue(v[k]); !ok {
				return nil, false
			}
		}
		return table, true
	}
	return nil, false
}

func asNumberValue(v any) (any, bool) {
	f, ok := asNumber(v)
	return f, ok
}

// shown writes a value of the file for a message, shortened.
func shown(v any) string {
	var s string
	switch v := v.(type) {
	case string:
		s = fmt.Sprintf("%q", v)
	case map[string]any:
		return "a table"
	case []any:
		if len(v) > 0 {
			if _, tables := v[0].(map[string]any); tables {
				return "a list of tables"
			}
		}
		return "a list"
	case float64:
		s = fmt.Sprintf("%g", v)
	default:
		s = fmt.Sprint(v)
	}
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
