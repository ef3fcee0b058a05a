package trial

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/procedure"
	"candelua/engine/sandbox"
	"candelua/engine/script"
	"candelua/engine/spell"
)

// Trial is what a trial file states.
type Trial struct {
	Name      string // "window-sweep"
	File      string // in messages
	Dir       string // the folder of the file, where paths begin; "" of a shipped one
	Title     string
	Procedure string
	Params    map[string]any
	Worlds    []NamedWorld   // at least one, in the order of their names
	Faults    []any          // handed to [Worlds] as they are
	Interrupt []Interruption // in the order of their times
	Expect    []Expectation
	Refuses   string // a text in the error that the run must end with; "" where it must not
	Seeds     int
	Pass      float64 // the share of the seeds that must pass, above 0 to 1
	Draws     int     // of each run, for its values' uncertainties; 0: none

	lines *sandbox.Lines // of the file, for errors
	alone bool           // the one world is stated as world, not under worlds
}

// NamedWorld is a world that a trial is held in.
type NamedWorld struct {
	Name string
	Ref  any // what the file says: nil, a name, a path or a table
}

// declaration is the argument of trial { … }.
type declaration struct {
	Title     string                     `lua:"title" default:"" help:"what the trial shows, in one line"`
	Procedure string                     `lua:"procedure" help:"name of a shipped procedure, or a path relative to the trial file"`
	Params    map[string]any             `lua:"params" optional:"true" help:"parameters of the procedure that differ from their defaults, such as params = { delay = 2 }"`
	World     any                        `lua:"world" optional:"true" help:"name of a world, a path relative to the trial file, or a table such as { base = \"default\", [\"light.white\"] = 900 }"`
	Worlds    map[string]any             `lua:"worlds" optional:"true" help:"several worlds instead of one, each with a name"`
	Faults    []any                      `lua:"faults" optional:"true" help:"faults that happen during the run, as under faults in a world file"`
	Interrupt []Interruption             `lua:"interrupt" optional:"true" help:"times at which runs are interrupted and resumed, such as interrupt = { { at = 600, pause = 1200 } }"`
	Expect    map[string]expectationArgs `lua:"expect" optional:"true" help:"expected values by their ids, such as [\"gamma\"] = { truth = \"tone.exponent\", within = 0.01 }"`
	Refuses   string                     `lua:"refuses" default:"" help:"the run must end with an error that contains this text"`
	Seeds     int                        `lua:"seeds" default:"20" min:"1" max:"100000" help:"number of runs, each with noise of its own"`
	Pass      float64                    `lua:"pass" default:"1" above:"0" max:"1" help:"share of the seeds that must pass"`
	Draws     int                        `lua:"draws" default:"0" min:"0" max:"100000" help:"number of draws for the uncertainties of each run, at least 100; 0: no uncertainties"`
}

// Plan is what trial { … } is declared as.
func Plan() *declare.Plan { return declare.For(reflect.TypeFor[declaration]()) }

// folder is where shipped trials lie among what is shipped.
const folder = "trials"

// Shipped lists the names of the shipped trials.
func Shipped(shipped fs.FS) []string {
	files, _ := fs.Glob(shipped, folder+"/*.lua")
	for i, f := range files {
		files[i] = strings.TrimSuffix(path.Base(f), ".lua")
	}
	slices.Sort(files)
	return files
}

// Find reads a trial: a path, or the name of one that is shipped. It fails
// as [Parse] does, and with an [fault.ErrUsage] where there is no such trial.
func Find(ctx context.Context, name string, shipped fs.FS) (*Trial, error) {
	if procedure.IsPath(name) {
		src, err := procedure.ReadText(name)
		if err != nil {
			return nil, &fault.UsageError{Err: fmt.Errorf("the trial cannot be read: %w", err)}
		}
		return Parse(ctx, name, src, filepath.Dir(name))
	}
	src, err := fs.ReadFile(shipped, path.Join(folder, name+".lua"))
	if err != nil {
		names := Shipped(shipped)
		tip := fmt.Sprintf("candelua trial --list names the %d shipped trials; the path of a trial file ends in .lua", len(names))
		if near := spell.Nearest(name, names); near != "" {
			tip = fmt.Sprintf("did you mean %s? (%s)", near, tip)
		}
		if own := procedure.Beside(name, ".lua"); own != "" {
			tip = fmt.Sprintf("did you mean %s? (%s)", own, tip)
		}
		return nil, &fault.UsageError{Err: fmt.Errorf("there is no trial called %q", name), Tip: tip}
	}
	return Parse(ctx, name+".lua", src, "")
}

