package operator

import (
	"context"
	"errors"
	"fmt"

	"candelua/engine/bench"
)

// meter is a person who reads a meter and types.
type meter struct {
	desk      *desk
	id        bench.Identity
	reference bool
}

var (
	_ bench.Meter        = (*meter)(nil)
	_ bench.Zeroer       = (*meter)(nil)
	_ bench.Spectrometer = (*meter)(nil)
)

func (m *meter) About() bench.Identity { return m.id }

// Read takes one reading, as it is typed, whatever q.Most says. Both its times
// are when the line came, or when the patch was lit if that is later: a reading
// that was typed ahead. A spectrum is read from a file that the meter's own program saved.
func (m *meter) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	s, err := m.next(ctx, q)
	if err != nil {
		return err
	}
	if err := take(s); err != nil && !errors.Is(err, bench.Enough) {
		return err
	}
	return nil
}

// Zero asks the person to measure the meter's dark level. It asks even if
// settings are assumed: a meter that took the light of the screen for darkness would be
// wrong in all that follows.
func (m *meter) Zero(ctx context.Context) error {
	which := "the meter"
	if m.reference {
		which = "the reference meter"
	}
	return m.desk.done(ctx, "Please cover "+which+" so that no light gets in, let it measure its dark level, and uncover it again; press Enter when done.", "its dark level is measured")
}

// next returns the oldest kept reading, or asks for one.
func (m *meter) next(ctx context.Context, q bench.ReadRequest) (bench.Sample, error) {
	d := m.desk
	for len(d.kept) > 0 && !q.Spectrum {
		kept := d.kept[0]
		d.kept = d.kept[1:]
		s, err := m.sample(kept)
		if err != nil {
			d.console.Say(sentence(cannotBe(kept.line, err)))
			continue
		}
		d.console.Say(fmt.Sprintf("Using the reading %q, which you typed before.", kept.line))
		return s, nil
	}
	var s bench.Sample
	d.caution(ctx, q)
	err := d.answer(ctx, question{
		ask:  m.prompt(q),
		help: readingHelp(q.Spectrum),
		take: func(line string) error {
			r, spectrum, err := takeReading(line, q.Spectrum)
			if err != nil {
				return err
			}
			s, err = m.sample(keptReading{r, d.clock.Now()})
			s.Spectrum = spectrum
			if err != nil {
				return cannotBe(line, err)
			}
			if r.commas {
				d.console.Say("The commas were read as decimal points: " + r.String() + ".")
			}
			return nil
		},
	})
	return s, err
}

// readingHelp lists what can be typed for a reading.
func readingHelp(spectrum bool) []helpLine {
	file := helpLine{"file white.csv", "a spectrum that the meter's program saved: lines of a wavelength in nm and a value in W/(sr m² nm)"}
	if spectrum {
		return []helpLine{file}
	}
	return []helpLine{
		{"200 0.31 0.33", "luminance Y in cd/m², chromaticity x and y"},
		{"xyz 190 200 210", "tristimulus values X, Y and Z in cd/m²"},
		{"200", "luminance Y alone, in cd/m²"},
		file,
	}
}

// takeReading reads a line that is a reading, or that names a file with a spectrum.
func takeReading(line string, spectrum bool) (reading, *bench.Spectrum, error) {
	if path, is := filePath(line); is {
		r, s, err := readingFromFile(path, line)
		if !spectrum {
			s = nil
		}
		return r, s, err
	}
	if spectrum {
		return reading{}, nil, errors.New("this reading needs the spectrum: please save it with the meter's own program, and type file and the file's path, such as file white.csv")
	}
	r, err := parseReading(line)
	return r, nil, err
}

// ReadsSpectra implements [bench.Spectrometer]: the meter's own program saves them.
func (m *meter) ReadsSpectra() bool { return true }

func cannotBe(line string, err error) error {
	return fmt.Errorf("the reading %q cannot be right: %w; please read the meter again", short(line), err)
}

// prompt asks for a reading, and says when.
func (m *meter) prompt(q bench.ReadRequest) string {
	who, when := "Reading", ""
	switch {
	case q.Of > 0 && q.OrFewer:
		who = fmt.Sprintf("Reading %d of at most %d", q.Number, q.Of)
	case q.Of > 0:
		who = fmt.Sprintf("Reading %d of %d", q.Number, q.Of)
	}
	switch {
	case m.reference && q.Of > 0:
		who += ", by the reference meter"
	case m.reference:
		who += " of the reference meter"
	}
	if q.At != nil {
		who += " " + spotWords(*q.At)
	}
	if q.Agree > 0 {
		when = ", again until two in a row agree within " + decimals(q.Agree, 2) + " %"
	}
	switch after := decimals(q.After, 2) + " s after the patch is lit"; {
	case q.Steady && q.After > 0:
		when = ", once it no longer changes, and no sooner than " + after
	case q.Steady:
		when = ", once it no longer changes"
	case q.After > 0:
		when = ", " + after
	}
	if q.Spectrum {
		return "Spectrum: " + lowered(who) + when + ". Please type file and the path of the file that the meter's own program saved:"
	}
	return who + when + ", in cd/m² (Y x y, or xyz X Y Z, or Y alone):"
}

// sample makes a sample of a reading, and judges it.
func (m *meter) sample(k keptReading) (bench.Sample, error) {
	at := max(k.came, m.desk.lit)
	return bench.CheckSample(bench.Sample{
		X: k.X, Y: k.Y, Z: k.Z, Colour: k.colour,
		Began: at, Ended: at, Typed: k.line,
	}, m.id)
}
