package sim

import (
	"fmt"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/fault"
)

// Subject is a world on which a procedure is tried. Its truths can be asked for by
// name.
type Subject struct {
	world *World
}

// baseKey is the key under which a world names the world that it changes, and an entry
// of a list of named tables the entry that it changes.
const baseKey = "base"

// NewSubject makes the world that ref describes. Nil is the default world, and a
// string is a world as for [Load]. A table has a base (a name or a file; the default
// world if it has none), and states what differs from it, by the paths of [Params.Set].
// A path of a file begins at the folder dir. The faults are added to those of the
// world, and are written in the same way.
//
// It fails as [Load] does, and with a [bench.Error] of code "bad-file" for a
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
	p.ExactMeters()
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

// ExactMeters takes the meters' errors of scale, chromaticity and spectra away, and those of the light meter: a trial is about the
// procedure, and what all readings are off by alike would hide what it does. A trial that
// is about these errors states them.
func (p *Params) ExactMeters() {
	for _, m := range []*MeterParams{&p.Meter, &p.Reference} {
		m.Scale, m.XY, m.Dark, m.ErrorsSeed = 0, 0, 0, 0
		m.Wavelength, m.Response = 0, 0
	}
	p.Rig.LuxScale, p.Rig.LuxZero, p.Rig.LuxErrorsSeed = 0, 0, 0
}

func loadRef(ref any, dir string) (Params, error) {
	switch name := ref.(type) {
	case nil:
		return Default(), nil
	case string:
		return Load(besidePath(name, dir))
	}
	return Params{}, bench.Errorf(bench.CodeBadFile, "", "the world is %s; it must be a name, the path of a world file, or a table of changes", plainKind(ref))
}

// asBadFile keeps an error that is complete, and completes one of a parameter.
func asBadFile(err error) error {
	if b, ok := err.(*bench.Error); ok {
		return bench.Errorf(bench.CodeBadFile, b.Hint(), "the world: %w", b)
	}
	return bench.Errorf(bench.CodeBadFile, fault.HintOf(err), "the world: %w", err)
}

// Name returns the unit's name.
func (s *Subject) Name() string { return s.world.params.Name }

// Text states all parameters of the world, as a world file does.
func (s *Subject) Text() string {
	var b strings.Builder
	if err := Print(&b, s.world.params); err != nil {
		panic(err) // a string's builder takes all
	}
	return b.String()
}

// Openers returns the openers of a new bench of this world, with the noise of a seed.
func (s *Subject) Openers(seed uint64) bench.Openers {
	return bench.Openers{driverName: Opener(s.world.params, seed, 0)}
}

// Truth returns the truth that ref describes. A float64 is the truth itself, a
// string is the path of a parameter (Params.number), and a table { name = arguments }
// is one of the functions that [Truths] describes. It fails if there is no such
// parameter or function, or if the function has no such arguments.
func (s *Subject) Truth(ref any) (float64, error) {
	switch ref := ref.(type) {
	case float64:
		return ref, nil
	case string:
		return s.world.params.number(ref)
	case map[string]any:
		if len(ref) != 1 {
			return 0, fmt.Errorf("the truth is a table with %d members; it must have one, { name = arguments }, where name is %s", len(ref), quoted(TruthNames()))
		}
		for name, args := range ref {
			return s.truthOf(name, args)
		}
	}
	return 0, fmt.Errorf("the truth is %s; it must be a number, the path of a parameter, or { name = arguments }, where name is %s", plainKind(ref), quoted(TruthNames()))
}

// isPath tells a file from a shipped world, as [Load] does.
func isPath(name string) bool {
	return strings.ContainsAny(name, `/\`) || strings.HasSuffix(name, ".toml")
}
