package scripted

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/driver"
	"candelua/engine/driver/link"
	"candelua/engine/fault"
	"candelua/engine/script"
	"candelua/engine/spell"
)

// Name is what a bench file calls the driver.
const Name = "lua"

// fileKey is the option that names the driver's file.
const fileKey = "file"

// File is the driver file that a section of a bench file names.
func File(s bench.Section) (string, error) {
	const hint = `write below the section's options: file = "dunlin.lua"`
	x, given := s.Options[fileKey]
	file, ok := x.(string)
	switch {
	case !given:
		return "", bad(hint, "options.file is missing; it must name the driver's file, relative to the bench file")
	case !ok || file == "":
		return "", bad(hint, "options.file is %v; it must name the driver's file", x)
	}
	return file, nil
}

func bad(hint, format string, args ...any) error {
	return bench.Errorf(bench.CodeBadFile, hint, format, args...)
}

// Source gives the text of the driver file of a place on the bench.
type Source func(k bench.Kind) (string, error)

// Opener returns a function that opens Lua drivers. trace takes what goes over the links, and what
// drivers print; nil where nobody looks.
func Opener(source Source, trace func(string)) func() (bench.Driver, error) {
	return driverOf(source, link.Address.Open, trace)
}

// driverOf is Opener with another way to open links.
func driverOf(source Source, open dial, trace func(string)) func() (bench.Driver, error) {
	return driver.Opener(Name, connecting(source, open, trace), trace)
}

// dial opens a link.
type dial func(link.Address, context.Context) (*link.Link, error)

func connecting(source Source, open dial, trace func(string)) driver.Connecting {
	return func(k bench.Kind, s bench.Section) (driver.Connect, error) {
		file, err := File(s)
		if err != nil {
			return nil, err
		}
		src, err := source(k)
		if err != nil {
			return nil, err
		}
		p, err := Load(context.Background(), file, []byte(src))
		if err != nil {
			return nil, err
		}
		at, err := link.Parse(s.Link)
		if err != nil {
			return nil, err
		}
		if err := p.fits(k, at); err != nil {
			return nil, err
		}
		settings, err := p.settings(s)
		if err != nil {
			return nil, err
		}
		return (&connector{p, at, settings, open, trace}).connect, nil
	}
}

// fits refuses a driver in a place that it cannot fill, or on a link over which it cannot be kept in step.
func (p *Program) fits(k bench.Kind, at link.Address) error {
	place := k
	if k == bench.KindReference {
		place = bench.KindMeter
	}
	if p.kind != place {
		return bench.Errorf(bench.CodeWrongDevice, fmt.Sprintf("name a driver for %s", noun(string(place))), "%s (%s) is a driver for %s; it cannot be the %s", p.file, p.title, noun(string(p.kind)), k)
	}
	if at.Outlives() && !p.resyncs {
		return bad("give it a question whose answer is known; if the instrument never answers, write: resync = function(link) end",
			"%s has no function resync, which it needs over %s: an answer that comes late would be taken for the next one", p.file, at.Kind)
	}
	return nil
}

// settings are the driver's, as the bench file states them.
func (p *Program) settings(s bench.Section) (script.Params, error) {
	all := script.Params{}
	var names []string
	for i := range p.params {
		setting := &p.params[i]
		names = append(names, setting.Name)
		all[setting.Name] = setting.Default
		x, stated := s.Options[setting.Name]
		if !stated {
			continue
		}
		v, err := setting.Take(x)
		if err != nil {
			return nil, bad(fault.HintOf(err), "options.%w", err)
		}
		all[setting.Name] = v
	}
	for _, key := range slices.Sorted(maps.Keys(s.Options)) {
		if key == fileKey || slices.Contains(names, key) {
			continue
		}
		hint := p.file + " has no settings"
		if len(names) > 0 {
			hint = "the settings of " + p.file + " are " + strings.Join(names, ", ")
		}
		if near := spell.Nearest(key, names); near != "" {
			hint = fmt.Sprintf("did you mean %q? (%s)", near, hint)
		}
		return nil, bad(hint, "options.%s is no setting of %s", key, p.file)
	}
	return all, nil
}

type connector struct {
	p        *Program
	at       link.Address
	settings script.Params
	open     dial
	trace    func(string)
}

// connect opens the link and begins a session over it.
func (c *connector) connect(ctx context.Context) (driver.Session, driver.Card, error) {
	l, err := c.open(c.at, ctx)
	if err != nil {
		return nil, driver.Card{}, err
	}
	s := newSession(ctx, c.p, l, c.trace)
	s.anew = !c.at.Outlives()
	var who driver.Card
	if err = s.load(); err == nil {
		who, err = s.begin(ctx, c.settings)
	}
	if err != nil {
		s.Close()
		return nil, who, err
	}
	return s, who, nil
}
