package main

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/driver/command"
	"candelua/engine/driver/link"
	programs "candelua/engine/driver/process"
	"candelua/engine/driver/scripted"
	"candelua/engine/fault"
	"candelua/engine/plain"
	"candelua/engine/player"
	"candelua/engine/procedure"
	"candelua/engine/screen"
)

// textDriver is the name under which a run's head keeps the Lua driver of a place on the bench.
func textDriver(k bench.Kind) string { return "driver " + string(k) }

// realDrivers are the drivers of real instruments, with those texts of a run that are theirs.
func (a *app) realDrivers(texts map[string]string) bench.Openers {
	trace := func(text string) { a.log.Trace(plain.Line(text)) }
	source := func(k bench.Kind) (string, error) {
		text, kept := texts[textDriver(k)]
		if !kept {
			return "", errors.New("the run was recorded without the driver's file")
		}
		return text, nil
	}
	traffic := trace
	if !a.log.IsTrace() {
		traffic = nil
	}
	return bench.Openers{
		"command":     command.Opener(&a.programs, trace),
		"process":     programs.Opener(&a.programs, a.logged, trace),
		scripted.Name: scripted.Opener(source, traffic),
	}
}

// driverNames are the names of all drivers that a bench file can name, sorted.
func (a *app) driverNames() []string {
	return slices.Sorted(slices.Values(append(slices.Collect(maps.Keys(a.realDrivers(nil))), bench.OperatorDriver, player.Name, screen.Name, "sim")))
}

// driverTexts reads the Lua drivers that a bench file names, by paths that start at its folder, into the texts
// that a run keeps. A driver that cannot be used is refused before anything is touched.
func (a *app) driverTexts(ctx context.Context, file *bench.File, texts map[string]string) error {
	for _, k := range file.Kinds() {
		s := file.Section(k)
		if s.Driver != scripted.Name {
			continue
		}
		name, err := scripted.File(*s)
		if err != nil {
			return &fault.UsageError{Err: fmt.Errorf("%s: %s: %w", s.Where(), k, err)}
		}
		src, err := procedure.ReadText(s.Beside(name))
		if err != nil {
			return &fault.UsageError{Err: fmt.Errorf("%s: %s: the driver cannot be read: %w", s.Where(), k, err)}
		}
		p, err := scripted.Load(ctx, name, src)
		if err != nil {
			return &fault.UsageError{Err: err}
		}
		if at, err := link.Parse(s.Link); err == nil && p.Doubt(at) != "" { // a wrong link is told of when it is opened
			a.log.Warn(plain.Line(p.Doubt(at)))
		}
		texts[textDriver(k)] = string(src)
	}
	return nil
}

// programsOf are the programs that a bench file has started, as it names them, each once. What reads a program's
// name calls the key "run", in whatever table.
func programsOf(file *bench.File) (all []string) {
	var walk func(table map[string]any)
	walk = func(table map[string]any) {
		for _, key := range slices.Sorted(maps.Keys(table)) {
			text := ""
			switch v := table[key].(type) {
			case map[string]any:
				walk(v)
			case string:
				text = v
			case []any:
				text = strings.Trim(fmt.Sprint(v), "[]")
			}
			if key == "run" && text != "" && !slices.Contains(all, text) {
				all = append(all, text)
			}
		}
	}
	for _, k := range file.Kinds() {
		walk(file.Section(k).Options)
	}
	return all
}
