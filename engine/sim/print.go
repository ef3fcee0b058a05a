package sim

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"strings"

	"candelua/engine/plain"
)

const printHead = `# A simulated world: the true properties of an invented display, of its meters
# and of its source of patches. A world file states format = 1. You may
# leave out every parameter that is as in the world "default", or as in another
# world that you name: base = "ideal", or a file. A list in the file replaces the
# whole list of that world.
`

// Print writes the parameters as a complete world file, with what each is, its
// unit and its limits, and with each value such that [Parse] gets it back.
func Print(out io.Writer, p Params) error {
	var b bytes.Buffer
	b.WriteString(printHead)
	v := reflect.ValueOf(p)
	all := fieldsOf(v.Type())
	// Keys of the top level must come before the first table.
	for i, d := range all {
		if f := v.Field(i); f.Kind() != reflect.Struct && !(isList(d.kind) && f.Len() > 0) {
			printValue(&b, d, f)
			if isList(d.kind) {
				printEmpty(&b, d)
			}
		}
	}
	for i, d := range all {
		f := v.Field(i)
		switch {
		case f.Kind() == reflect.Struct:
			fmt.Fprintf(&b, "\n# %s\n[%s]\n", d.help, d.name)
			printFields(&b, f, true)
		case isList(d.kind) && f.Len() > 0:
			fmt.Fprintf(&b, "\n# %s\n", d.help)
			for k := range f.Len() {
				fmt.Fprintf(&b, "\n[[%s]]\n", d.name)
				printFields(&b, f.Index(k), k == 0)
			}
		}
	}
	_, err := out.Write(b.Bytes())
	return err
}

// isList says whether a parameter is a list of tables.
func isList(t reflect.Type) bool { return t.Kind() == reflect.Slice && isTable(t.Elem()) }

// printEmpty explains the keys of a list of tables that has none, as comments.
func printEmpty(b *bytes.Buffer, d declared) {
	printComment(b, fmt.Sprintf("To add one, remove the line above and write a table [[%s]] at the end of the file, with these keys:", d.name))
	for _, f := range fieldsOf(d.kind.Elem()) {
		printComment(b, f.name+": "+f.note())
	}
}

func printFields(b *bytes.Buffer, v reflect.Value, withHelp bool) {
	for i, d := range fieldsOf(v.Type()) {
		if !withHelp {
			d.help = ""
		}
		printValue(b, d, v.Field(i))
	}
}

func printValue(b *bytes.Buffer, d declared, v reflect.Value) {
	if d.help != "" {
		printComment(b, d.note())
	}
	fmt.Fprintf(b, "%s = %s\n", d.name, literal(v))
}

// note is the help and the limits.
func (d *declared) note() string {
	if l := d.limits(); l != "" {
		return d.help + " (" + l + ")"
	}
	return d.help
}

// printComment writes a comment of lines of about 80 letters.
func printComment(b *bytes.Buffer, text string) {
	column := 0
	for _, word := range strings.Fields(text) {
		if column > 0 && column+len(word) > 78 {
			b.WriteByte('\n')
			column = 0
		}
		if column == 0 {
			b.WriteByte('#')
			column = 1
		}
		b.WriteString(" " + word)
		column += 1 + len(word)
	}
	b.WriteByte('\n')
}

// literal spells a value in TOML.
func literal(v reflect.Value) string {
	switch v.Kind() {
	case reflect.String:
		return quote(v.String())
	case reflect.Int:
		return fmt.Sprint(v.Int())
	case reflect.Float64:
		s := number(v.Float())
		if !strings.Contains(s, ".") {
			s += ".0"
		}
		return s
	}
	parts := make([]string, v.Len())
	for i := range parts {
		parts[i] = literal(v.Index(i))
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

// quote spells a string. JSON's escapes are a part of TOML's. What could do harm
// on a terminal is escaped too, as TOML wants it of the delete character.
func quote(s string) string {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(s); err != nil {
		panic(err) // no string fails to encode
	}
	return string(plain.TOML(bytes.TrimSuffix(b.Bytes(), []byte("\n"))))
}
