package main

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"candelua/engine/bench"
	"candelua/engine/driver/scripted"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/plain"
	"candelua/engine/procedure"
	"candelua/engine/screen"
)

// acceptBench asks whether to go on with what the bench of a run starts and opens, before anything is: the run's folder may come
// from somebody else. Whoever names a bench file has looked at it.
func (f *resumeFlags) acceptBench(ctx context.Context, cmd *cobra.Command, file *bench.File) error {
	used := slices.Concat(programsOf(file), linksOf(file), servedBy(file))
	if len(used) == 0 || f.bench != "" {
		return nil
	}
	say := func(text string) { plain.On(cmd.ErrOrStderr()).Say("candelua: ", text) }
	say("the bench that the run keeps starts these programs and opens these links, with your rights:")
	for _, name := range used {
		say("  " + plain.Line(name))
	}
	if f.acceptUsed {
		return nil
	}
	if isTerminalInput(cmd) {
		if f.saysYes(ctx, "Type yes to start and open them. Anything else ends the command.") {
			return nil
		}
	}
	return &fault.UsageError{Err: errors.New("the programs and links of the run's bench were not accepted; nothing was started"),
		Tip: "look whether they are yours; to accept them, give --accept-bench, run the command at a terminal and type yes, or name your bench file with --bench"}
}

// linksOf are the links that a bench file opens, each once.
func linksOf(file *bench.File) (all []string) {
	for _, k := range file.Kinds() {
		if link := file.Section(k).Link; link != "" && !slices.Contains(all, link) {
			all = append(all, link)
		}
	}
	return all
}

// servedBy says where a bench file has the patch page served, and which files it has written and read for that.
func servedBy(file *bench.File) (all []string) {
	for _, k := range file.Kinds() {
		s := file.Section(k)
		if s.Driver != screen.Name {
			continue
		}
		for _, key := range slices.Sorted(maps.Keys(s.Options)) {
			if text, is := s.Options[key].(string); is {
				all = append(all, fmt.Sprintf("the patch page, %s = %q", key, text))
			}
		}
	}
	return all
}

// ofBench says whether a text of a run's head is the bench file or one of its drivers.
func ofBench(name string) bool {
	return name == textBench || name == textBenchPath || strings.HasPrefix(name, textDriver(""))
}

// mended gives the files that a run goes on with where --bench names a corrected bench file: that file and the drivers that it
// names. All else stays as it was when the run began.
func (a *app) mended(cmd *cobra.Command, name string, was map[string]string) (map[string]string, error) {
	if was[textBuiltIn] != "" {
		return nil, &flagError{fmt.Errorf("--bench is given, and the run was begun on the built-in bench %q, which has no file", was[textBuiltIn]), "leave out --bench, or start a new run"}
	}
	if !procedure.IsPath(name) {
		return nil, wrongPath(cmd, name, nil, ".toml", "--bench is %q; it must be the path of a bench file, which contains a / or ends in .toml", name)
	}
	now, file, err := a.fileTexts(cmd, name)
	if err != nil {
		return nil, err
	}
	before, err := bench.ParseFile(was[textBenchPath], []byte(was[textBench]))
	if err != nil {
		return nil, err
	}
	if chainOf(before) != chainOf(file) {
		return nil, &fault.UsageError{Err: fmt.Errorf("%s: the chain of the patches is another one than the run began with", file.Section(bench.KindPatches).Where()),
			Tip: "readings of two signal chains do not belong into one run: state the run's chain, or start a new run"}
	}
	for _, k := range history.CorrectedKinds {
		if key := history.CorrectionText(k); now[key] != was[key] {
			a.warn(fmt.Sprintf("the correction of the %s is another one in %s; the run keeps the one that it began with", k, name))
		}
	}
	all := maps.Clone(was)
	maps.DeleteFunc(all, func(name, _ string) bool { return ofBench(name) })
	for name, text := range now {
		if ofBench(name) {
			all[name] = text
		}
	}
	return all, nil
}

func chainOf(file *bench.File) (c bench.Chain) {
	if s := file.Section(bench.KindPatches); s != nil && s.Chain != nil {
		c = *s.Chain
	}
	return c
}

// tellChangedBench says that the bench file or a driver has changed where it came from. The run goes on with its own copies
// all the same.
func (a *app) tellChangedBench(texts map[string]string, file *bench.File) {
	path, changed := texts[textBenchPath], []string{}
	look := func(path, kept string) {
		if src, err := procedure.ReadText(path); err == nil && string(src) != kept { // one that is gone says nothing
			changed = append(changed, path)
		}
	}
	if path != "" {
		look(path, texts[textBench])
	}
	for _, k := range file.Kinds() {
		s := file.Section(k)
		if s.Driver != scripted.Name {
			continue
		}
		if name, err := scripted.File(*s); err == nil {
			look(s.Beside(name), texts[textDriver(k)])
		}
	}
	if len(changed) > 0 {
		a.warn(fmt.Sprintf("%s has changed since the run began; the run goes on with its own copy; to use the changed one, add: --bench %s",
			strings.Join(slices.Compact(changed), ", "), plain.Word(path)))
	}
}
