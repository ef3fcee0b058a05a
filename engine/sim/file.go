package sim

import (
	"bytes"
	"cmp"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"reflect"
	"slices"
	"strings"
	"sync"

	"github.com/pelletier/go-toml/v2"

	"candelua/engine/bench"
	"candelua/engine/spell"
)

//go:embed worlds/*.toml
var shipped embed.FS

// defaultName is the world from which the others state their differences.
const defaultName = "default"

// base is the default world, read once. It must be complete; a test holds it so.
var base = sync.OnceValues(func() (Params, error) {
	return parse(Params{}, defaultName, shippedSource(defaultName))
})

// Default returns the default world, an invented phone. It is a copy that the caller may change.
func Default() Params {
	p, err := base()
	if err != nil {
		panic(err) // the file is part of this program
	}
	copyLists(reflect.ValueOf(&p).Elem())
	return p
}

// copyLists gives v lists of its own, so that what is changed in them is changed
// in v alone.
func copyLists(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			copyLists(v.Field(i))
		}
	case reflect.Slice:
		if v.IsNil() {
			return
		}
		list := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(list, v)
		v.Set(list)
		for i := range list.Len() {
			copyLists(list.Index(i))
		}
	}
}

// Names returns the names of the shipped worlds: the default one, then the
// others, sorted.
func Names() []string {
	files, err := fs.Glob(shipped, "worlds/*.toml")
	if err != nil {
		panic(err) // the pattern is part of this program
	}
	for i, f := range files {
		files[i] = strings.TrimSuffix(strings.TrimPrefix(f, "worlds/"), ".toml")
	}
	slices.SortStableFunc(files, func(a, b string) int { return cmp.Compare(rank(a), rank(b)) })
	return files
}

func rank(name string) int {
	if name == defaultName {
		return 0
	}
	return 1
}

func shippedSource(name string) []byte {
	src, err := shipped.ReadFile("worlds/" + name + ".toml")
	if err != nil {
		return nil
	}
	return src
}

// Load returns the world with this name. A name that contains a slash or ends in
// ".toml" is the path of a file, any other the name of a shipped world. It fails with
// a [bench.Error] of code "bad-file" for a name that is not shipped, with the
// system's error for a file that cannot be read, and as [Parse] does.
func Load(name string) (Params, error) {
	if strings.ContainsAny(name, `/\`) || strings.HasSuffix(name, ".toml") {
		src, err := os.ReadFile(name)
		if err != nil {
			return Params{}, fmt.Errorf("world: %w", err)
		}
		return Parse(name, src)
	}
	src := shippedSource(name)
	if src == nil {
		return Params{}, bench.Errorf(bench.CodeBadFile, didYouMean(spell.Nearest(name, Names())),
			"there is no world %q; it must be %s, or the path of a world file", name, quoted(Names()))
	}
	return Parse(name, src)
}

// Parse reads a world file; name is for messages. A file always states its format.
// Otherwise it states only what differs from the default world; a list that it states
// replaces the whole list of the default world. Errors are of type [bench.Error], with the
// code "bad-file", the file and the line. Refused are an unknown key (the error names
// the nearest known one), a value of the wrong type, and what Params.check refuses.
func Parse(name string, src []byte) (Params, error) { return parse(Default(), name, src) }

func parse(p Params, name string, src []byte) (Params, error) {
	lines, err := readLines(name, src)
	if err != nil {
		return Params{}, err
	}
	if lines.of["format"] == 0 {
		return Params{}, bench.Errorf(bench.CodeBadFile, "write format = 1 at the top", "%s: format is missing", name)
	}
	known := p.Controls
	p = lines.withoutStatedLists(p)
	if err := toml.NewDecoder(bytes.NewReader(src)).Decode(&p); err != nil {
		return Params{}, badSyntax(name, err)
	}
	p.takeKnownNames(known)
	if err := p.check(); err != nil {
		return Params{}, lines.place(err)
	}
	return p, nil
}

// takeKnownNames lets a control that a file states by a former name of a known one take
// that one's present name, too, so that files of before go with the scripts of now.
func (p *Params) takeKnownNames(known []ControlParams) {
	for _, k := range known {
		is := func(c ControlParams) bool { return c.is(k.Name) }
		was := func(c ControlParams) bool { return slices.Contains(k.Former, c.Name) }
		if i := slices.IndexFunc(p.Controls, was); i >= 0 && !slices.ContainsFunc(p.Controls, is) {
			p.Controls[i].Former = append(slices.Clone(p.Controls[i].Former), k.Name)
		}
	}
}

// badSyntax puts the line before an error of the TOML reader.
func badSyntax(name string, err error) error {
	message := strings.TrimPrefix(err.Error(), "toml: ")
	var d *toml.DecodeError
	if errors.As(err, &d) {
		line, _ := d.Position()
		return bench.Errorf(bench.CodeBadFile, "", "%s:%d: %s", name, line, message)
	}
	return bench.Errorf(bench.CodeBadFile, "", "%s: %s", name, message)
}

// withoutStatedLists returns p without the lists that the file states, so that
// they replace the default's instead of merging with them.
func (l *lineMap) withoutStatedLists(p Params) Params {
	clearLists(reflect.ValueOf(&p).Elem(), "", l.of)
	return p
}

func clearLists(v reflect.Value, path string, stated map[string]int) {
	for i, d := range fieldsOf(v.Type()) {
		field, at := v.Field(i), join(path, d.name)
		switch {
		case field.Kind() == reflect.Struct:
			clearLists(field, at, stated)
		case field.Kind() == reflect.Slice && stated[at] > 0:
			field.SetZero()
		}
	}
}
