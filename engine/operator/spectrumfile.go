package operator

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strings"

	"candelua/colour"
	"candelua/engine/bench"
	"candelua/engine/plain"
	"candelua/engine/regular"
)

// wordFile begins a line that names a file with a spectrum.
const wordFile = "file"

// Limits of a file with a spectrum. A thousand bands of a few dozen bytes are more than any meter has (common practice, no source).
const (
	mostFileBytes = 1 << 20
	mostBands     = 5000
)

// filePath is the path that a line names: "file PATH", with or without quotes.
func filePath(line string) (path string, is bool) {
	if len(line) <= len(wordFile) || !strings.EqualFold(line[:len(wordFile)], wordFile) || !isSeparator(rune(line[len(wordFile)])) {
		return "", false
	}
	path = strings.TrimSpace(line[len(wordFile):])
	if n := len(path); n > 1 && (path[0] == '"' || path[0] == '\'') && path[n-1] == path[0] {
		path = path[1 : n-1]
	}
	return path, path != ""
}

// readingFromFile reads the spectrum that the meter's own program saved. X, Y and Z are computed from it (CIE 1931, [CIE15]).
// The errors are for the person, see [sentence].
func readingFromFile(path, line string) (r reading, s *bench.Spectrum, err error) {
	name := plain.Line(short(path))
	text, err := readBounded(path)
	if err != nil {
		var where *os.PathError
		if errors.As(err, &where) {
			err = where.Err
		}
		return r, nil, fmt.Errorf("the file %s cannot be read: %w; please type file and its path again", name, err)
	}
	s, err = parseSpectrum(text)
	if err != nil {
		return r, nil, fmt.Errorf("the file %s holds no spectrum: %w", name, err)
	}
	c, err := colour.CIE1931.XYZ(colour.Spectrum{From: s.From, Step: s.Step, Values: s.Values})
	if err != nil {
		return r, nil, fmt.Errorf("the file %s holds no spectrum that can be used: %w", name, err)
	}
	if math.Abs(c.Y) > mostLight {
		return r, nil, fmt.Errorf("the spectrum in %s has a luminance of %.3g cd/m²; it can be at most %.0f: its values must be in W/(sr m² nm)", name, c.Y, mostLight)
	}
	return reading{X: c.X, Y: c.Y, Z: c.Z, colour: true, line: line}, s, nil
}

// readBounded reads a regular file, and no more of it than a spectrum can take.
func readBounded(path string) (string, error) {
	f, err := regular.Open(path, os.O_RDONLY)
	if err != nil {
		return "", err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, mostFileBytes+1))
	if err == nil && len(text) > mostFileBytes {
		err = fmt.Errorf("it is larger than %d bytes", mostFileBytes)
	}
	return string(text), err
}

// parseSpectrum reads lines of a wavelength in nm and a radiance, with a comma, a semicolon or blanks between. Blank lines, lines that begin
// with # and one line of headings are passed over. Wavelengths rise by equal steps.
func parseSpectrum(text string) (*bench.Spectrum, error) {
	s := &bench.Spectrum{}
	var last float64
	headed := false
	for i, line := range strings.Split(strings.TrimPrefix(text, "\ufeff"), "\n") {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		pair, err := numbers(strings.FieldsFunc(line, func(r rune) bool { return r == ',' || isSeparator(r) }))
		if err != nil && len(s.Values) == 0 && !headed {
			headed = true
			continue
		}
		if err == nil && len(pair) != 2 {
			err = fmt.Errorf("there %s in it", count(len(pair)))
		}
		if err != nil {
			return nil, fmt.Errorf("line %d must be a wavelength in nm and a value, such as 550, 0.0123: %w", i+1, err)
		}
		if err := addBand(s, &last, pair[0], pair[1], i+1); err != nil {
			return nil, err
		}
	}
	if len(s.Values) < 2 {
		return nil, errors.New("it has fewer than two lines of a wavelength in nm and a value")
	}
	return s, nil
}

// addBand adds a band to a spectrum whose last wavelength is known.
func addBand(s *bench.Spectrum, last *float64, nm, value float64, line int) error {
	const slack = 1e-3 // nm, of wavelengths that are rounded
	switch n := len(s.Values); {
	case n == 0:
		s.From = nm
	case n == 1 && nm <= s.From:
		return fmt.Errorf("line %d has the wavelength %v nm; wavelengths must rise", line, nm)
	case n == 1:
		s.Step = nm - s.From
	case math.Abs(nm-(s.From+float64(n)*s.Step)) > slack*float64(n):
		return fmt.Errorf("line %d has the wavelength %v nm; it must be %.6g nm, because steps are equal", line, nm, *last+s.Step)
	case n >= mostBands:
		return fmt.Errorf("it has more than %d wavelengths", mostBands)
	}
	s.Values, *last = append(s.Values, value), nm
	return nil
}
