package sim

import (
	"fmt"
	"path/filepath"
	"strings"

	"candelua/engine/bench"
)

// Subject is a world whose truth can be asked for by name: what a procedure is
// tried on.
type Subject struct {
	world *World
}

// baseKey is the member of a table of changes that names the world to change.
const baseKey = "base"

// NewSubject makes the world that a reference describes: nil for the default
// one, a string as [Load] takes it, or a table that states a base (a name or a
// file; the default without one) and what differs from it, by the paths of
// [Params.Set]. A file is looked for from the folder dir. Faults are a
// schedule of what shall go wrong besides, as in a world's faults.
//
// It fails as [Load] does, and with an [bench.Error] of code "bad-file" for a
// change that [Params.Set] or Params.check refuses.
func NewSubject(ref any, faults []any, dir string) (*Subject, error) {
	changes, isTable := ref.(map[string]any)
	if isTable {
		ref = changes[baseKey]
	}
	p, err := loadRef(ref, dir)
	if err != nil {
		return nil, err
	}
	for _, path := range sortedKeys(changes) {
		if path == baseKey {
			continue
		}
		if err := p.Set(path, changes[path]); err != nil {
			return nil, asBadFile(err)
		}
	}
	if len(faults) > 0 {
		if err := p.Set("faults", faults); err != nil {
			return nil, asBadFile(err)
		}
	}
	w, err := New(p, 1, 0)
	if err != nil {
		return nil, asBadFile(err)
	}
	return &Subject{w}, nil
}

func loadRef(ref any, dir string) (Params, error) {
	switch name := ref.(type) {
	case nil:
		return Default(), nil
	case string:
		if isPath(name) && !filepath.IsAbs(name) {
			if name = filepath.Join(dir, name); !isPath(name) {
				name = "./" + name // Join took away what told it from a shipped name
			}
		}
		return Load(name)
	}
	return Params{}, bench.Errorf(bench.CodeBadFile, "", "the world is %s; it must be a name, the path of a world file, or a table of changes", plainKind(ref))
}

// asBadFile keeps an error that is complete, and completes one of a parameter.
func asBadFile(err error) error {
	if b, ok := err.(*bench.Error); ok {
		return bench.Errorf(bench.CodeBadFile, b.Hint(), "the world: %w", b)
	}
	return bench.Errorf(bench.CodeBadFile, "", "the world: %w", err)
}

// Name returns the unit's name.
func (s *Subject) Name() string { return s.world.params.Name }

// Openers returns what opens a new bench of this world, with a seed's noise.
func (s *Subject) Openers(seed uint64) bench.Openers {
	return bench.Openers{driverName: Opener(s.world.params, seed, 0)}
}

// Truth returns what a reference says about the world: a float64 as it is, a
// string as the path of a parameter (Params.number), a table
// { name = arguments } as a function of truthNames. It fails where there is
// no such parameter or function, or the arguments are none of its own.
func (s *Subject) Truth(ref any) (float64, error) {
	switch ref := ref.(type) {
	case float64:
		return ref, nil
	case string:
		return s.world.params.number(ref)
	case map[string]any:
		if len(ref) != 1 {
			return 0, fmt.Errorf("the truth is a table with %d members; it must have one, { name = arguments }, where name is %s", len(ref), quoted(truthNames()))
		}
		for name, args := range ref {
			return s.truthOf(name, args)
		}
	}
	return 0, fmt.Errorf("the truth is %s; it must be a number, the path of a parameter, or { name = arguments }, where name is %s", plainKind(ref), quoted(truthNames()))
}

// isPath tells a file from a shipped world, as [Load] does.
func isPath(name string) bool {
	return strings.ContainsAny(name, `/\`) || strings.HasSuffix(name, ".toml")
}
