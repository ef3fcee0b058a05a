package process

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"candelua/engine/bench"
	"candelua/engine/driver"
	"candelua/engine/driver/child"
)

// Opener returns a function that opens the driver "process". keeper ends all programs when the process must
// end at once. log takes what a program logs, by level ("info" and so on), and trace what is only for those
// who look for a fault.
func Opener(keeper *child.Keeper, log func(level, text string), trace func(string)) func() (bench.Driver, error) {
	if trace == nil {
		trace = func(string) {}
	}
	if log == nil {
		log = func(string, string) {}
	}
	return driver.Opener("process", func(k bench.Kind, s bench.Section) (driver.Connect, error) {
		c := &connector{kind: k, keeper: keeper, log: log, trace: trace}
		return c.connect, c.configure(s)
	}, trace)
}

// connector starts the program of one place on the bench.
type connector struct {
	kind     bench.Kind
	run      []string
	folder   string
	settings map[string]any
	within   time.Duration // for its first answer; 0: no limit of its own
	keeper   *child.Keeper
	log      func(level, text string)
	trace    func(string)
}

// configure reads the options of the bench file.
func (c *connector) configure(s bench.Section) error {
	wrong := func(hint, format string, args ...any) error {
		text := fmt.Sprintf(format, args...)
		key, _, _ := strings.Cut(text, " ")
		key = string(c.kind) + ".options." + key
		return bench.Errorf(bench.CodeBadFile, hint, "%s: %s.options.%s", s.At(key), c.kind, text)
	}
	if s.Link != "" {
		return bench.Errorf(bench.CodeBadFile, "leave out link, and name the program by run", "%s: %s.link is given, and a program has no link", s.At(string(c.kind)+".link"), c.kind)
	}
	known := []string{"run", "settings", "start_within", "folder"}
	for _, key := range slices.Sorted(maps.Keys(s.Options)) {
		v, ok := s.Options[key], true
		switch key {
		case "run":
			c.run, ok = words(v)
		case "folder":
			c.folder, ok = v.(string)
		case "settings":
			c.settings, ok = v.(map[string]any)
		case "start_within":
			var err error
			text, _ := v.(string)
			c.within, err = time.ParseDuration(text)
			ok = err == nil && c.within > 0
		default:
			return wrong("", "%s is unknown; the keys are %s", key, strings.Join(known, ", "))
		}
		if !ok {
			return wrong("", "%s is %v; it must be %s", key, v, map[string]string{"run": "a text in quotes, or a list of such", "folder": "a text in quotes",
				"settings": "a table", "start_within": `a time, as in "10s"`}[key])
		}
	}
	if len(c.run) == 0 || strings.TrimSpace(c.run[0]) == "" {
		return wrong(`as in run = "./dunlin.py"`, "run must name the program")
	}
	c.run[0] = s.Program(c.run[0])
	c.folder = s.Beside(c.folder)
	return nil
}

// words are a program and its arguments: a list, or a text that is cut at blanks.
func words(v any) (all []string, ok bool) {
	switch v := v.(type) {
	case string:
		return strings.Fields(v), true
	case []any:
		for _, x := range v {
			text, isText := x.(string)
			if !isText {
				return nil, false
			}
			all = append(all, text)
		}
		return all, true
	}
	return nil, false
}