// Parse reads a trial file. It fails with an [fault.ErrUsage] for what is no
// trial, a trial that expects nothing, and an expectation that cannot decide;
// and with ctx's cause where ctx is done.
func Parse(ctx context.Context, file string, src []byte, dir string) (*Trial, error) {
	d, err := script.Declared[declaration](ctx, "trial", filepath.Base(file), src)
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	if err != nil {
		return nil, &fault.UsageError{Err: err}
	}
	t := &Trial{File: filepath.Base(file), Dir: dir, Title: d.Title, Procedure: d.Procedure, Params: d.Params,
		Faults: d.Faults, Interrupt: d.Interrupt, Refuses: d.Refuses, Seeds: d.Seeds, Pass: d.Pass, Draws: d.Draws, alone: d.Worlds == nil}
	t.Name = strings.TrimSuffix(t.File, ".lua")
	t.lines = sandbox.LinesOf("trial", src)
	if err := t.expectations(d.Expect); err != nil {
		return nil, err
	}
	if err := t.checkPurpose(); err != nil {
		return nil, t.wrong(err)
	}
	if err := t.checkDraws(); err != nil {
		return nil, err
	}
	if err := checkOrder(t.Interrupt); err != nil {
		return nil, t.wrong(err, "interrupt")
	}
	if t.Worlds, err = worldsOf(d); err != nil {
		return nil, t.wrong(err, "worlds")
	}
	for i := range t.Expect {
		if err := t.Expect[i].checkWorlds(t.Worlds); err != nil {
			return nil, t.wrong(err, "expect", t.Expect[i].ID, "truths")
		}
	}
	return t, nil
}

// wrong is an error of what the file states under a path of keys.
func (t *Trial) wrong(err error, path ...string) error {
	in := &sandbox.Error{File: t.File, Message: err.Error(), Err: err}
	if t.lines != nil {
		in.Line = t.lines.Of(path...)
	}
	return &fault.UsageError{Err: in}
}

// checkPurpose refuses a trial that nothing can fail, or nothing can pass.
func (t *Trial) checkPurpose() error {
	switch {
	case len(t.Expect) == 0 && t.Refuses == "":
		return errors.New(`the trial has neither expect nor refuses; it must have expect = { ["gamma"] = { truth = "tone.exponent", within = 0.01 } } or refuses = "a text in the error"`)
	case len(t.Expect) > 0 && t.Refuses != "":
		return errors.New("the trial has both expect and refuses; give one of them, because a run that ends with an error has no values to check")
	}
	return nil
}

// leastDraws is how many draws an interval is made of at least.
const leastDraws = 100

// checkDraws refuses too few draws for an interval, and expected intervals without
// draws.
func (t *Trial) checkDraws() error {
	if t.Draws > 0 && t.Draws < leastDraws {
		return t.wrong(fmt.Errorf("draws is %d; it must be 0 or at least %d, because an interval needs that many", t.Draws, leastDraws), "draws")
	}
	for _, e := range t.Expect {
		if e.Covers > 0 && t.Draws == 0 {
			return t.wrong(fmt.Errorf("expect[%q].covers is %v without draws; add draws = 200 beside expect, because the interval comes from draws", e.ID, e.Covers), "expect", e.ID, "covers")
		}
	}
	return nil
}

// worldsOf gives the worlds of a trial in the order of their names.
func worldsOf(d *declaration) ([]NamedWorld, error) {
	if d.Worlds == nil {
		return []NamedWorld{{worldName(d.World), d.World}}, nil
	}
	if d.World != nil {
		return nil, errors.New("the trial has both world and worlds; give one of them")
	}
	if len(d.Worlds) == 0 {
		return nil, errors.New("worlds is empty; give at least one world with a name")
	}
	var all []NamedWorld
	for _, name := range slices.Sorted(maps.Keys(d.Worlds)) {
		all = append(all, NamedWorld{name, d.Worlds[name]})
	}
	return all, nil
}

// worldName names a world that stands alone.
func worldName(ref any) string {
	switch ref := ref.(type) {
	case string:
		return ref
	case map[string]any:
		name := "default"
		if base, ok := ref["base"].(string); ok {
			name = base
		}
		changes := slices.Sorted(maps.Keys(ref))
		changes = slices.DeleteFunc(changes, func(s string) bool { return s == "base" })
		if len(changes) > 0 {
			name += " with " + strings.Join(changes, ", ")
		}
		return name
	}
	return "default"
}
