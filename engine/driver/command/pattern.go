package command

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/driver"
	"candelua/engine/spell"
)

// A pattern is a line as the program writes it, with named fields in braces where its
// values stand: "Lv {Y} cd/m2, x {x}, y {y}". It must match the whole line but for blanks at its
// ends. A blank stands for one or more blanks; {} stands for anything, or for nothing, without the blank beside it then; {Y fL} is a number in
// another unit.
type pattern struct {
	text   string
	line   *regexp.Regexp
	fields []*field
}

// field is a named place in a pattern.
type field struct {
	name   string
	number bool
	scale  float64 // makes the field's own unit of the one written
	// Of a number: {} or a text stands right before or after it, so that it may be a part of a longer one.
	looseBefore, looseAfter bool
}

// units are what a number's unit may be, and what makes cd/m² of it, or the field's own unit.
//
// Source: 1 fL = (1/π) cd/ft², 1 ft = 0.3048 m (NIST SP 811, appendix B, from memory).
var units = map[string]float64{
	"cd/m2": 1, "cd/m²": 1, "nit": 1, "nits": 1, "mcd/m2": 1e-3, "kcd/m2": 1e3, "fL": 1 / (math.Pi * 0.3048 * 0.3048),
	"s": 1, "ms": 1e-3, "lx": 1, "lux": 1, "klx": 1e3, "fc": 1 / (0.3048 * 0.3048), "%": 1, "°": 1, "deg": 1, "nm": 1,
}

const (
	blanks = `[ \t]+`
	// aNumber is a number as programs write them, with a decimal point.
	aNumber = `([-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?)`
	aComma  = `([-+]?(?:[0-9]+,?[0-9]*|,[0-9]+)(?:[eE][-+]?[0-9]+)?)`
	aText   = `(.*?)`
)

// orNothing lets a {} between blanks, or between a blank and an end of the line, match nothing: then it needs no blank of its own.
var orNothing = strings.NewReplacer(
	blanks+`.*?`+blanks, blanks+`(?:.*?`+blanks+`)?`,
	blanks+`.*?[ \t\r]*$`, `(?:`+blanks+`.*?)?[ \t\r]*$`,
	`^[ \t]*.*?`+blanks, `^[ \t]*(?:.*?`+blanks+`)?`,
)

// compile makes a pattern. numbers and texts are the fields that it may have; the one called
// needed, if any, is one that it must have.
func compile(key, text string, numbers, texts []string, comma bool) (*pattern, error) {
	p := &pattern{text: text}
	var re strings.Builder
	re.WriteString(`^[ \t]*`)
	rest, before := strings.TrimSpace(text), (*field)(nil)
	for rest != "" {
		open := strings.IndexByte(rest, '{')
		if open < 0 {
			re.WriteString(literal(rest))
			break
		}
		re.WriteString(literal(rest[:open]))
		end := strings.IndexByte(rest[open:], '}')
		if end < 0 {
			return nil, fmt.Errorf("%s is %q; a { in it must be closed by a }", key, text)
		}
		f, err := p.field(key, rest[open+1:open+end], numbers, texts)
		if err != nil {
			return nil, err
		}
		if err := p.beside(before, f, open == 0); err != nil {
			return nil, fmt.Errorf("%s is %q; %w", key, text, err)
		}
		before = f
		switch {
		case f.name == "":
			re.WriteString(`.*?`)
		case f.number && comma:
			re.WriteString(aComma)
		case f.number:
			re.WriteString(aNumber)
		default:
			re.WriteString(aText)
		}
		rest = rest[open+end+1:]
	}
	re.WriteString(`[ \t\r]*$`)
	line, err := regexp.Compile(orNothing.Replace(re.String()))
	if err != nil {
		return nil, fmt.Errorf("%s is %q, which cannot be searched for: %w", key, text, err)
	}
	p.line = line
	return p, nil
}

// beside takes in that a field stands right after the one before it.
func (p *pattern) beside(before, f *field, adjacent bool) error {
	switch {
	case before == nil || !adjacent:
	case before.number && f.number:
		return fmt.Errorf("between {%s} and {%s} must stand what tells where a number ends, such as a blank", before.name, f.name)
	case before.number:
		before.looseAfter = true
	default:
		f.looseBefore = true
	}
	return nil
}

// literal is text of a pattern, in which blanks match one or more.
func literal(text string) string {
	parts := strings.FieldsFunc(text, isBlank)
	for i, part := range parts {
		parts[i] = regexp.QuoteMeta(part)
	}
	out := strings.Join(parts, blanks)
	if text != "" && isBlank(rune(text[0])) {
		out = blanks + out
	}
	if len(parts) > 0 && isBlank(rune(text[len(text)-1])) {
		out += blanks
	}
	return out
}

func isBlank(r rune) bool { return r == ' ' || r == '\t' }

func (p *pattern) field(key, inside string, numbers, texts []string) (*field, error) {
	name, unit, _ := strings.Cut(strings.TrimSpace(inside), " ")
	f := &field{name: name, number: slices.Contains(numbers, name), scale: 1}
	if name == "" {
		return f, nil
	}
	if !f.number && !slices.Contains(texts, name) {
		all := slices.Concat(numbers, texts)
		hint := ""
		if near := spell.Nearest(name, all); near != "" {
			hint = fmt.Sprintf("did you mean {%s}?", near)
		}
		return f, bench.Errorf(bench.CodeBadFile, hint, "%s has the field {%s}; its fields can be {%s}", key, name, strings.Join(all, "}, {"))
	}
	if slices.ContainsFunc(p.fields, func(g *field) bool { return g.name == name }) {
		return f, fmt.Errorf("%s has the field {%s} twice", key, name)
	}
	if unit = strings.TrimSpace(unit); unit != "" {
		scale, known := units[unit]
		if !known || !f.number {
			return f, fmt.Errorf("%s has {%s}: %q is no unit that is known; the units are %s", key, inside, unit, strings.Join(slices.Sorted(maps.Keys(units)), ", "))
		}
		f.scale = scale
	}
	p.fields = append(p.fields, f)
	return f, nil
}

// match reads a line; false where it is another one.
func (p *pattern) match(line string) (map[string]any, bool, error) {
	found := p.line.FindStringSubmatchIndex(line)
	if found == nil {
		return nil, false, nil
	}
	values := map[string]any{}
	for i, f := range p.fields {
		from, to := found[2*i+2], found[2*i+3]
		text := line[from:to]
		if !f.number {
			values[f.name] = strings.TrimSpace(text)
			continue
		}
		if f.looseBefore && cutBefore.MatchString(line[:from]) || f.looseAfter && cutAfter.MatchString(line[to:]) {
			return nil, true, fmt.Errorf("%s would be %s, which is a part of a longer number: %q", f.name, text, driver.Short(line))
		}
		x, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		if x *= f.scale; err != nil || math.IsInf(x, 0) {
			return nil, true, fmt.Errorf("%s is %s, which is more than a number can be", f.name, driver.Short(text))
		}
		values[f.name] = x
	}
	return values, true, nil
}

// What stands before and after a number that is only a part of another one, such as 1 of "1,234.5" or 5 of "1e5".
var (
	cutBefore = regexp.MustCompile(`(?:[0-9]['’.,]?|[0-9][eE][-+]?|[-−+])$`)
	cutAfter  = regexp.MustCompile(`^(?:['’.,]?[0-9]|[eE][-+]?[0-9])`)
)
