package sim

import (
	"cmp"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"

	"github.com/pelletier/go-toml/v2"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/regular"
	"candelua/engine/spell"
)

//go:embed worlds/*.toml
var shipped embed.FS

// defaultName is the world from which the others state their differences.
const defaultName = "default"

// base is the default world, read once. It must be complete; a test holds it so.
var base = sync.OnceValues(readDefault)

func readDefault() (Params, error) {
	src := shippedSource(defaultName)
	lines, err := readLines(defaultName, src)
	if err != nil {
		return Params{}, err
	}
	return parse(Params{}, defaultName, src, lines)
}

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
func Load(name string) (Params, error) { return loadBased(name, nil) }

// loadBased reads a world that others are based on, the first of them first.
func loadBased(name string, on []string) (Params, error) {
	if isPath(name) {
		src, err := regular.Read(name)
		if errors.Is(err, fs.ErrNotExist) && len(on) > 0 {
			return Params{}, bench.Errorf(bench.CodeBadFile, "write the path as it is from the folder of the file that names it", "there is no file %s", name)
		}
		if err != nil {
			return Params{}, fmt.Errorf("world: %w", err)
		}
		return parseBased(name, src, on)
	}
	src := shippedSource(name)
	if src == nil {
		return Params{}, bench.Errorf(bench.CodeBadFile, didYouMean(spell.Nearest(name, Names())),
			"there is no world %q; it must be %s, or the path of a world file", name, quoted(Names()))
	}
	return parseBased(name, src, on)
}

// Parse reads a world file; name is its path, for messages. A file always states its
// format. Otherwise it states only what differs from its base, a shipped world or a file
// beside it; without one the base is the default world. A list that it states replaces the
// whole list of the base. A table in a list of named tables begins as one of the base's
// where it states base = NAME. Errors are of type [bench.Error], with the code "bad-file",
// the file and the line. Refused are an unknown key (the error names the nearest known
// one), a value of the wrong type, and what Params.check refuses.
func Parse(name string, src []byte) (Params, error) { return parseBased(name, src, nil) }

// ParseKept reads a world file as [Print] wrote it, such as a run keeps. Errors that a meter has only since then
// are none there, so that a run that goes on reads on as it did.
func ParseKept(name string, src []byte) (Params, error) {
	lines, err := readLines(name, src)
	if err != nil {
		return Params{}, err
	}
	p := Default()
	for _, m := range []*MeterParams{&p.Meter, &p.Reference} {
		m.Wavelength, m.Response = 0, 0
	}
	p.Rig.LuxScale, p.Rig.LuxZero, p.Rig.LuxErrorsSeed = 0, 0, 0
	return parse(p, name, src, lines)
}

// deepest bounds how many files a world is based on, one on another.
const deepest = 8

// chainError is that the files which a world is based on have no end. It is said once, and not of each file.
type chainError struct{ error }

func (e *chainError) Unwrap() error { return e.error }

// checkChain refuses a base that leads back, or that is too far down.
func checkChain(on []string, line int, base string) error {
	at := fmt.Sprintf("%s:%d: base", on[len(on)-1], line)
	same := func(name string) bool { return filepath.Clean(name) == filepath.Clean(base) }
	switch i := slices.IndexFunc(on, same); {
	case i >= 0 && isPath(base):
		return &chainError{bench.Errorf(bench.CodeBadFile, "give one of these files another base, or none",
			"%s leads in a circle: %s", at, strings.Join(append(slices.Clone(on[i:]), on[i]), " is based on "))}
	case len(on) > deepest:
		return &chainError{bench.Errorf(bench.CodeBadFile, "state the parameters in fewer files", "%s: more than %d worlds are based on each other", at, deepest)}
	}
	return nil
}

func parseBased(name string, src []byte, on []string) (Params, error) {
	lines, err := readLines(name, src)
	if err != nil {
		return Params{}, err
	}
	p := Default()
	if line, stated := lines.of[baseKey]; stated && lines.base == "" {
		return Params{}, bench.Errorf(bench.CodeBadFile, `leave it out for the world "default"`, "%s:%d: base is empty; it must be the name of a world, or a file", name, line)
	}
	if of := lines.base; of != "" {
		on, of = append(slices.Clone(on), name), besidePath(of, filepath.Dir(name))
		if err := checkChain(on, lines.of[baseKey], of); err != nil {
			return Params{}, err
		}
		p, err = loadBased(of, on)
		var chain *chainError
		if errors.As(err, &chain) {
			return Params{}, chain
		}
		if err != nil {
			return Params{}, bench.Errorf(bench.CodeBadFile, fault.HintOf(err), "%s:%d: base: %w", name, lines.of[baseKey], err)
		}
	}
	return parse(p, name, src, lines)
}

// besidePath makes a path relative to a folder; names of shipped worlds stay.
func besidePath(name, dir string) string {
	if isPath(name) && !filepath.IsAbs(name) {
		if name = filepath.Join(dir, name); !isPath(name) {
			name = "./" + name // Join took away what told it from a shipped name
		}
	}
	return name
}

// parse changes p as a file says.
func parse(p Params, name string, src []byte, lines *lineMap) (Params, error) {
	if lines.of["format"] == 0 {
		return Params{}, bench.Errorf(bench.CodeBadFile, "write format = 1 at the top", "%s: format is missing", name)
	}
	var states map[string]any
	if err := toml.Unmarshal(src, &states); err != nil {
		return Params{}, badSyntax(name, err)
	}
	delete(states, baseKey)
	known := p.Controls
	if err := assign(reflect.ValueOf(&p).Elem(), "", floats(states)); err != nil {
		return Params{}, lines.place(err)
	}
	p.takeKnownNames(known)
	if err := p.check(); err != nil {
		return Params{}, lines.place(err)
	}
	return p, nil
}

// floats makes the values of a file those of a script: all numbers are floats.
func floats(x any) any {
	switch x := x.(type) {
	case int64:
		return float64(x)
	case []any:
		for i := range x {
			x[i] = floats(x[i])
		}
	case map[string]any:
		for k := range x {
			x[k] = floats(x[k])
		}
	}
	return x
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
